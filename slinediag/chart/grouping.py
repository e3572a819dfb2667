"""In which groups of units on one sheet large equipment has parts of its own, and in which an
earlier set had them.

Each group is joined to its own part of the equipment that it shares with others. Where the inputs
have one part for what is several groups to the outputs, or the other way round, lines that would
cross between two parts of one box need not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from slinediag.address import SIDES, PortAddress, Side
from slinediag.chart.earlier import Earlier
from slinediag.chart.standing import Stood

Manner = Literal["roomy", "narrow", "close"]
"""As lines ask for; with what follows each other from left to right as near as may be; with ports
under each other as near as may be, too, so that fewer lines run straight."""
MANNERS: tuple[Manner, ...] = ("roomy", "narrow", "close")
Part = tuple[str, ...]
Groups = tuple[Part, ...]
Island = tuple[int, int]


class Grouping(NamedTuple):
    """The units of a sheet in groups, to the inputs and to the outputs of large equipment: the same
    to both, or those to one side each within one to the other. Units in one group to both share
    parts that have inputs and outputs. ``manner``: how what is drawn of them is set.
    """

    inputs: Groups
    outputs: Groups
    manner: Manner = "roomy"

    @property
    def groups(self) -> Groups:
        """The groups that share no part at all."""
        wide = [one for one in self.inputs if not any(set(one) < set(o) for o in self.outputs)]
        others = [o for o in self.outputs if not any(set(o) <= set(one) for one in self.inputs)]
        return (*wide, *others)


NO_GROUPS = Grouping((), ())


def alike(groups: Groups, manner: Manner = "roomy") -> Grouping:
    """The same groups to both sides."""
    return Grouping(groups, groups, manner)


def stacks_of(
    owner: Mapping[PortAddress, str], grouping: Grouping
) -> dict[str, tuple[frozenset[PortAddress], ...]]:
    """By large equipment its ports by parts, given the unit at the line of each; one part for all
    that is in no group.

    Its inputs and outputs stand in parts of their own only where one of its sides has several.
    """
    ports: dict[str, dict[int, dict[tuple[Side, int], set[PortAddress]]]] = {}
    at = [_numbers(groups) for groups in (grouping.groups, grouping.inputs, grouping.outputs)]
    for port, unit in sorted(owner.items()):
        number = at[SIDES.index(port.side) + 1].get(unit, 0)
        group = ports.setdefault(port.equipment, {}).setdefault(at[0].get(unit, 0), {})
        group.setdefault((port.side, number), set()).add(port)
    return {
        box: tuple(frozenset(part) for _, group in sorted(groups.items()) for part in _parts(group))
        for box, groups in sorted(ports.items())
    }


def _parts(group: Mapping[tuple[Side, int], set[PortAddress]]) -> list[set[PortAddress]]:
    """The ports of a box in one group: all together unless one side is in several groups."""
    parts = [part for _, part in sorted(group.items())]
    alone = len({side for side, _ in group}) == len(group)
    return [set().union(*parts)] if alone else parts


def _numbers(groups: Groups) -> dict[str, int]:
    return {unit: number for number, units in enumerate(groups) for unit in units}


@dataclass(frozen=True, slots=True)
class Before:
    """By node: the sheet and the island in which an earlier set had it, and with what it is in one
    group there, as a number; and the side of which an island had one part for all of its groups."""

    island: dict[str, Island]
    group: dict[str, tuple[int, int, int]]
    whole: dict[Island, Side]

    def whole_at(self, side: Side, part: Iterable[str]) -> dict[str, tuple[Island, ...]]:
        """By unit, the island in which it shared the one part of a side with other groups."""
        at = {unit: self.island[unit] for unit in part if unit in self.island}
        return {
            unit: (at[unit],) if unit in at and self.whole.get(at[unit]) == side else ()
            for unit in part
        }


def groups_before(keep: Earlier, large: Collection[str]) -> Before:
    """The groups of an earlier set, read from what stood in its islands."""
    found = Before({}, {}, {})
    for number, sheet in keep.sheets.items():
        for island, stood in enumerate(sheet.standing.islands):
            side = _whole_side(stood, large)
            if side:
                found.whole[number, island] = side
            for group, names in enumerate(_apart(stood, large, side)):
                found.island.update((name, (number, island)) for name in names)
                found.group.update((name, (number, island, group)) for name in names)
    return found


def _whole_side(stood: Stood, large: Collection[str]) -> Side | None:
    """The side of which equipment has one part in an island, having several of the other: one with
    lines that run back has one with inputs alone and one with its outputs."""
    sides = _sides(stood, large)
    for box in sorted({_box_of(name, large) for name in sides}):
        own = [sides[name] for name in sides if _box_of(name, large) == box]
        if sum("out" in each for each in own) > 1:
            return "in"
        if sum("out" not in each for each in own) > 1:
            return "out"
    return None


def _sides(stood: Stood, large: Collection[str]) -> dict[str, set[Side]]:
    """By part of large equipment the sides that lines lead to or from."""
    found: dict[str, set[Side]] = {}
    for source, target, _ in stood.layout.standing.lines:
        if _box_of(source[0], large):
            found.setdefault(source[0], set()).add("out")
        if _box_of(target[0], large):
            found.setdefault(target[0], set()).add("in")
    return found


def _apart(stood: Stood, large: Collection[str], side: Side | None) -> Iterator[list[str]]:
    """The nodes of an island by what lines hold together without the parts of one side."""
    left = {name: {name} for row in stood.layout.layers for name in row}
    gone = {name for name, own in _sides(stood, large).items() if side and own == {side}}
    for (source, _), (target, _), _ in stood.layout.standing.lines:
        if gone.isdisjoint((source, target)) and left[source] is not left[target]:
            left[source] |= left[target]
            left.update((name, left[source]) for name in left[target])
    seen: set[int] = set()
    for row in stood.layout.layers:
        for name in row:
            if name not in gone and id(left[name]) not in seen:
                seen.add(id(left[name]))
                yield sorted(left[name] - gone)


def _box_of(name: str, large: Collection[str]) -> str:
    """The large equipment that a node is a part of, or ""."""
    box, _, number = name.rpartition(":")
    return name if name in large else box if number.isdecimal() and box in large else ""
