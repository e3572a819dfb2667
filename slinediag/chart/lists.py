"""The lists of a sheet: what is not drawn, and what is said of the things that are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from slinediag.address import Address, Jack, jack_order, natural
from slinediag.chart.bay_grid import state_at
from slinediag.chart.blocks import Block, indent_for, prose
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.numbering import CAUTION, NumberedNotes, as_caution
from slinediag.chart.path_list import path_block
from slinediag.chart.points import PointPlan
from slinediag.chart.ranges import (
    compressed,
    counts_on,
    first_to_last,
    follows,
    number_ranges,
)
from slinediag.chart.said import OutageTable, Remedy, Said
from slinediag.chart.subject import Position, Subject, joins
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.model.bay import Bay, NormalKind
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Cord, Facility, Plug
from slinediag.model.labels import jack_label, jack_name, port_label

NORMALED: dict[NormalKind, str] = {
    "full": "full-normaled",
    "half": "half-normaled",
    "reverse-half": "reverse half-normaled",
    "parallel": "parallel",
    "none": "non-normaled",
}
CAUTIONS = (
    "Circuits on air and alarm circuits: say so and wait for a word before a plug goes in.",
    "Phantom power: switch it off, wait, then patch.",
    "Protective earth stays on everything, always. Local codes and licensed practice govern mains "
    "and protective earth.",
)


def lists(
    subject: Subject,
    boxes: Sequence[BoxPlan],
    notes: NumberedNotes,
    said: Said,
    room: int,
    points: Sequence[PointPlan] = (),
) -> tuple[Block, ...]:
    """All lists that have anything to say, in a column of this width.

    ``points``: the nodes of positions, of which those that stand for several are told singly.
    """
    made = (
        _sentences("cautions", "Cautions", CAUTIONS, room),
        *_remedy(said.remedy, room),
        replace(_sentences("words", said.heading, said.words, room), whole=True),
        *_outages(said.outages, room),
        _numbered("notes", "Notes by number", notes.words, room),
        _sentences("facility-notes", "Notes", subject.facility.practice.notes, room),
        named_block("folded-lines", "Lines drawn as one", list(_folded(subject, points)), room),
        named_block("cords", "Standing cords and plugs", list(_plugs(subject)), room),
        named_block("ties", "Tie lines and mults", list(_ties(subject)), room),
        path_block(boxes, room),
        named_block("spares", "Positions not drawn", list(_positions(subject)), room),
        named_block("not-drawn", "Equipment not drawn", list(_equipment(subject)), room),
    )
    return tuple(block for block in made if block.items)


def _outages(table: OutageTable | None, room: int) -> tuple[Block, ...]:
    if table is None:
        return ()
    return (named_block("outages", table.heading, (*table.rows, *table.closing), room),)


def _remedy(remedy: Remedy | None, room: int) -> tuple[Block, ...]:
    """What to mind, what to do, step by step, and what is said of that."""
    if remedy is None:
        return ()
    steps = _numbered("remedy", "Do this", remedy.steps, room)
    before, beside = (
        _sentences("remedy", "Do this", words, room) for words in (remedy.before, remedy.beside)
    )
    items = (*before.items, *steps.items, *beside.items)
    return (replace(steps, items=items, whole=True),)


def _sentences(name: str, heading: str, words: Sequence[str], room: int) -> Block:
    return Block(name, heading, tuple(prose(sentence, room, "•", 3200) for sentence in words))


def _numbered(name: str, heading: str, words: Sequence[str], room: int) -> Block:
    numbers = [str(n) for n in range(1, len(words) + 1)]
    indent = indent_for(numbers)
    pairs = zip(numbers, words, strict=True)
    return Block(
        name, heading, tuple(prose(text, room, number, indent, CAUTION) for number, text in pairs)
    )


def named_block(name: str, heading: str, rows: Sequence[tuple[str, str]], room: int) -> Block:
    """A list of things by what they are called, in a column of this width."""
    indent = min(indent_for(mark for mark, _ in rows), room // 2)
    return Block(
        name, heading, tuple(prose(text, room, mark, indent if mark else 0) for mark, text in rows)
    )


def _folded(subject: Subject, points: Sequence[PointPlan]) -> Iterator[tuple[str, str]]:
    """Of each run of more than two positions, every position with what its strip says; not of those
    whose first and last labels, which are drawn, tell all between them."""
    runs = dict.fromkeys(point.members for point in points if len(point.members) > 2)
    for members in runs:
        if not set(members) <= {*subject.drawn} or _count_up(subject.facility, members):
            continue
        bay = subject.facility.bays[members[0].bay]
        told = [_labels_at(subject.facility, place) for place in members]
        first, last = (
            bay.printed_number(Jack(bay.id, "T", m.number)) for m in (members[0], members[-1])
        )
        yield f"{bay.printed} {first}–{last}", "; ".join(told)


def _count_up(facility: Facility, members: Sequence[Position]) -> bool:
    """Whether the labels of each row are all alike or count up."""
    for row in facility.bays[members[0].bay].jack_rows:
        labels = [jack_label(facility, Jack(m.bay, row, m.number)) for m in members]
        pairs = list(pairwise(labels))
        if not (all(a == b for a, b in pairs) or all(follows(a or "", b or "") for a, b in pairs)):
            return False
    return True


def _labels_at(facility: Facility, place: Position) -> str:
    """A position's number and the labels of its strips."""
    bay = facility.bays[place.bay]
    jacks = [Jack(bay.id, row, place.number) for row in bay.jack_rows]
    labels = [label for jack in jacks if (label := jack_label(facility, jack))]
    return f"{bay.printed_number(jacks[0])} {' / '.join(labels)}".strip()


