"""Where the ways through equipment in parts go on: the ports of other parts, told at its own.

At an input stand the outputs that it feeds, at an output the inputs that feed it; of many the
first, and the list that tells of all. Where a row stands for several ports, what is said there is
true of each of them, or names those that it is true of. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import islice, pairwise
from types import MappingProxyType
from typing import NamedTuple

from slinediag.address import PortAddress
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.ranges import compressed, follows, run_of_labels
from slinediag.model.facility import Facility
from slinediag.tracing.way import inputs_beyond

WIDEST_PLACE = "88 W8"
"""Sheet and zone that a port's words have room for; a digit more still clears all else."""
WIDEST_SHEET = "88"
TOLD = 2
"""So many are named at a port; of more the first, and how many there are besides."""
MOST_OF_HERE = 32_000
"""The most room that the names of rows in the same part take."""
WORD_GAP = 900
IN_TURN = "in turn"
"""Said of ports that lead to others one by one: the first to the first, the last to the last."""
EACH, ALL = "each", "all"
"""Said of ports of which each leads to all that are named; of a whole row behind words on some."""
WIDEST_WORDS = 48_000
"""Words that take more room than this are left to the list."""
LAST = 10**6
"""The rank of an output that leads to no priority."""

PortFolds = Mapping[PortAddress, tuple[PortAddress, ...]]
"""Ports that one row stands for, by the first of them."""


@dataclass(frozen=True, slots=True)
class Far:
    """Ports of one row of equipment that a way leads to, or comes from.

    ``port``: the first of that row, by which it is found. ``label``: what those of its ports are
    called. ``here``: the ports of the own row that this is true of, and ``there`` those that are
    meant; each of the former with all of the latter, or where ``in_turn`` the first with the first,
    the second with the second. ``of``: what the former are called where they are not the whole row.
    """

    port: PortAddress
    label: str
    here: tuple[PortAddress, ...] = ()
    there: tuple[PortAddress, ...] = ()
    in_turn: bool = False
    of: str = ""

    @property
    def of_each(self) -> bool:
        """Whether each port of the own row leads to all that the label names."""
        return not (self.in_turn or self.of)

    @property
    def many(self) -> bool:
        """Whether several ports lead to several, each to all of them."""
        return not self.in_turn and len(self.here) > 1 and len(self.there) > 1

    def words(self, way: str, behind: Far | None = None) -> str:
        """What is said of it, ``to`` or ``from``; or behind the line of another."""
        said = f"{self.label} {IN_TURN}" if self.in_turn else self.label
        of = self.of or (ALL if behind and behind.of else "")
        of = f"{of} {EACH}" if self.many and of != ALL else of
        if behind is None:
            return f"{of} {way} {said}".lstrip()
        return f"and {of} {way} {said}" if of else f"and {said}"

    @property
    def fits(self) -> bool:
        """Whether it may be said at a row, and not only in the list."""
        return width(self.words("from")) <= WIDEST_WORDS


@dataclass(frozen=True, slots=True)
class Onward:
    """A port's row, and the rows that ways lead to from there, or come from, and are not drawn.

    ``own``: those of these rows that are in the same part. ``every``: whether there is a way to
    every output of the equipment, or from every input, at each port of the row.
    """

    port: PortAddress
    fars: tuple[Far, ...]
    own: frozenset[PortAddress] = frozenset()
    every: bool = False
    ports: tuple[PortAddress, ...] = ()

    @property
    def told(self) -> tuple[Far, ...]:
        """Those that are named at the port: at an output all or none, since none is the first."""
        if len(self.fars) <= TOLD and all(far.fits for far in self.fars):
            return self.fars
        fitting = (far for far in self.fars if self.port.side == "in" and far.fits)
        return tuple(islice(fitting, 1))

    @property
    def rest(self) -> tuple[Far, ...]:
        """Those that are not named at the port."""
        told = self.told
        return tuple(far for far in self.fars if far not in told)

    @property
    def all_others(self) -> bool:
        """Whether those that are not named at an input are all outputs but these."""
        return self.every and self.port.side == "in" and len(self.fars) > TOLD

    @property
    def untold(self) -> bool:
        """Whether only the list of ways names all of them."""
        if not self.rest or self.every:
            return False
        return self.port.side == "out" or not self.told or any(at.listed for at in lines_at(self))


