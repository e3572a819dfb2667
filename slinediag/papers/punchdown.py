"""The punch-down schedule: contact by contact what goes where, for the person at the block."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from slinediag.address import Address, Jack, partner
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.papers.colours import pair_colours
from slinediag.papers.runs import Pair, by_end, end_label, pairs_of, place_of
from slinediag.papers.table import Table, Value
from slinediag.papers.terminations import (
    AT_BAY,
    Spring,
    Termination,
    Tied,
    springs_of,
    strapped,
    straps_of,
    terminations,
)
from slinediag.tracing.phrases import counted

ALL_SPRINGS: tuple[Spring, ...] = ("T", "R", "S", "TN", "RN")
COLUMNS = (
    "Bay", "Jack", "Printed", "Label", "Contact", "Number", "Cable", "Pair", "Colour", "Goes to",
    "Far label", "Far contact", "Shield here", "Shield far", "Strapped to", "Length m", "Note",
)  # fmt: skip


@dataclass(frozen=True)
class Rear:
    """All that is behind the bays of a facility."""

    facility: Facility
    pairs: Mapping[Address, Pair]
    straps: Mapping[tuple[Jack, Spring], tuple[Tied, ...]]


def rear_of(facility: Facility) -> Rear:
    """What is wired and strapped at the rear of every jack."""
    return Rear(facility, by_end(pairs_of(facility)), strapped(straps_of(facility)))


def punchdown_table(facility: Facility) -> Table:
    """A row a termination, bay by bay, in the order wired."""
    rear = rear_of(facility)
    rows = tuple(
        _contact_row(rear, bay, termination)
        for bay in facility.bays_in_order
        for termination in terminations(bay)
    )
    return Table("punchdown", "Punch-down, contact by contact", COLUMNS, rows)


def _contact_row(rear: Rear, bay: Bay, at: Termination) -> tuple[Value, ...]:
    """A termination, what is on it, and where its wire and its straps lead."""
    facility, jack = rear.facility, at.jack
    pair = rear.pairs.get(jack) if at.spring in ("T", "R", "S") else None
    straps = "; ".join(map(str, rear.straps.get((jack, at.spring), ())))
    head = (bay.id, str(jack), bay.printed_number(jack), end_label(facility, jack) or None)
    note = bay.point(jack.position).note
    if pair is None:
        empty = (None,) * 8
        return (*head, at.spring, at.number, *empty, straps or None, None, note)
    far = pair.other(jack)
    cable = facility.cables.get(pair.cable)
    tip, ring = pair_colours(cable, pair.number)
    colour = {"T": tip, "R": ring}.get(at.spring, "shield")
    return (
        *head,
        at.spring,
        at.number,
        pair.cable,
        pair.number,
        colour or None,
        facility.spelled(far),
        end_label(facility, far) or None,
        _as_cell(far_contact(facility, pair, far, at.spring)),
        joined(pair.joined(jack)),
        joined(pair.joined(far)),
        straps or None,
        cable.length if cable else None,
        note,
    )


def far_contact(facility: Facility, pair: Pair, far: Address, spring: Spring) -> str:
    """The contact at the far end that a contact of a jack is wired to.

    Of a port + and - (of an unbalanced one + and its sleeve, which is earth there), of a jack T
    and R; exchanged where the pair is swapped. T is +, R is - (AES14, IEC 60268-12).
    """
    if spring == "S":
        return "S" if isinstance(far, Jack) else "shield"
    plus = (spring == "T") != pair.swapped
    if isinstance(far, Jack):
        return "T" if plus else "R"
    if facility.facts(far).balanced:
        return "+" if plus else "\N{MINUS SIGN}"
    return "+" if plus else "sleeve"


def _as_cell(contact: str) -> str:
    """A contact as a spreadsheet's cell: a bare sign would be taken for a formula's beginning."""
    return contact if contact.isalpha() else f"({contact})"


def joined(yes: bool) -> str:
    """A shield's end in words."""
    return "joined" if yes else "lifted"


