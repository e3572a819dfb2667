"""Rules on strips: labels that repeat, look alike, or are too wide for their cells."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from slinediag.address import Jack, Row
from slinediag.checks.rest import Rest, UnfitLabel
from slinediag.checks.rule import Case, Rule
from slinediag.model.bay import Bay
from slinediag.model.labels import jack_label
from slinediag.tracing.words import listed

SHOWN = 5
"""How many labels one finding names before it counts the rest."""

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
    """Labels that do not fit the strips as these are lettered; one case per bay."""
    groups: dict[str, list[UnfitLabel]] = {}
    for unfit in rest.unfit_labels or ():
        groups.setdefault(unfit.jacks[0].bay, []).append(unfit)
    for bay_id, labels in groups.items():
        bay = rest.facility.bays[bay_id]
        several = f"{len(labels)} labels do" if len(labels) > 1 else "1 label does"
        shown = "; ".join(
            f"{unfit.label} at {rest.jack(unfit.jacks[0])}" for unfit in labels[:SHOWN]
        )
        more = f"; and {len(labels) - SHOWN} more" if len(labels) > SHOWN else ""
        message = (
            f"On the strips of {bay.printed} {several} not fit at 2.5 mm capitals, however "
            f"shortened and set: {shown}{more}."
        )
        jacks = [jack for unfit in labels for jack in unfit.jacks]
        cures = list(dict.fromkeys(unfit.cure for unfit in labels))
        cure = f"What would do: {cures[0]}." if len(cures) == 1 else ""
        yield Case("note", (bay.id, *rest.spelled(jacks)), message, cure)


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
        "The cell of a jack is as wide as the jacks' pitch. Labels are judged as the strips print "
        "them: words shortened by the facility's abbreviations and the known short forms, set in "
        "lines one below the other, squeezed to seven tenths at most. What then does not fit at "
        "2.5 mm capitals cannot be read at arm's length, and is listed beside the strips.",
        "ISO 3098 heights; ISO 9241-3",
        "Give the words a short form under abbreviations, or the jack a shorter label.",
        label_wide,
    ),
)
