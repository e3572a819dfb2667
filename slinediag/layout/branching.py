"""Where in a channel a net branches: two uprights instead of one where that saves crossings.

Both stand across one level of the net, its bus. Two nets that each fan out up and down cross
twice on one upright each, though once is enough: then what goes up and what goes down take an
upright each, with no bend more. A line that keeps others from crossing less, because their level
runs would lie on its own, is bent twice more (a dogleg).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product

import numpy as np

from slinediag.layout.doglegs import free_levels
from slinediag.layout.sequence import improved, least_paid, paid, rings, sequence
from slinediag.layout.wires import FORBIDDEN, Matrix, Wire, costs_between, costs_of, needed_by

Shape = tuple[Wire, ...]
"""A net's uprights from left to right; of two, the bus is the first level on the right of the one
and on the left of the other."""

End = tuple[int, bool]
"""A level, and whether it is on the right."""

# How many levels of its own a net's bus is tried on.
LEVELS_TRIED = 8

# Up to how many ends of a net any of them may be apart.
MOST_ENDS = 7

# How often nets are tried in other shapes in a channel; and, in one of few nets, how many uprights
# are put in order for trying two nets at once.
MOST_TRIED = 40
FEW_NETS, MOST_PAIRED = 5, 1000


class Drawn:
    """Nets in a channel, each in a shape, in the best order found.

    ``straight``: levels of the lines that run straight between them; ``passed``: how often each net
    crosses them more than once. ``cost`` and ``order`` are of all uprights, net by net. ``key``:
    crossings, those with straight lines only from the second on; then bends that a single upright
    would save; then uprights.
    """

    def __init__(
        self,
        shapes: Sequence[Shape],
        straight: Sequence[int],
        clearance: int,
        cost: Matrix | None = None,
        order: list[int] | None = None,
    ) -> None:
        self.shapes = list(shapes)
        self.straight = straight
        self.clearance = clearance
        self.pieces = [piece for shape in shapes for piece in shape]
        self.cost = costs_of(self.pieces, clearance) if cost is None else cost
        self.order = sequence(self.cost) if order is None else order
        self.possible = paid(self.cost, self.order) < FORBIDDEN
        self.passed = [_passed(shape, straight) for shape in shapes]
        self.key = (
            int(self.crossed.sum()) // 2 + sum(self.passed) if self.possible else FORBIDDEN,
            sum(map(_bends, shapes)),
            len(self.pieces),
        )

    @property
    def crossed(self) -> Matrix:
        """Entry [i, j]: how often nets i and j cross."""
        count = len(self.pieces)
        rank = np.empty(count, np.int64)
        rank[np.array(self.order, np.int64)] = np.arange(count)
        times = np.where(rank[:, None] < rank[None, :], self.cost, self.cost.T)
        if count == len(self.shapes):
            return times
        sizes = [len(shape) for shape in self.shapes]
        firsts = np.cumsum([0, *sizes[:-1]])
        by_net = np.add.reduceat(np.add.reduceat(times, firsts, axis=0), firsts, axis=1)
        low = np.array([piece.low for piece in self.pieces])
        high = np.array([piece.high for piece in self.pieces])
        for number, shape in enumerate(self.shapes):
            if len(shape) > 1:
                # One run from upright to upright is in the costs as two without end.
                bus = shape[0].rights[0]
                twice = np.add.reduceat(((low < bus) & (bus < high)).astype(np.int64), firsts)
                by_net[number] -= twice
                by_net[:, number] -= twice
        np.fill_diagonal(by_net, 0)
        return by_net


def branched(wires: Sequence[Wire], drawn: Drawn, levels: list[int]) -> Drawn:
    """The wires in shapes that cross as seldom as was found.

    ``levels``: all that are taken in the channel; gains those of doglegs.
    """
    search = _Search(wires, levels)
    while drawn.key[0] > search.least:
        better = search.better(drawn)
        if better is None:
            break
        drawn = better
        gained = {shape[0].rights[0] for shape in drawn.shapes if len(shape) > 1}
        levels[:] = sorted({*levels, *gained})
    return drawn


class _Search:
    """What is tried to make wires cross less, and how much more of that there may be."""

    def __init__(self, wires: Sequence[Wire], levels: Sequence[int]) -> None:
        self.wires = wires
        self.levels = levels
        self.needed = needed_by(wires)
        self.least = int(self.needed.sum()) // 2
        self.left = MOST_TRIED
        self.pairs_left = MOST_PAIRED if len(wires) <= FEW_NETS else 0
        self._known: dict[tuple[int, bool], list[Shape]] = {}
        self._known_for: tuple[int, ...] = ()

    def better(self, drawn: Drawn) -> Drawn | None:
        """What crosses less with one net in another shape, else with two; None if nothing does."""
        guilty, ring = self._suspects(drawn)
        for mixed, net in product((False, True), (*guilty, *ring)):
            if self.left > 0:
                self.left -= 1
                found = self._shapes(net, mixed, drawn.clearance)
                trial = reshaped(drawn, net, found) if found else drawn
                if trial.key < drawn.key:
                    return trial
        if self.pairs_left <= 0:
            return None
        for one in guilty:
            for other in (*guilty, *ring):
                if one != other:
                    for trial in self._trials(drawn, [one, other]):
                        if trial.key < drawn.key:
                            return trial
        return None

    def _shapes(self, net: int, mixed: bool, clearance: int) -> list[Shape]:
        """The shapes of a net in the channel as its levels are now, worked out once."""
        if self._known_for != tuple(self.levels):
            self._known.clear()
            self._known_for = tuple(self.levels)
        if (net, mixed) not in self._known:
            shapes = mixed_shapes if mixed else plain_shapes
            found = shapes(self.wires[net], self.levels, clearance)
            self._known[net, mixed] = list(found)
        return self._known[net, mixed]

    def _trials(self, drawn: Drawn, nets: Sequence[int]) -> Iterator[Drawn]:
        """All other shapes of some nets together, while there may be more."""
        choices = [
            [*self._shapes(net, False, drawn.clearance), *self._shapes(net, True, drawn.clearance)]
            for net in nets
        ]
        for found in product(*choices):
            if self.pairs_left <= 0:
                return
            shapes = list(drawn.shapes)
            for net, shape in zip(nets, found, strict=True):
                shapes[net] = shape
            if shapes != drawn.shapes:
                self.pairs_left -= len(shapes)
                yield Drawn(shapes, drawn.straight, drawn.clearance)

    def _suspects(self, drawn: Drawn) -> tuple[list[int], list[int]]:
        """Nets that cross others too often, worst first, and those in a ring with them."""
        excess = (drawn.crossed - self.needed).sum(axis=1) + np.array(drawn.passed)
        guilty = np.flatnonzero(excess > 0)
        guilty = guilty[np.argsort(-excess[guilty], kind="stable")]
        owner = np.repeat(np.arange(len(self.wires)), [len(shape) for shape in drawn.shapes])
        ring = owner[rings(drawn.cost)[np.isin(owner, guilty)].any(axis=0)]
        return guilty.tolist(), sorted({*ring.tolist()}.difference(guilty.tolist()))


def reshaped(drawn: Drawn, net: int, shapes: Sequence[Shape]) -> Drawn:
    """The drawing with one net in the best of some shapes, the others' uprights ordered without it.

    For each shape and each place of its uprights the crossings are summed up from the left.
    """
    start = sum(len(shape) for shape in drawn.shapes[:net])
    keep = [k for k, piece in enumerate(drawn.pieces) if piece.net != shapes[0][0].net]
    rest = [drawn.pieces[k] for k in keep]
    cost = drawn.cost[np.ix_(keep, keep)]
    place = {k: number for number, k in enumerate(keep)}
    order = improved(cost, [place[k] for k in drawn.order if k in place])
    if paid(cost, order) > least_paid(cost):
        order = min(order, sequence(cost), key=lambda order: paid(cost, order))
    ones = [piece for shape in shapes for piece in (shape[0], shape[-1])]
    right_of_it = costs_between(ones, rest, drawn.clearance)[:, order]
    left_of_it = costs_between(rest, ones, drawn.clearance).T[:, order]
    at = np.zeros((len(ones), len(rest) + 1), np.int64)
    at[:, 1:] = np.cumsum(left_of_it - right_of_it, axis=1)
    at += right_of_it.sum(axis=1)[:, None]
    tops, feet = np.array([(piece.low, piece.high) for piece in rest], np.int64).reshape(-1, 2).T
    others = drawn.shapes[:net] + drawn.shapes[net + 1 :]
    buses = np.array([shape[0].rights[0] for shape in others if len(shape) > 1], np.int64)
    best: tuple[tuple[int, int, int], list[Shape], list[int]] | None = None
    for number, shape in enumerate(shapes):
        first, last = at[2 * number], at[2 * number + 1]
        if len(shape) == 1:
            places = [int(first.argmin())]
            price = int(first[places[0]])
        else:
            onward = np.minimum.accumulate(last[::-1])[::-1]
            one = int((first + onward).argmin())
            places = [one, one + int(last[one:].argmin())]
            bus = shape[0].rights[0]
            price = int(first[places[0]] + last[places[1]])
            price -= int(((tops < bus) & (bus < feet)).sum())
        price += _passed(shape, drawn.straight)
        for piece in shape if len(buses) else ():
            price -= int(((piece.low < buses) & (buses < piece.high)).sum())
        key = (price, _bends(shape), len(shape))
        if best is None or key < best[0]:
            own = range(start, start + len(shape))
            moved = [k if k < start else k + len(shape) for k in order]
            for k, where in sorted(zip(own, places, strict=True), reverse=True):
                moved.insert(where, k)
            best = key, [*drawn.shapes[:net], shape, *drawn.shapes[net + 1 :]], moved
    assert best is not None
    return Drawn(best[1], drawn.straight, drawn.clearance, order=best[2])


def plain_shapes(wire: Wire, levels: Sequence[int], clearance: int) -> Iterator[Shape]:
    """One upright; what goes up from a bus apart from what goes down; left apart from right."""
    yield (wire,)
    ends, buses = _ends_of(wire)
    for bus in buses:
        yield from _shapes(wire, bus, [end for end in ends if end[0] < bus])
    for bus in (*buses, *_free_buses(wire, levels, clearance)):
        yield from _shapes(wire, bus, [end for end in ends if not end[1]])


def mixed_shapes(wire: Wire, levels: Sequence[int], clearance: int) -> Iterator[Shape]:
    """Some ends that follow each other about the channel apart from the rest; of nets with many
    ends, upper ones apart from lower ones."""
    ends, buses = _ends_of(wire)
    if len(ends) > MOST_ENDS:
        for bus, count in product(buses, range(2, len(ends))):
            if ends[count][0] != bus:
                yield from _shapes(wire, bus, ends[:count])
        return
    around = [end for end in ends if not end[1]] + [end for end in ends[::-1] if end[1]]
    arcs = [
        around[first:last]
        for first, last in combinations(range(1, len(around) + 1), 2)
        if 2 <= last - first <= len(around) - 2
    ]
    for bus, arc in product((*buses, *_free_buses(wire, levels, clearance)), arcs):
        yield from _shapes(wire, bus, arc)


def _ends_of(wire: Wire) -> tuple[list[End], list[int]]:
    """A net's ends and their levels, from the top."""
    ends = sorted([(y, False) for y in wire.lefts] + [(y, True) for y in wire.rights])
    return ends, list(dict.fromkeys(y for y, _ in ends))


