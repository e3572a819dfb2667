"""Ground loops: every independent way round through joined metal, each found once.

What joins metal is laid one piece after another. A piece whose ends are apart ties them into one
tree; one whose ends are joined already closes a loop, with the way through the tree as the rest
of it. So the loops are as many as are independent, and each holds a piece that no earlier one has
(the fundamental cycles of a spanning tree: any textbook of graph theory). Cords are laid last: a
loop that one closes is that cord's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

from slinediag.address import Jack, PortAddress, port_order
from slinediag.model.facility import Facility
from slinediag.tracing.cords import CordEnds, Trial
from slinediag.tracing.shields.metal import (
    Chassis,
    Earth,
    Join,
    Metal,
    cord_joins,
    sleeve_of,
    standing_joins,
)

EARTH = Earth()


@dataclass(frozen=True, slots=True)
class Loop:
    """One ground loop: the pieces in order round it, and the metal from which each leads on.

    The last piece is the one that closes it.
    """

    joins: tuple[Join, ...]
    metal: tuple[Metal, ...]

    @property
    def cord(self) -> Join | None:
        """The cord that closes it; None where it stands without one."""
        return self.joins[-1] if self.joins[-1].kind == "cord" else None

    @property
    def bay(self) -> str | None:
        """The one bay that all of it lies within; None where it is a loop between chassis."""
        bays = {join.bay for join in self.joins}
        return bays.pop() if len(bays) == 1 else None

    @property
    def local(self) -> bool:
        """Whether all of it lies within one bay."""
        return self.bay is not None

    @property
    def chassis(self) -> tuple[str, ...]:
        """The equipment whose chassis it runs through, in order round it."""
        return tuple(metal.equipment for metal in self.metal if isinstance(metal, Chassis))

    @property
    def jacks(self) -> tuple[Jack, ...]:
        """The jacks it passes, each once, in order round it; those of straps left out."""
        found = (j for join in self.joins if join.kind not in ("strap", "bond") for j in join.jacks)
        return tuple(dict.fromkeys(found))

    @property
    def ports(self) -> tuple[PortAddress, ...]:
        """The ports whose shields it runs along."""
        return tuple(dict.fromkeys(port for join in self.joins for port in join.ports))


def unbalanced_in(facility: Facility, loops: Iterable[Loop]) -> tuple[PortAddress, ...]:
    """The unbalanced ports whose shields are in these loops, in natural order."""
    ports = {port for loop in loops for port in loop.ports}
    found = (port for port in ports if not facility.facts(port).balanced)
    return tuple(sorted(found, key=port_order))


def severity_of(facility: Facility, loops: Sequence[Loop]) -> Literal["warning", "note"]:
    """How grave loops are: by the practice stated, by what they run through, by unbalanced ports.

    Where shields are joined at both ends loops are expected (AES48-2005); within one bay, or
    between bays of one rack, they are short (common practice).
    """
    if unbalanced_in(facility, loops):
        return "warning"
    if facility.practice.shields == "both":
        return "note"
    short = all(loop.local or within_one_place(facility, loop) for loop in loops)
    return "note" if short else "warning"


def within_one_place(facility: Facility, loop: Loop) -> bool:
    """Whether a loop runs between bays alone, all of them in one rack."""
    places = {facility.bays[jack.bay].place for jack in loop.jacks}
    return not loop.chassis and len(places) == 1 and None not in places


class _Tree:
    """Metal tied together so far; each piece knows the way to the root of its tree."""

    def __init__(self) -> None:
        self._up: dict[Metal, tuple[Join, Metal]] = {}

    def lay(self, join: Join) -> Loop | None:
        """Tie the ends of a piece together, or say which loop it closes."""
        one, other = join.ends
        ways = self._rootward(one), self._rootward(other)
        if ways[0][-1] != ways[1][-1]:
            self._turn(ways[0])
            self._up[one] = (join, other)
            return None
        return self._loop(join, *ways)

    def root(self, metal: Metal) -> Metal:
        """The root of the metal's tree."""
        while metal in self._up:
            metal = self._up[metal][1]
        return metal

    def _rootward(self, metal: Metal) -> list[Metal]:
        way = [metal]
        while metal in self._up:
            metal = self._up[metal][1]
            way.append(metal)
        return way

    def _turn(self, way: list[Metal]) -> None:
        """Make the first of this way the root of its tree."""
        steps = [(below, above, self._up.pop(below)[0]) for below, above in pairwise(way)]
        for below, above, join in steps:
            self._up[above] = (join, below)

    def _loop(self, join: Join, mine: list[Metal], theirs: list[Metal]) -> Loop:
        while len(mine) > 1 and len(theirs) > 1 and mine[-2] == theirs[-2]:
            del mine[-1], theirs[-1]
        metal = [*mine, *reversed(theirs[:-1])]
        down = [self._up[m][0] for m in mine[:-1]]
        back = [self._up[m][0] for m in reversed(theirs[:-1])]
        return Loop((*down, *back, join), tuple(metal))