def bay_table(rear: Rear, bay: Bay) -> Table:
    """A bay's jacks in the order wired, a row a jack; runs of jacks with nothing behind are one."""
    longest = max((springs_of(bay, row) for row in bay.jack_rows), key=lambda found: len(found))
    columns = (
        "Jack", "Label", " ".join(longest), "Cable", "Pair", "Colour", "Goes to", "Stands at",
        "Far label", "T to", "Shield here", "far", "m", "Strapped",
    )  # fmt: skip
    numbers: dict[Jack, list[int]] = {}
    for termination in terminations(bay):
        numbers.setdefault(termination.jack, []).append(termination.number)
    rows = tuple(
        _jack_row(rear, run[0], numbers)
        if _bare(rear, run[0]) is None
        else _run_row(rear, run, numbers)
        for run in _runs(rear, bay)
    )
    count = sum(map(len, numbers.values()))
    word = AT_BAY[bay.terminations or "idc"]
    title = f"{bay.printed}  {bay.name}: {counted(count, f'{word} position')}"
    return Table(f"bay-{bay.id}", title, columns, rows)


def _runs(rear: Rear, bay: Bay) -> Iterator[list[Jack]]:
    """Jacks one by one; those with nothing behind them but normals alike, in runs of one row."""
    for key, run in groupby(bay.jacks(), key=lambda jack: _bare(rear, jack)):
        jacks = list(run)
        if key is None:
            yield from ([jack] for jack in jacks)
        else:
            yield jacks


def _bare(rear: Rear, jack: Jack) -> tuple[str, str] | None:
    """The row of a jack with no wire and no label, and its own normal; None of any other jack."""
    if jack in rear.pairs or end_label(rear.facility, jack) or _across(rear, jack):
        return None
    return jack.row, _own_strap(rear, jack)


def _own_strap(rear: Rear, jack: Jack) -> str:
    """What straps the two jacks of its position at the rear: a normal's kind, a mult."""
    return next((tied.what for _, tied in _ties(rear, jack) if tied.jack == partner(jack)), "")


def _across(rear: Rear, jack: Jack) -> list[str]:
    """What is strapped to a jack from other positions, by its T and TN; R and RN go alike."""
    return [
        f"{spring} to {tied}"
        for spring, tied in _ties(rear, jack)
        if spring in ("T", "TN") and tied.jack != partner(jack)
    ]


def _ties(rear: Rear, jack: Jack) -> Iterator[tuple[Spring, Tied]]:
    for spring in ALL_SPRINGS:
        for tied in rear.straps.get((jack, spring), ()):
            yield spring, tied


def _run_row(rear: Rear, run: list[Jack], numbers: Mapping[Jack, list[int]]) -> tuple[Value, ...]:
    """Jacks that follow one another with nothing behind them but the same normal."""
    first, last = run[0], run[-1]
    name = f"{first.row}{first.position}"
    if len(run) > 1:
        name += f"–{last.row}{last.position}"
    block = _from_to(numbers[first][0], numbers[last][-1])
    own = _own_strap(rear, first)
    return (name, "nothing wired", block, *(None,) * 10, own or None)


def _from_to(first: int, last: int) -> str:
    """Terminations of a block that follow one another."""
    return f"{first}–{last}"


def _jack_row(rear: Rear, jack: Jack, numbers: Mapping[Jack, list[int]]) -> tuple[Value, ...]:
    """A jack with something behind it: its wire, the far end, what is strapped to it."""
    facility = rear.facility
    own = _own_strap(rear, jack)
    straps = "; ".join([*([own] if own else []), *_across(rear, jack)])
    block = _from_to(numbers[jack][0], numbers[jack][-1])
    label = end_label(facility, jack)
    head = (f"{jack.row}{jack.position}", label or None, block)
    pair = rear.pairs.get(jack)
    if pair is None:
        return (*head, *(None,) * 10, straps or None)
    far, cable = pair.other(jack), facility.cables.get(pair.cable)
    tip, ring = pair_colours(cable, pair.number)
    return (
        *head,
        pair.cable if pair.filed else "own",
        pair.number,
        (tip if tip == ring else f"{tip}/{ring}") or None,
        facility.spelled(far),
        place_of(facility, far) or None,
        far_label if (far_label := end_label(facility, far)) != label else None,
        far_contact(facility, pair, far, "T"),
        joined(pair.joined(jack)),
        joined(pair.joined(far)),
        cable.length if cable else None,
        straps or None,
    )
