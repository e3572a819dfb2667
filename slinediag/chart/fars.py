"""Where the ways through equipment in parts go on: the ports of other parts, told at its own.

At an input stand the outputs that it feeds, at an output the inputs that feed it; of many the
first, and the list that tells of all. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from slinediag.address import PortAddress
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.ranges import compressed, follows, run_of_labels
from slinediag.model.facility import Facility
from slinediag.tracing.way import way_of

WIDEST_PLACE = "88 W8"
"""Sheet and zone that a port's words have room for; a digit more still clears all else."""
WIDEST_SHEET = "88"
TOLD = 2
"""So many are named at a port; of more the first, and how many there are besides."""
MOST_OF_HERE = 32_000
"""The most room that the names of rows in the same part take."""
WORD_GAP = 900
LAST = 10**6
"""The rank of an output that leads to no priority."""

PortFolds = Mapping[PortAddress, tuple[PortAddress, ...]]
"""Ports that one row stands for, by the first of them."""


@dataclass(frozen=True, slots=True)
class Far:
    """A row of equipment that a way leads to: the first of its ports, and what it is called."""

    port: PortAddress
    label: str


@dataclass(frozen=True, slots=True)
class Onward:
    """A port's row, and the rows that ways lead to from there, or come from, and are not drawn.

    ``own``: those of these rows that are in the same part. ``every``: whether there is a way to
    every output of the equipment, or from every input.
    """

    port: PortAddress
    fars: tuple[Far, ...]
    own: frozenset[PortAddress] = frozenset()
    every: bool = False

    @property
    def told(self) -> tuple[Far, ...]:
        """Those that are named at the port: at an output all or none, since none is the first."""
        if len(self.fars) <= TOLD:
            return self.fars
        return self.fars[:1] if self.port.side == "in" else ()

    @property
    def all_others(self) -> bool:
        """Whether those that are not named at an input are all outputs but these."""
        return self.every and self.port.side == "in" and len(self.fars) > TOLD

    @property
    def untold(self) -> bool:
        """Whether only the list of ways names all of them."""
        if len(self.fars) <= TOLD or self.every:
            return False
        return self.port.side == "out" or any(line.listed for line in lines_at(self))


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
    found: dict[PortAddress, list[PortAddress]] = {}
    for name in boxes:
        for entry, leaving in facility.equipment[name].ways:
            ends = PortAddress(name, entry, "in"), PortAddress(name, leaving, "out")
            if not drawn >= set(ends):
                continue
            one, other = (row.get(end, end) for end in ends)
            found.setdefault(one, []).append(other)
            found.setdefault(other, []).append(one)
    several = {port for fars in found.values() if len(fars) > 1 for port in fars}
    ranks = {port: _rank(facility, port) for port in several if port.side == "out"}
    filed = {
        PortAddress(name, port.id, port.side): number
        for name in boxes
        for number, port in enumerate(facility.equipment[name].ports)
    }

    def in_order(ports: Iterable[PortAddress]) -> list[PortAddress]:
        return sorted(dict.fromkeys(ports), key=lambda p: (ranks.get(p, LAST), filed[p]))

    return {
        port: tuple(Far(far, _called(facility, folds.get(far, (far,)))) for far in in_order(fars))
        for port, fars in found.items()
    }


def _rank(facility: Facility, output: PortAddress) -> int:
    """The highest priority that an output leads to, 1 the highest of all."""
    ends = (hop.target for hop in way_of(facility, output).downstream)
    priorities = (facility.equipment[e.equipment].facts[e.port, "in"].priority for e in ends)
    return min((priority for priority in priorities if priority is not None), default=LAST)


def _called(facility: Facility, ports: Sequence[PortAddress]) -> str:
    box = facility.equipment[ports[0].equipment]
    return row_words([box.facts[port.port, port.side].label or port.port for port in ports])


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
        Line(f"{way if not number else 'and'} {far.label}", far)
        for number, far in enumerate(row.told)
    ]
    rest = row.fars[len(row.told) :]
    if found and rest:
        found.append(Line("and all other outputs") if row.every else _more(row, rest, alone=alone))
    return found


def _more(row: Onward, rest: Sequence[Far], *, alone: bool) -> Line:
    """What is said of the rows that are not named each with its place."""
    here = [far for far in rest if far.port in row.own]
    if len(here) == len(rest):
        words = f"and {', '.join(far.label for far in here)}"
        if width(words) <= MOST_OF_HERE:
            return Line(words)
    words = f"{len(rest)} more:"
    if here:
        away = len(rest) - len(here)
        words = f"{len(here)} more here, {away}:" if away else f"{len(here)} more here:"
    return Line(words if alone else f"{words} sheet", listed=True)


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
