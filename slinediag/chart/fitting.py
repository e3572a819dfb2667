"""How units fit one sheet: as one, or in groups that large equipment has parts of its own for.

What one column has no room for stands in two or three: each group of units is joined to its own
part of the equipment that they share (detached representation, IEC 61082-1). Lengths in
micrometres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Side
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier
from slinediag.chart.laying import SIDES, Face, Laid, lay_out
from slinediag.chart.recalling import Known
from slinediag.chart.shares import Share, namer, shares
from slinediag.chart.standing import NOTHING, Standing
from slinediag.layout.settings import Effort

MOST_CROSSINGS = 10
"""On one sheet; a unit by itself may have more."""
FEW_CROSSINGS = 4
"""Parts that both have crossings come on one sheet with so many at most."""
APART = 6.0
"""Room about an island, mm."""

Part = tuple[str, ...]
Groups = tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """How units fit one sheet: their groups, about how much room these take, square millimetres,
    and how often lines cross."""

    groups: Groups
    area: float
    crossings: int


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
        self._known: dict[Effort, Known] = {"quick": Known(), "thorough": Known()}
        self._before = _islands_of(keep) if keep else {}

    def fits(self, part: Sequence[str]) -> bool:
        """Whether some units fit one sheet, all others being on another."""
        return self._fit(self._sorted(part)) is not None

    def adds(self, one: Sequence[str], other: Sequence[str]) -> bool:
        """As ``joins``, with a quick look only at cords."""
        return self.joins(one, other, hang=False)

    def joins(self, one: Sequence[str], other: Sequence[str], *, hang: bool = True) -> bool:
        """Whether what fits two sheets fits one: as one, else side by side."""
        part = self._sorted((*one, *other))
        if part not in self._found:
            first, second = self._fit(self._sorted(one)), self._fit(self._sorted(other))
            self._found[part] = self._joined(first, second, hang) if first and second else None
        return self._found[part] is not None

    def groups(self, parts: Mapping[int, Part]) -> dict[int, Groups]:
        """By sheet, the groups of those parts that fit; of others those of an earlier set."""
        found: dict[int, Groups] = {}
        for number, part in parts.items():
            units = self._sorted(part)
            fit = self._fit(units)
            if fit and fit.crossings and not self._before:
                fit = self._clearer(fit)
            if fit or self._before:
                found[number] = fit.groups if fit else self._as_before(units)
        return found

    def lay_out(
        self,
        share: Share,
        effort: Effort,
        sheets: Mapping[Face, Sequence[int]],
        before: Standing = NOTHING,
    ) -> Laid:
        """Arrange a share of a sheet; islands like some that have been are not arranged again."""
        known = self._known[effort]
        aspect, likely = self._across / self._down, self._likely_on(share)
        return lay_out(
            self._bench, share, effort, sheets, aspect, before, self._across, known, likely
        )

    def _likely_on(self, share: Share) -> dict[Face, Sequence[int]]:
        return {(box, side): self._likely(box, side) for box in share.stacks for side in SIDES}

    def _fit(self, part: Part) -> Fit | None:
        if part not in self._found:
            ways = dict.fromkeys([self._as_before(part), (part,)])
            fits = (self._measured(groups, True) for groups in ways)
            self._found[part] = next(filter(None, fits), None)
        return self._found[part]

    def _clearer(self, fit: Fit) -> Fit:
        """The same units with more parts of what they share, where fewer lines cross so and the
        sheet has room for it."""
        groups: list[Part] = []
        for group in fit.groups:
            pieces = self._closed(((unit,) for unit in group), self._bench.nets_at)
            groups += self._uncrossed(pieces) if self._crossings(group) else [group]
        found = self._measured(tuple(sorted(groups, key=self._rank)), True)
        return found if found and found.crossings < fit.crossings else fit

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
        return self._quickly((part,))[1]

    def _joined(self, one: Fit, other: Fit, hang: bool) -> Fit | None:
        """Two parts on one sheet in as few groups as will do; None where they have no room."""
        if one.area + other.area > self._across * self._down / 1e6:
            return None
        crossings = one.crossings + other.crossings
        if one.crossings and other.crossings and crossings > FEW_CROSSINGS:
            return None
        found: list[Fit] = []
        for groups in self._ways(one.groups, other.groups):
            fit = self._measured(groups, hang)
            if fit:
                found.append(fit)
                if fit.crossings <= crossings:
                    break
        return min(found, key=lambda fit: fit.crossings, default=None)

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

    def _as_before(self, part: Part) -> Groups:
        """The groups in which an earlier set had the units; new ones with those they lead to."""
        groups: dict[tuple[int, int], list[str]] = {}
        new = []
        for unit in part:
            if unit in self._before:
                groups.setdefault(self._before[unit], []).append(unit)
            else:
                new.append((unit,))
        known = self._closed(map(self._sorted, groups.values()), self._bench.nets_at)
        for one in self._closed(new, self._bench.nets_at):
            near = self._nearest(known, one)
            kept = [self._sorted((*g, *one)) if g == near else g for g in known]
            known = self._closed((*kept, *(() if near else (one,))), self._bench.nets_at)
        return known

    def _nearest(self, groups: Groups, part: Part) -> Part | None:
        """The first group that leads to the same large equipment."""
        large = {box for unit in part for box in self._bench.large_at[unit]}
        found = (g for g in groups if any(large & self._bench.large_at[unit] for unit in g))
        return next(found, None)

    def _measured(self, groups: Groups, hang: bool) -> Fit | None:
        """How groups fit a sheet; None where they have no room or too many lines cross."""
        laid, crossings = self._quickly(groups)
        several = sum(map(len, groups)) > 1
        if not self._holds(laid, hang) or (crossings > MOST_CROSSINGS and several):
            return None
        layouts = [island.layout for island in laid.standing.islands]
        area = sum((layout.width + APART) * (layout.height + APART) for layout in layouts)
        return Fit(groups, area, crossings)

    def _quickly(self, groups: Groups) -> tuple[Laid, int]:
        """Groups on a sheet of their own as a quick look arranges them; how often lines cross."""
        part = self._sorted(unit for group in groups for unit in group)
        inside = set(part)
        rest = [unit for unit in self._order if unit not in inside]
        parts = {1: part, 2: rest}
        (share,) = shares(self._bench, parts, self._name, only=1, groups={1: groups})
        laid = self.lay_out(share, "quick", self._likely_on(share))
        return laid, sum(island.layout.crossings for island in laid.standing.islands)

    def _rank(self, part: Part) -> int:
        return self._order[part[0]]

    def _sorted(self, part: Iterable[str]) -> Part:
        return tuple(sorted(part, key=self._order.__getitem__))


def _islands_of(keep: Earlier) -> dict[str, tuple[int, int]]:
    """By node, the sheet and the island in which an earlier set had it."""
    return {
        name: (number, island)
        for number, sheet in keep.sheets.items()
        for island, stood in enumerate(sheet.standing.islands)
        for row in stood.layout.layers
        for name in row
    }