def _plugs(subject: Subject) -> Iterator[tuple[str, str]]:
    facility = subject.facility
    cords = [cord for cord in facility.cords if subject.covers(cord.source, cord.target)]
    for cord in sorted(cords, key=lambda cord: jack_order(cord.source)):
        ends = f"{jack_name(facility, cord.source)} to {jack_name(facility, cord.target)}"
        yield "Cord", _with_story(ends, cord)
    plugs = [plug for plug in facility.plugs if subject.covers(plug.jack)]
    for plug in sorted(plugs, key=lambda plug: jack_order(plug.jack)):
        yield "Plug", _with_story(jack_name(facility, plug.jack), plug)


def _with_story(what: str, thing: Cord | Plug) -> str:
    """The thing, its note, since when, by whom."""
    story = [as_caution(thing.note or "")]
    if thing.since is not None:
        story.append(f"since {thing.since.isoformat()}")
    if thing.by:
        story.append(f"by {thing.by}")
    told = ", ".join(part for part in story if part)
    return f"{what}: {told}" if told else what


class Tie(NamedTuple):
    """A line as it is listed: its id, what its two ends are called, whether it swaps."""

    id: str
    source: str
    target: str
    swapped: bool


def _ties(subject: Subject) -> Iterator[tuple[str, str]]:
    """Lines, those that count up at both ends as one; then mults."""
    facility = subject.facility
    ties = [
        Tie(line.id, _called(facility, line.source), _called(facility, line.target), line.swapped)
        for line in sorted(facility.lines.values(), key=lambda line: natural(line.id))
        if joins(facility, line.source) and joins(facility, line.target)
        if subject.covers(line.source, line.target)
    ]
    at = 0
    while at < len(ties):
        end = at + 1
        while end < len(ties) and _goes_on(ties[end - 1], ties[end]):
            end += 1
        yield _tie_words(ties[at], ties[end - 1])
        at = end
    mults = [mult for mult in facility.mults.values() if subject.covers(*mult.jacks)]
    for mult in sorted(mults, key=lambda mult: natural(mult.id)):
        jacks = sorted(mult.jacks, key=jack_order)
        yield mult.id, "mult: " + compressed([jack_name(facility, jack) for jack in jacks])


def _goes_on(one: Tie, other: Tie) -> bool:
    """Whether a line follows another: id and both ends count up, and both swap or neither does."""
    pairs = ((one.id, other.id), (one.source, other.source), (one.target, other.target))
    return one.swapped == other.swapped and all(follows(*pair) for pair in pairs)


def _tie_words(first: Tie, last: Tie) -> tuple[str, str]:
    swapped = ", + and − swapped" if first.swapped else ""
    if first == last:
        return first.id, f"{first.source} to {first.target}{swapped}"
    ends = (
        first_to_last(first.source, last.source),
        first_to_last(first.target, last.target),
    )
    return first_to_last(first.id, last.id), f"{ends[0]} to {ends[1]}{swapped}"