def _free_buses(wire: Wire, levels: Sequence[int], clearance: int) -> list[int]:
    """A few levels that are free between a net's ends."""
    free = [y for y in free_levels(levels, clearance) if wire.low < y < wire.high]
    return free[:: max(1, -(-len(free) // LEVELS_TRIED))]


def _shapes(wire: Wire, bus: int, apart: Sequence[End]) -> Iterator[Shape]:
    """The net on two uprights across a bus, one for some ends and one for the rest, in both orders.

    Ends on the bus need no upright. The net does not meet itself.
    """
    ends = [(y, False) for y in wire.lefts] + [(y, True) for y in wire.rights]
    part = [end for end in ends if end in apart and end[0] != bus]
    rest = [end for end in ends if end not in apart and end[0] != bus]
    left, right = ((bus,) if bus in side else () for side in (wire.lefts, wire.rights))
    for one, other in ((part, rest), (rest, part)):
        (a, b), (c, d) = map(_by_side, (one, other))
        shape = Wire(wire.net, (*left, *a), (bus, *b)), Wire(wire.net, (bus, *c), (*right, *d))
        met = any(_within(y, shape[0]) for y in c) or any(_within(y, shape[1]) for y in b)
        if one and other and not met:
            yield shape


def _by_side(ends: Sequence[End]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The levels on the left and on the right."""
    return tuple(y for y, right in ends if not right), tuple(y for y, right in ends if right)


def _within(y: int, upright: Wire) -> bool:
    return upright.low <= y <= upright.high


def _passed(shape: Shape, straight: Sequence[int]) -> int:
    """How often more than once a net's uprights pass lines that run straight."""
    if len(shape) == 1 or not straight:
        return 0
    top, foot = max(shape[0].low, shape[1].low), min(shape[0].high, shape[1].high)
    return sum(top < y < foot for y in straight) if top < foot else 0


def _bends(shape: Shape) -> int:
    """How often more than twice a net's lines bend: those that turn at both uprights.

    Those that go back to the first from the second count twice.
    """
    if len(shape) == 1:
        return 0
    one, other = shape
    bus = one.rights[0]
    onward, back = (
        min(sum(y != bus for y in ends) for ends in pair)
        for pair in ((one.lefts, other.rights), (other.lefts, one.rights))
    )
    return 2 * onward + 4 * back
