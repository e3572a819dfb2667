"""How units fit one sheet: as one, or in groups that large equipment has parts of its own for.

What one column has no room for stands in two or three: each group of units is joined to its own
part of the equipment that they share (detached representation, IEC 61082-1). Lengths in
micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import SIDES, Side
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier
from slinediag.chart.grouping import (
    MANNERS,
    Before,
    Grouping,
    Groups,
    Manner,
    Part,
    alike,
    groups_before,
)
from slinediag.chart.laying import Face, Laid, lay_out
from slinediag.chart.recalling import Known
from slinediag.chart.shares import Share, namer, shares
from slinediag.chart.standing import NOTHING, Standing
from slinediag.layout.settings import Effort

MOST_CROSSINGS = 10
"""On one sheet; a unit by itself may have more."""
FEW_CROSSINGS = 4
"""Parts that both have crossings come on one sheet with so many at most."""
NARROWER = 40_000
"""How much narrower a sheet set narrowly comes out at most."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How units fit one sheet: their groups, about how much room these take, square millimetres,
    and how often lines cross."""

    grouping: Grouping
    area: float
    crossings: int

    @property
    def groups(self) -> Groups:
        """The groups that share no part."""
        return self.grouping.groups


class Fitting:
    """Measures units by laying them out on a sheet, and remembers what it found.

    ``room``: width and height. ``holds``: whether a sheet has room for what is laid out,
    its cords hung or given room for at a guess.
    ``likely``: for a side of large equipment, numbers for the sheets that are to be named there.
    ``keep``: an earlier set, of which units stay in their groups if they can.
    """

    def __init__(
        self,
        bench: Bench,
        room: tuple[int, int],
        holds: Callable[[Laid, bool], bool],
        likely: Callable[[str, Side], Sequence[int]],
        keep: Earlier | None = None,
    ) -> None:
        self._bench, self._holds, self._likely = bench, holds, likely
        self._across, self._down = room
        self._name = namer(bench)
        self._order = {unit.id: number for number, unit in enumerate(bench.units)}
        self._found: dict[Part, Fit | None] = {}
        self._tried: set[frozenset[Part]] = set()
        """Pairs of parts for which a sheet's room has been tried, as one and side by side."""
        self._known: dict[tuple[Effort, bool], Known] = {}
        self._saving: dict[Grouping, frozenset[Manner]] = {}
        self._before = groups_before(keep, bench.large) if keep else Before({}, {}, {})
        self._clear: dict[Grouping, Fit] = {}

    def fits(self, part: Sequence[str]) -> bool:
        """Whether some units fit one sheet, all others being on another."""
        return self._fit(self._sorted(part)) is not None

    def alone(self, unit: str) -> Laid:
        """A unit as a quick look arranges it on a sheet of its own, where it fits as it does."""
        fit = self._fit((unit,))
        return self._quickly(fit.grouping if fit else alike(((unit,),)))[0]

    def adds(self, one: Sequence[str], other: Sequence[str]) -> bool:
        """As ``joins``, with a quick look only at cords."""
        return self.joins(one, other, hang=False)

    def joins(self, one: Sequence[str], other: Sequence[str], *, hang: bool = True) -> bool:
        """Whether what fits two sheets fits one: as one, else side by side."""
        part, pair = self._sorted((*one, *other)), frozenset(map(self._sorted, (one, other)))
        if part not in self._found or self._may_stand_apart(part, pair):
            first, second = map(self._fit, sorted(pair, key=self._rank))
            self._found[part] = self._joined(first, second, hang) if first and second else None
            self._tried.add(pair)
        return self._found[part] is not None

    def _may_stand_apart(self, part: Part, pair: frozenset[Part]) -> bool:
        """Whether two parts, found to have no room as one, may have it with parts of what they
        share for each, which has not been tried."""
        if self._found[part] is not None or pair in self._tried:
            return False
        one, other = map(self._fit, sorted(pair, key=self._rank))
        return bool(one and other and self._meet(one, other, self._bench.large_at))

    def groups(self, parts: Mapping[int, Part]) -> dict[int, Grouping]:
        """By sheet, the groups of those parts that fit; of others those of an earlier set."""
        found: dict[int, Grouping] = {}
        for number, part in parts.items():
            units = self._sorted(part)
            fit = self._fit(units)
            if fit and fit.crossings and not self._before.group:
                fit = self._clearer(fit)
            if fit or self._before.group:
                found[number] = fit.grouping if fit else self._as_before(units)
        return found

    def lay_out(
        self,
        share: Share,
        effort: Effort,
        sheets: Mapping[Face, Sequence[int]],
        before: Standing = NOTHING,
    ) -> Laid:
        """Arrange a share of a sheet; islands like some that have been are not arranged again."""
        known = self._known.setdefault((effort, share.manner == "roomy"), Known())
        aspect, likely = self._across / self._down, self._likely_on(share)
        return lay_out(
            self._bench, share, effort, sheets, aspect, before, self._across, known, likely
        )

    def _likely_on(self, share: Share) -> dict[Face, Sequence[int]]:
        return {(box, side): self._likely(box, side) for box in share.stacks for side in SIDES}

    def _fit(self, part: Part) -> Fit | None:
        if part not in self._found:
            ways = dict.fromkeys([self._as_before(part), alike((part,))])
            self._found[part] = next(filter(None, map(self._first_fit, ways)), None)
        return self._found[part]

    def _first_fit(self, grouping: Grouping) -> Fit | None:
        """How groups fit a sheet in the roomiest manner in which they do."""
        ways = (self._measured(grouping._replace(manner=manner), True) for manner in MANNERS)
        return next(filter(None, ways), None)

    def _clearer(self, fit: Fit) -> Fit:
        """The same units with more parts of what they share, where fewer lines cross so and the
        sheet has room for it."""
        if fit.grouping not in self._clear:
            found = [fit]
            for grouping in self._apart(fit):
                apart = self._first_fit(grouping)
                found += [apart] if apart else []
                if apart and not apart.crossings:
                    break
            self._clear[fit.grouping] = min(found, key=lambda one: one.crossings)
        return self._clear[fit.grouping]

    def _apart(self, fit: Fit) -> Iterator[Grouping]:
        """Groups in which lines cross less: with more parts of one side, which takes less room, or
        of both."""
        split = {
            group: self._closed(((unit,) for unit in group), self._bench.nets_at)
            if self._crossings(group)
            else (group,)
            for group in fit.groups
        }
        if any(len(own) > 1 for own in split.values()):
            for side in SIDES:
                yield from self._with_more(side, fit, split)
            both = (self._uncrossed(own) for own in split.values())
            yield alike(self._ranked(part for own in both for part in own))

    def _with_more(self, side: Side, fit: Fit, split: Mapping[Part, Groups]) -> Iterator[Grouping]:
        """Groups whose pieces have parts of one side for themselves: as few as will do for no more
        lines to cross than with one for each piece."""

        def grouped(parts: Iterable[Part]) -> Grouping:
            apart = self._ranked(parts)
            return Grouping(fit.groups, apart) if side == "out" else Grouping(apart, fit.groups)

        least = self._quickly(grouped(piece for own in split.values() for piece in own))[1]
        if least >= fit.crossings:
            return
        found: list[Part] = []
        left = [(group, piece) for group, own in split.items() for piece in own]
        last = None
        for number, (group, piece) in enumerate(left, 1):
            if group == last:
                both = self._sorted((*found[-1], *piece))
                rest = (other for _, other in left[number:])
                if self._quickly(grouped((*found[:-1], both, *rest)))[1] <= least:
                    found[-1] = both
                    continue
            found.append(piece)
            last = group
        yield grouped(found)

    def _uncrossed(self, pieces: Groups) -> list[Part]:
        """Pieces that share large equipment put together as long as no more lines cross so."""
        found: list[tuple[Part, int]] = []
        for piece in pieces:
            alone = self._crossings(piece)
            for number, (group, crossings) in enumerate(found):
                both = self._sorted((*group, *piece))
                if len(self._closed((group, piece), self._bench.large_at)) > 1:
                    continue
                together = self._crossings(both)
                if together <= crossings + alone:
                    found[number] = both, together
                    break
            else:
                found.append((piece, alone))
        return [group for group, _ in found]

    def _crossings(self, part: Part) -> int:
        """How often lines of units cross that stand by themselves, as one group."""
        return self._quickly(alike((part,)))[1]

    def _joined(self, one: Fit, other: Fit, hang: bool) -> Fit | None:
        """Two parts on one sheet in as few groups as will do; None where they have no room."""
        if one.area + other.area > self._across * self._down / 1e6:
            return None
        crossings = one.crossings + other.crossings
        if one.crossings and other.crossings and crossings > FEW_CROSSINGS:
            return None
        for manner in self._manners(one, other):
            found: list[Fit] = []
            for groups in self._ways(one.groups, other.groups):
                fit = self._measured(alike(groups, manner), hang)
                if fit:
                    found.append(fit)
                    if fit.crossings <= crossings:
                        break
            if found:
                return min(found, key=lambda fit: fit.crossings)
        return None

    def _manners(self, one: Fit, other: Fit) -> Sequence[Manner]:
        """How close two parts may be set to come on one sheet: narrow where they are at the same
        equipment, and with ports close where else a line would be cut."""
        known = max(MANNERS.index(fit.grouping.manner) for fit in (one, other))
        if self._meet(one, other, self._bench.nets_at):
            return MANNERS
        at_one = self._meet(one, other, self._bench.large_at)
        return MANNERS[: 1 + max(known, int(at_one))]

    def _meet(self, one: Fit, other: Fit, at: Mapping[str, Collection[Hashable]]) -> bool:
        """Whether units of two parts are at the same things."""
        first, second = (
            {thing for group in fit.groups for unit in group for thing in at[unit]}
            for fit in (one, other)
        )
        return not first.isdisjoint(second)

    def _ways(self, one: Groups, other: Groups) -> Iterator[Groups]:
        """Ways to group what stands on a sheet: as one, with one of the groups, all apart."""
        apart = self._closed((*one, *other), self._bench.nets_at)
        as_one = self._closed(apart, self._bench.large_at)
        yield as_one
        if len(as_one) == len(apart):
            return
        if len(other) == 1 and len(one) > 1:
            for number, group in enumerate(one):
                if len(self._closed((group, *other), self._bench.large_at)) == 1:
                    rest = (*one[:number], *one[number + 1 :])
                    both = self._sorted((*group, *other[0]))
                    yield self._closed((both, *rest), self._bench.nets_at)
        yield apart

    def _closed(self, groups: Iterable[Part], at: Mapping[str, Collection[Hashable]]) -> Groups:
        """The groups in order, those made one of which units are at the same things."""
        found: list[tuple[set[Hashable], list[str]]] = []
        for group in groups:
            things, units = {thing for unit in group for thing in at[unit]}, list(group)
            for touched in [one for one in found if not one[0].isdisjoint(things)]:
                found.remove(touched)
                things |= touched[0]
                units += touched[1]
            found.append((things, units))
        return tuple(sorted(map(self._sorted, (units for _, units in found)), key=self._rank))

    def _as_before(self, part: Part) -> Grouping:
        """The groups in which an earlier set had the units; new ones with those they lead to."""
        groups: dict[tuple[int, ...], list[str]] = {}
        before, new = self._before, []
        for unit in part:
            if unit in before.group:
                groups.setdefault(before.group[unit], []).append(unit)
            else:
                new.append((unit,))
        known = self._closed(map(self._sorted, groups.values()), self._bench.nets_at)
        for one in self._closed(new, self._bench.nets_at):
            near = self._nearest(known, one)
            kept = [self._sorted((*g, *one)) if g == near else g for g in known]
            known = self._closed((*kept, *(() if near else (one,))), self._bench.nets_at)
        inputs, outputs = (self._closed(known, before.whole_at(side, part)) for side in SIDES)
        return Grouping(inputs, outputs)

    def _nearest(self, groups: Groups, part: Part) -> Part | None:
        """The first group that leads to the same large equipment."""
        large = {box for unit in part for box in self._bench.large_at[unit]}
        found = (g for g in groups if any(large & self._bench.large_at[unit] for unit in g))
        return next(found, None)

    def _measured(self, grouping: Grouping, hang: bool) -> Fit | None:
        """How groups fit a sheet; None where they have no room or too many lines cross, or where
        what they lack when they are set roomily is more than a closer manner saves."""
        roomy = grouping._replace(manner="roomy")
        if grouping != roomy and grouping.manner not in self._saving.get(roomy, ()):
            return None
        laid, crossings = self._quickly(grouping)
        if grouping == roomy:
            self._saving[roomy] = self._would_do(laid, hang)
        several = sum(map(len, grouping.groups)) > 1
        if not self._holds(laid, hang) or (crossings > MOST_CROSSINGS and several):
            return None
        return Fit(grouping, laid.area, crossings)

    def _would_do(self, laid: Laid, hang: bool) -> frozenset[Manner]:
        """The manners in which what a sheet has no room for may have room."""
        over = laid.extent.width - self._across
        if over > NARROWER or not (hang or not laid.cords_on(self._bench)):
            return frozenset()
        found: set[Manner] = set()
        if over > 0 and laid.extent.height <= self._down:
            found.add("narrow")
        if laid.spread and 0 <= laid.extent.height - self._down <= laid.spread:
            found.add("close")
        return frozenset(found)

    def _quickly(self, grouping: Grouping) -> tuple[Laid, int]:
        """Groups on a sheet of their own as a quick look arranges them; how often lines cross."""
        part = self._sorted(unit for group in grouping.groups for unit in group)
        inside = set(part)
        rest = [unit for unit in self._order if unit not in inside]
        parts = {1: part, 2: rest}
        (share,) = shares(self._bench, parts, self._name, only=1, groups={1: grouping})
        laid = self.lay_out(share, "quick", self._likely_on(share))
        return laid, sum(island.layout.crossings for island in laid.standing.islands)

    def _ranked(self, parts: Iterable[Part]) -> Groups:
        return tuple(sorted(parts, key=self._rank))

    def _rank(self, part: Part) -> int:
        return self._order[part[0]]

    def _sorted(self, part: Iterable[str]) -> Part:
        return tuple(sorted(part, key=self._order.__getitem__))