@dataclass(frozen=True)
class Shields:
    """The shields of a facility with these plugs and cords in.

    ``joins`` are all shields, straps and bonds, those of cords last, joined or not.
    """

    facility: Facility
    joins: tuple[Join, ...]

    @cached_property
    def _laid(self) -> tuple[_Tree, tuple[Loop, ...]]:
        tree = _Tree()
        found = [tree.lay(join) for join in self.joins if len(join.ends) == 2]
        return tree, tuple(loop for loop in found if loop is not None)

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Every independent ground loop; those that cords close last, in the cords' order."""
        return self._laid[1]

    def earthed(self, metal: Metal) -> bool:
        """Whether the metal has a way to earth."""
        tree = self._laid[0]
        return tree.root(metal) == tree.root(EARTH)

    @property
    def floating_shields(self) -> tuple[Join, ...]:
        """The shields of wires, lines, ties and cords that are joined to nothing with earth."""
        return tuple(
            join
            for join in self.joins
            if join.kind in ("wire", "line", "tie", "cord")
            and not any(self.earthed(metal) for metal in join.ends)
        )

    @property
    def floating_sleeves(self) -> tuple[Jack, ...]:
        """The jacks whose sleeves have no way to earth, used or not, in natural order."""
        known: dict[Metal, bool] = {}
        floating = []
        for jack in self.facility.jacks:
            metal = sleeve_of(self.facility, jack)
            if metal not in known:
                known[metal] = self.earthed(metal)
            if not known[metal]:
                floating.append(jack)
        return tuple(floating)


def shields_with(
    facility: Facility, cords: Iterable[CordEnds] = (), plugs: Iterable[Jack] = ()
) -> Shields:
    """The shields of a facility with these cords and dummy plugs in, and no others."""
    ends = tuple(cords)
    plugged = {jack for cord in ends for jack in cord}.union(plugs)
    return Shields(facility, (*standing_joins(facility, plugged), *cord_joins(facility, ends)))


def shields_at_rest(facility: Facility) -> Shields:
    """The shields of a facility as filed, its standing cords and dummy plugs in."""
    return shields_with(
        facility,
        [(cord.source, cord.target) for cord in facility.cords],
        [plug.jack for plug in facility.plugs],
    )


def shields_after(facility: Facility, trial: Trial) -> Shields:
    """The shields once a trial is done, its own cords laid last; one that can be done."""
    gone = {frozenset(cord) for cord in trial.pulled_cords}
    kept = [
        (cord.source, cord.target)
        for cord in facility.cords
        if frozenset((cord.source, cord.target)) not in gone
    ]
    plugs = {plug.jack for plug in facility.plugs} - set(trial.pulled_plugs)
    return shields_with(facility, [*kept, *trial.cords], [*plugs, *trial.plugs])