def _called(facility: Facility, address: Address) -> str:
    if isinstance(address, Jack):
        return jack_name(facility, address)
    return port_label(facility, address)


def _positions(subject: Subject) -> Iterator[tuple[str, str]]:
    """What plugs in the positions do that are not drawn; then per bay and description their
    printed numbers."""
    bays = subject.facility.bays
    listed = [(bays[place.bay], place.number) for place in subject.listed]
    kinds = {bay.normal_at(number) for bay, number in listed if bay.rows != 1}
    for kind, words in NORMALED.items():
        if kind in kinds and kind != "none":
            yield "", f"{words.capitalize()}: {_plugs_in(kind)}."
    there: dict[str, list[int]] = {}
    for position in subject.listed:
        there.setdefault(position.bay, []).append(position.number)
    for bay_id, positions in there.items():
        bay = bays[bay_id]
        groups: dict[str, list[int]] = {}
        for run in _counting_up(subject.facility, bay, positions):
            labels = _labels(bay, run)
            words = _description(subject.facility, bay_id, run[0], labels)
            groups.setdefault(words, []).extend(run)
        first = bay.printed_number(Jack(bay_id, "T", 1)) - 1
        told = [
            f"{number_ranges(number + first for number in numbers)} {words}"
            for words, numbers in groups.items()
        ]
        yield bay.printed, "; ".join(told)


def _plugs_in(kind: NormalKind) -> str:
    """What a plug in either jack of a position does, by the contact table."""
    top, bottom = broken_by_source(kind), broken_by_target(kind)
    if top == bottom:
        return f"a plug in either jack {'breaks' if top else 'taps'} it"
    words = ("taps", "breaks")
    return f"a plug in the top jack {words[top]} it, one in the bottom jack {words[bottom]} it"


def _counting_up(facility: Facility, bay: Bay, numbers: Sequence[int]) -> list[list[int]]:
    """Positions in runs that follow each other, alike but for labels that count up."""

    def told(number: int) -> tuple[str, str, str]:
        point = bay.point(number)
        words = _description(facility, bay.id, number, "")
        return words, point.label_top or "", point.label_bottom or ""

    def goes_on(run: Sequence[int], number: int) -> bool:
        if number != run[-1] + 1:
            return False
        words, *labels = told(number)
        for member, steps in ((run[0], len(run)), (run[-1], 1)):
            known, *before = told(member)
            pairs = zip(before, labels, strict=True)
            if known != words or not all(a == b or counts_on(a, b, steps) for a, b in pairs):
                return False
        return True

    runs: list[list[int]] = []
    for number in numbers:
        if runs and goes_on(runs[-1], number):
            runs[-1].append(number)
        else:
            runs.append([number])
    return runs


def _labels(bay: Bay, run: Sequence[int]) -> str:
    """What the strips of such a run say, by its ends."""
    first, last = bay.point(run[0]), bay.point(run[-1])
    ends = ((first.label_top, last.label_top), (first.label_bottom, last.label_bottom))
    return " / ".join(
        one if one == other else first_to_last(one, other) for one, other in ends if one and other
    )


def _description(facility: Facility, bay_id: str, number: int, labels: str) -> str:
    bay = facility.bays[bay_id]
    point = bay.point(number)
    parts = [state_at(facility, Position(bay_id, number))]
    if labels:
        parts.append(f"labelled {labels}")
    gone = [
        wire.to.equipment
        for row in bay.jack_rows
        if (wire := point.wire(row)) is not None and not joins(facility, wire.to)
    ]
    if gone:
        parts.append(f"wired to {', '.join(dict.fromkeys(gone))}, removed")
    if bay.rows != 1:
        parts.append(NORMALED[bay.normal_at(number)])
    said = ", ".join(parts)
    return f"{said} ({as_caution(point.note)})" if point.note else said


def _equipment(subject: Subject) -> Iterator[tuple[str, str]]:
    for box in subject.unwired:
        state = "spare, on no line" if box.state == "spare" else "on no line"
        yield box.printed, _told(box, state)
    for box in subject.removed:
        yield box.printed, _told(box, "removed, kept for the record")


def _told(box: Equipment, state: str) -> str:
    place = f", {box.place}" if box.place else ""
    note = f" ({box.note})" if box.note else ""
    return f"{box.name}{place}: {state}{note}"