class Line(NamedTuple):
    """What is said at a row: the words, the row that they name, whether they name the list."""

    words: str
    far: Far | None = None
    listed: bool = False


Fars = Mapping[PortAddress, tuple[Far, ...]]
"""By the first port of a row, the rows that ways lead to from there, or come from."""
NO_FARS: Fars = MappingProxyType({})


def row_words(labels: Sequence[str]) -> str:
    """The label of a row: of its port, or of the run of its ports."""
    if len(labels) > 2 and all(map(follows, labels, labels[1:])):
        return compressed(labels)
    return run_of_labels(labels)


def find_fars(
    facility: Facility, boxes: Iterable[str], drawn: Set[PortAddress], folds: PortFolds
) -> Fars:
    """The rows of equipment that ways lead to from each row, and come from; of ports drawn only.

    Outputs that lead to a high priority come first, others as filed. ``folds``: ports that share
    a row, by the first of them.
    """
    row = {member: first for first, run in folds.items() for member in run}
    found: dict[PortAddress, dict[PortAddress, dict[PortAddress, set[PortAddress]]]] = {}
    for name in boxes:
        for entry, leaving in facility.equipment[name].ways:
            ends = PortAddress(name, entry, "in"), PortAddress(name, leaving, "out")
            if not drawn >= set(ends):
                continue
            for here, there in (ends, ends[::-1]):
                fars = found.setdefault(row.get(here, here), {})
                ways = fars.setdefault(row.get(there, there), {})
                ways.setdefault(here, set()).add(there)
    several = {port for fars in found.values() if len(fars) > 1 for port in fars}
    ranks = {port: _rank(facility, port) for port in several if port.side == "out"}
    filed = {
        PortAddress(name, port.id, port.side): number
        for name in boxes
        for number, port in enumerate(facility.equipment[name].ports)
    }

    def in_order(ports: Iterable[PortAddress]) -> list[PortAddress]:
        return sorted(ports, key=lambda p: (ranks.get(p, LAST), filed[p]))

    return {
        port: tuple(
            far
            for other in in_order(fars)
            for far in _between(
                facility, folds.get(port, (port,)), folds.get(other, (other,)), fars[other]
            )
        )
        for port, fars in found.items()
    }


_Ways = Mapping[PortAddress, Set[PortAddress]]


def _between(
    facility: Facility,
    row: Sequence[PortAddress],
    other: Sequence[PortAddress],
    ways: _Ways,
) -> Iterator[Far]:
    """The ways between two rows, said in as few pieces as are true of each port: of those with the
    same ports at the other end together, or of all of them in turn."""
    joined = [port for port in row if port in ways]
    ends = [tuple(port for port in other if port in ways[end]) for end in joined]
    single = tuple(port for found in ends for port in found)
    rising = [other.index(port) for port in single]
    pieces: dict[tuple[PortAddress, ...], list[PortAddress]] = {}
    in_turn = len(single) == len(joined) > 1 and all(a < b for a, b in pairwise(rising))
    if in_turn:
        pieces[single] = joined
    else:
        for end, found in zip(joined, ends, strict=True):
            pieces.setdefault(found, []).append(end)
    for there, here in pieces.items():
        label = _called(facility, there, other)
        of = _of(facility, here, row) if len(here) < len(row) else ""
        yield Far(other[0], label, tuple(here), there, in_turn, of)


