"""Rules on strips: labels that repeat, look alike, or are too wide for their cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from slinediag.address import Jack, Row
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.model.bay import Bay
from slinediag.model.labels import jack_label
from slinediag.text import width
from slinediag.tracing.words import listed

CAPITALS = 2500
"""Height of capitals in micrometres below which a strip is not read at arm's length: 2.5 mm.
Source: ISO 3098 has it as a height; ISO 9241-3, 16 minutes of arc at 500 mm, asks 2.33 mm."""

LOOK_ALIKE = str.maketrans({"O": "0", "I": "1", "L": "1"})
"""Characters that are taken for each other: O and 0; I, L and 1. Source: common practice."""


def _row_labels(rest: Rest, bay: Bay, row: Row) -> list[tuple[Jack, str]]:
    """The jacks of a row that bear a label, in order, with their labels."""
    labels = ((j, jack_label(rest.facility, j)) for j in bay.jacks() if j.row == row)
    return [(jack, label) for jack, label in labels if label]


def label_repeated(rest: Rest) -> Iterator[Case]:
    """Labels that stand twice in a row, but on jacks of one mult; one case per label."""
    for bay in rest.facility.bays.values():
        for row in bay.jack_rows:
            found: dict[str, list[Jack]] = {}
            for jack, label in _row_labels(rest, bay, row):
                found.setdefault(" ".join(label.split()).casefold(), []).append(jack)
            for jacks in found.values():
                mults = {rest.mult_at[jack].id if jack in rest.mult_at else None for jack in jacks}
                if len(jacks) > 1 and (len(mults) > 1 or None in mults):
                    shown = jack_label(rest.facility, jacks[0])
                    message = f"The label {shown} stands at {listed(map(rest.jack, jacks))}."
                    yield Case("warning", rest.spelled(jacks), message)


def label_look_alike(rest: Rest) -> Iterator[Case]:
    """Labels of neighbours that differ only in O and 0, or in I, L and 1."""
    for bay in rest.facility.bays.values():
        for row in bay.jack_rows:
            for (here, one), (there, other) in pairwise(_row_labels(rest, bay, row)):
                if there.position - here.position == 1 and _taken_for(one, other):
                    message = (
                        f"{one} at {rest.jack(here)} and {other} at {rest.jack(there)} are taken "
                        "for each other."
                    )
                    yield Case("warning", rest.spelled((here, there)), message)


def _taken_for(one: str, other: str) -> bool:
    upper = one.upper(), other.upper()
    return upper[0] != upper[1] and (
        upper[0].translate(LOOK_ALIKE) == upper[1].translate(LOOK_ALIKE)
    )


def label_wide(rest: Rest) -> Iterator[Case]:
    """Labels of which a word is wider than its room on the strip; one case per bay.

    Words are shortened by the facility's abbreviations and set one below the other; what
    neighbours begin with alike is set once across their cells.
    """
    for bay in rest.facility.bays.values():
        wide: dict[Jack, str] = {}
        for row in bay.jack_rows:
            wide.update(_too_wide(rest, bay, row))
        if wide:
            words_shown = listed(dict.fromkeys(wide.values()))
            several = f"{len(wide)} labels do" if len(wide) > 1 else "1 label does"
            message = (
                f"On the strips of {bay.printed} {several} not fit at 2.5 mm capitals, with cells "
                f"of {bay.jack_pitch:.1f} mm: {words_shown}."
            )
            yield Case("note", (bay.id, *rest.spelled(wide)), message)


def _too_wide(rest: Rest, bay: Bay, row: Row) -> Iterator[tuple[Jack, str]]:
    """The jacks of a row with a word that does not fit, and the first such word."""
    words = {
        jack: [_short(rest, word) for word in label.split()]
        for jack, label in _row_labels(rest, bay, row)
    }
    for jack, own in words.items():
        for count, word in enumerate(own, 1):
            cells = 1 + sum(_shared(words, jack, own[:count], step) for step in (-1, 1))
            if width(word, CAPITALS) > round(cells * bay.jack_pitch * 1000):
                yield jack, word
                break


def _shared(words: Mapping[Jack, list[str]], jack: Jack, start: list[str], step: int) -> int:
    """How many neighbours on one side have labels that begin with the same words."""
    count = 0
    while (
        words.get(jack._replace(position=jack.position + step * (count + 1)), [])[: len(start)]
        == start
    ):
        count += 1
    return count


def _short(rest: Rest, word: str) -> str:
    return rest.facility.practice.abbreviations.get(word, word)


RULES = (
    Rule(
        "label-repeated",
        "one label at several jacks of a row",
        "Two jacks of one row with the same label leave a person to guess. Jacks of one mult may "
        "share theirs; an output above its input is in another row.",
        "ANSI/TIA-606: identifiers are unique (from memory)",
        "Number them, or name what differs.",
        label_repeated,
    ),
    Rule(
        "label-look-alike",
        "neighbouring labels that are taken for each other",
        "O and 0, and I, L and 1 look alike in capitals and in poor light. On neighbouring jacks "
        "they get patched for each other.",
        "common practice",
        "Number one way throughout, or spell it out.",
        label_look_alike,
    ),
    Rule(
        "label-wide",
        "labels too wide for the strip's cell",
        "The cell of a jack is as wide as the jacks' pitch. A word that does not fit there at "
        "2.5 mm capitals must be set smaller, turned, or run over its neighbour. Words are set "
        "one below the other, shortened by the facility's abbreviations, and what neighbours begin "
        "with alike is set once across them.",
        "ISO 3098 heights; ISO 9241-3",
        "Give the words a short form under abbreviations, or the jack a shorter label.",
        label_wide,
    ),
)
