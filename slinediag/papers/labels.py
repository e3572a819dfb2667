"""What strips say: the words of every jack's label, and which cells share a heading.

Two jacks of a bay that would read alike are told apart by what they are to the equipment, IN or
OUT; jacks that a mult ties are one and may read alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, Row
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label
from slinediag.papers.glossary import capitals

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """Adjacent cells that are lettered as one: a single jack, or jacks under one heading.

    ``heading`` are the words they share, of a single jack all its words; ``tails`` the last word
    of each jack under a heading, empty for a single one. ``lines``: the most it may take; three
    only where two do not do, since they cover the colour bar.
    """

    jacks: tuple[Jack, ...]
    heading: Words
    tails: Words = ()
    lines: int = 2

    @property
    def words(self) -> Words:
        """Every word that is printed, heading first."""
        return self.heading + self.tails

    def of(self, jack: Jack) -> Words:
        """The words that one of its jacks reads."""
        if not self.tails:
            return self.heading
        return (*self.heading, self.tails[self.jacks.index(jack)])


def jack_words(facility: Facility, bay: Bay) -> dict[Jack, Words]:
    """The words of every labelled jack of a bay, those that would read alike told apart."""
    plain = {
        jack: tuple(capitals(label).split())
        for jack in bay.jacks()
        if (label := jack_label(facility, jack))
    }
    sides = {jack: _side(facility, jack) for jack in plain}
    return {
        jack: _with_side(words, sides[jack]) if _told_apart(plain, sides, words) else words
        for jack, words in plain.items()
        if words
    }


def _side(facility: Facility, jack: Jack) -> str | None:
    wire = facility.wires.get(jack)
    return None if wire is None else wire.to.side.upper()


def _told_apart(
    plain: Mapping[Jack, Words], sides: Mapping[Jack, str | None], words: Words
) -> bool:
    """Whether jacks of these words are both an input and an output, and so need saying which."""
    if {"IN", "OUT"} & set(words):
        return False
    found = {sides[jack] for jack, other in plain.items() if other == words}
    return {"IN", "OUT"} <= found


def _with_side(words: Words, side: str | None) -> Words:
    """The words with IN or OUT behind them, or before a last word that only counts: 1, 2L, R."""
    if side is None:
        return words
    last = words[-1]
    if len(words) > 1 and (last in ("L", "R") or last[0].isdigit()):
        return (*words[:-1], side, last)
    return (*words, side)


def alike(facility: Facility, words: Mapping[Jack, Words]) -> tuple[tuple[Jack, ...], ...]:
    """Jacks of a bay that read alike though nothing ties them, in the order of their first."""
    tied = {jack: mult.id for mult in facility.mults.values() for jack in mult.jacks}
    same: dict[Words, list[Jack]] = {}
    for jack, label in words.items():
        same.setdefault(label, []).append(jack)
    return tuple(
        tuple(jacks)
        for jacks in same.values()
        if len(jacks) > 1 and len({tied.get(jack, str(jack)) for jack in jacks}) > 1
    )


def fields(facility: Facility, bay: Bay, words: Mapping[Jack, Words]) -> list[Field]:
    """The fields of a bay in order: stereo pairs under one heading, other jacks by themselves."""
    found: list[Field] = []
    for row in bay.jack_rows:
        labelled = [jack for jack in bay.jacks() if jack.row == row and jack in words]
        while labelled:
            jack, *others = labelled
            if others and _stereo(facility, words, jack, others[0]):
                found.append(under_heading((jack, others[0]), words))
                labelled = others[1:]
            else:
                found.append(Field((jack,), words[jack]))
                labelled = others
    return found


def under_heading(jacks: Sequence[Jack], words: Mapping[Jack, Words]) -> Field:
    """Jacks whose labels differ in the last word only, under the words that they share."""
    heading = words[jacks[0]][:-1]
    return Field(tuple(jacks), heading, tuple(words[jack][-1] for jack in jacks))


def _stereo(facility: Facility, words: Mapping[Jack, Words], left: Jack, right: Jack) -> bool:
    """Whether two jacks stand side by side and carry the left and right of one thing."""
    one, other = words[left], words[right]
    if right.position != left.position + 1 or not share_heading(one, other):
        return False
    by_letter = one[-1].endswith("L") and other[-1] == one[-1][:-1] + "R"
    return by_letter or _filed_pair(facility, left, right)


def share_heading(one: Words, other: Words) -> bool:
    """Whether two labels differ in their last word only."""
    return len(one) > 1 and one[:-1] == other[:-1] and one[-1] != other[-1]


def _filed_pair(facility: Facility, left: Jack, right: Jack) -> bool:
    wires = facility.wires.get(left), facility.wires.get(right)
    if wires[0] is None or wires[1] is None:
        return False
    one, other = wires[0].to, wires[1].to
    box = facility.equipment[one.equipment]
    same = one.equipment == other.equipment and one.side == other.side
    return same and (one.port, other.port) in box.stereo_pairs


def runs_of(found: Sequence[Field], words: Mapping[Jack, Words]) -> list[list[Field]]:
    """Single fields that stand side by side and differ in the last word only, two or more each."""
    runs: list[list[Field]] = []
    for field in found:
        if runs and _continues(runs[-1][-1], field, words):
            runs[-1].append(field)
        else:
            runs.append([field])
    return [run for run in runs if len(run) > 1]


def _continues(one: Field, other: Field, words: Mapping[Jack, Words]) -> bool:
    if one.tails or other.tails:
        return False
    left, right = one.jacks[0], other.jacks[0]
    side_by_side = left.row == right.row and right.position == left.position + 1
    return side_by_side and share_heading(words[left], words[right])


def row_of(field: Field) -> Row:
    """The row that a field stands in."""
    return field.jacks[0].row


def labels_of(found: Iterable[Field]) -> dict[Jack, Words]:
    """What each jack reads, by jack."""
    return {jack: field.of(jack) for field in found for jack in field.jacks}