def _rank(facility: Facility, output: PortAddress) -> int:
    """The highest priority that an output leads to, 1 the highest of all."""
    ends = inputs_beyond(facility, output)
    priorities = (facility.equipment[e.equipment].facts[e.port, "in"].priority for e in ends)
    return min((priority for priority in priorities if priority is not None), default=LAST)


def _called(facility: Facility, ports: Sequence[PortAddress], row: Sequence[PortAddress]) -> str:
    """What ports of a row are called: as the row where they are all of it, else every one, since
    the ends of a run would stand for what is between them."""
    labels = _labels(facility, ports)
    return row_words(labels) if len(ports) == len(row) else compressed(labels)


def _of(facility: Facility, ports: Sequence[PortAddress], row: Sequence[PortAddress]) -> str:
    """What some ports of a row are called behind its label: without the words that all begin
    with."""
    stems = {label.rpartition(" ")[0] for label in _labels(facility, row)}
    labels = _labels(facility, ports)
    if len(stems) == 1:
        labels = [label.rpartition(" ")[2] for label in labels]
    return compressed(labels)


def _labels(facility: Facility, ports: Iterable[PortAddress]) -> list[str]:
    facts = ((port, facility.equipment[port.equipment].facts) for port in ports)
    return [found[port.port, port.side].label or port.port for port, found in facts]


def lines_at(row: Onward, *, alone: bool = False) -> list[Line]:
    """The lines at a row, two at most.

    ``alone``: on one sheet, of which only zones are named.
    """
    inward = row.port.side == "in"
    here = row.own.issuperset(far.port for far in row.fars)
    if row.every and (len(row.fars) > 1 and here if inward else len(row.fars) > TOLD):
        return [Line("to all outputs" if inward else "from all inputs")]
    way = "to" if inward else "from"
    found = [
        Line(far.words(way, before), far)
        for before, far in zip((None, *row.told), row.told, strict=False)
    ]
    if found and row.rest:
        every = row.every
        found.append(Line("and all other outputs") if every else _more(row, row.rest, alone=alone))
    return found


def _more(row: Onward, rest: Sequence[Far], *, alone: bool) -> Line:
    """What is said of the rows that are not named each with its place."""
    here = [far for far in rest if far.port in row.own]
    away = [far for far in rest if far.port not in row.own]
    if not away and all(far.of_each and not far.many for far in rest):
        words = f"and {', '.join(far.label for far in here)}"
        if width(words) <= MOST_OF_HERE:
            return Line(words)
    near, far_off = _count(row, here), _count(row, away)
    if near is None or far_off is None:
        words = "more:"
    elif near:
        words = f"{near} more here, {far_off}:" if far_off else f"{near} more here:"
    else:
        words = f"{far_off} more:"
    return Line(words if alone else f"{words} sheet", listed=True)


def _count(row: Onward, fars: Iterable[Far]) -> int | None:
    """To how many ports these lead from each port of a row; None where that is not the same."""
    count = dict.fromkeys(row.ports or (row.port,), 0)
    for far in fars:
        for port in far.here or (row.port,):
            count[port] += 1 if far.in_turn else len(far.there) or 1
    numbers = {*count.values()}
    return numbers.pop() if len(numbers) == 1 else None


def cites_list(rows: Sequence[Onward]) -> bool:
    """Whether a part has to say on which sheet its ways are listed: not all are told at its ports,
    or drawn, and no port says so."""
    said = any(line.listed for row in rows for line in lines_at(row))
    return not said and any(row.untold for row in rows)


def line_width(words: str, place: str) -> int:
    """The room of a line, the place that it names in bold behind it."""
    return width(words) + (WORD_GAP + width(place, SMALL, "bold") if place else 0)


def words_width(rows: Iterable[Onward]) -> int:
    """The room that the lines at ports take behind or before their labels, wherever they lead."""
    return max((_widest(line) for row in rows for line in lines_at(row)), default=0)


def _widest(line: Line) -> int:
    place = WIDEST_PLACE if line.far else WIDEST_SHEET if line.listed else ""
    return line_width(line.words, place)
