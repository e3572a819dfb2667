"""What keeps company on a divided chart: equipment with all that its lines reach, as one studio
does; and lines between bays that reach no equipment."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from slinediag.address import PortAddress, natural
from slinediag.chart.division import Bench, ends_of

Part = tuple[str, ...]
Place = tuple[bool, Hashable]


@dataclass(frozen=True, slots=True)
class Companies:
    """By unit the number of its company, in the order of the bays; and units that are at nothing
    but lines between bays, those of one line or cord together, in order of the jacks at their left.
    """

    of: Mapping[str, int]
    between: tuple[Part, ...]

    def main(self, part: Iterable[str], size: Mapping[str, float]) -> int | None:
        """The company that takes most of a part; None where all of it is between bays."""
        found: dict[int, float] = {}
        for unit in part:
            if unit in self.of:
                found[self.of[unit]] = found.get(self.of[unit], 0.0) + size[unit]
        return min(found, key=lambda number: (-round(found[number], 6), number), default=None)


def companies(bench: Bench) -> Companies:
    """Who keeps company with whom; a line between bays, and a cord, joins no two companies."""
    drawn = [unit.id for unit in bench.units]
    groups, between = _Groups(), []
    for net, owners in zip(bench.plan.nets, bench.owners, strict=True):
        ports = [end.address for end in ends_of(net) if isinstance(end.address, PortAddress)]
        boxes = [f"box {port.equipment}" for port in ports if port.equipment in bench.large]
        if ports:
            groups.join((*owners, *boxes))
        else:
            between.append(owners)
    cords = [tuple(bench.node_of_jack[j] for j in c.ends) for c in bench.plan.subject.plugs.cords]
    equipped = {groups.first(unit) for unit in drawn if unit in bench.small or bench.large_at[unit]}
    firsts = {unit: first for unit in drawn if (first := groups.first(unit)) in equipped}
    links = [*between, *cords]
    _hand_on(firsts, links)
    order: dict[str, tuple[object, ...]] = {}
    for unit in drawn:
        if unit in firsts:
            rank = _rank(bench, unit)
            order[firsts[unit]] = min(order.get(firsts[unit], rank), rank)
    number = {first: n for n, first in enumerate(sorted(order, key=lambda f: (order[f], f)))}
    return Companies(
        {unit: number[first] for unit, first in firsts.items()},
        tuple(_bare(bench, [unit for unit in drawn if unit not in firsts], links)),
    )


def _hand_on(firsts: dict[str, str], links: Iterable[Part]) -> None:
    """What lines between bays and cords lead to joins the company from which they lead there."""
    waiting = list(links)
    while waiting:
        left = []
        for link in waiting:
            known = next((firsts[unit] for unit in link if unit in firsts), None)
            if known is None:
                left.append(link)
            else:
                firsts.update({unit: known for unit in link if unit not in firsts})
        if len(left) == len(waiting):
            return
        waiting = left


def _bare(bench: Bench, units: Iterable[str], links: Iterable[Part]) -> Iterator[Part]:
    """The units by what links hold together, in the order of what each begins with."""
    groups, own = _Groups(), list(units)
    for link in links:
        groups.join(link)
    found: dict[str, list[str]] = {}
    for unit in own:
        found.setdefault(groups.first(unit), []).append(unit)
    begins = {link[0] for link in links if len(link) > 1}

    def rank(part: Part) -> tuple[object, ...]:
        return min(_rank(bench, unit) for unit in begins.intersection(part) or part)

    parts = (tuple(part) for part in found.values())
    yield from sorted(parts, key=lambda part: (rank(part), part))


def _rank(bench: Bench, unit: str) -> tuple[object, ...]:
    """By bays and positions; what has no position after all that has."""
    if unit not in bench.points:
        return (True, natural(unit))
    place = bench.points[unit].position
    return (False, natural(place.bay), place.number)


class _Groups:
    """Things in groups, each told by one of its things."""

    def __init__(self) -> None:
        self._next: dict[str, str] = {}

    def first(self, thing: str) -> str:
        """The thing that tells the group of one."""
        while (further := self._next.get(thing, thing)) != thing:
            self._next[thing] = thing = self._next.get(further, further)
        return thing

    def join(self, things: Iterable[str]) -> None:
        """Make one of the groups of some things."""
        one, *others = things
        for other in others:
            if self.first(other) != self.first(one):
                self._next[self.first(other)] = self.first(one)
