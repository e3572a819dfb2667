"""Where in a channel a net branches: two uprights instead of one where that saves crossings.

Both stand across one level of the net, its bus. Two nets that each fan out up and down cross
twice on one upright each, though once is enough: then what goes up and what goes down take an
upright each, with no bend more. A line that keeps others from crossing less, because their level
runs would lie on its own, is bent twice more (a dogleg).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np

from slinediag.layout.doglegs import free_levels
from slinediag.layout.sequence import paid, rings, sequence
from slinediag.layout.wires import FORBIDDEN, Matrix, Wire, costs_of, needed_by

Shape = tuple[Wire, ...]
"""A net's uprights from left to right; of two, the bus is the first level on the right of the one
and on the left of the other."""

End = tuple[int, bool]
"""A level, and whether it is on the right."""

# How many levels of its own a net's dogleg is tried on.
LEVELS_TRIED = 8

# How many uprights are put in order, all told, for what is tried in a channel.
MOST_TRIED = 6000


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
    ) -> None:
        self.shapes = list(shapes)
        self.straight = straight
        self.clearance = clearance
        self.pieces = [piece for shape in shapes for piece in shape]
        self.cost = costs_of(self.pieces, clearance) if cost is None else cost
        self.order = sequence(self.cost)
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

    def better(self, drawn: Drawn) -> Drawn | None:
        """The best with one net in another shape; where none is better, any with two."""
        guilty, ring = self._suspects(drawn)
        for suspects in (guilty, ring):
            trials = [trial for net in suspects for trial in self._trials(drawn, [net])]
            best = min(trials, key=lambda trial: trial.key, default=drawn)
            if best.key < drawn.key:
                return best
        for one in guilty:
            for other in (*guilty, *ring):
                if one != other:
                    for trial in self._trials(drawn, [one, other]):
                        if trial.key < drawn.key:
                            return trial
        return None

    def _trials(self, drawn: Drawn, nets: Sequence[int]) -> Iterator[Drawn]:
        """All other shapes of some nets together, while there may be more."""
        choices = [shapes_of(self.wires[net], self.levels, drawn.clearance) for net in nets]
        for found in product(*choices):
            if self.left <= 0:
                return
            shapes = list(drawn.shapes)
            for net, shape in zip(nets, found, strict=True):
                shapes[net] = shape
            if shapes != drawn.shapes:
                self.left -= len(shapes)
                yield Drawn(shapes, drawn.straight, drawn.clearance)

    def _suspects(self, drawn: Drawn) -> tuple[list[int], list[int]]:
        """Nets that cross others too often, worst first, and those in a ring with them."""
        excess = (drawn.crossed - self.needed).sum(axis=1) + np.array(drawn.passed)
        guilty = np.flatnonzero(excess > 0)
        guilty = guilty[np.argsort(-excess[guilty], kind="stable")]
        owner = np.repeat(np.arange(len(self.wires)), [len(shape) for shape in drawn.shapes])
        ring = owner[rings(drawn.cost)[np.isin(owner, guilty)].any(axis=0)]
        return guilty.tolist(), sorted({*ring.tolist()}.difference(guilty.tolist()))


def shapes_of(wire: Wire, levels: Sequence[int], clearance: int) -> Iterator[Shape]:
    """All shapes of a net that are tried, the plainest first: what goes up from a bus apart from
    what goes down, what comes from the left apart from what goes right, and upper ends apart from
    lower ones."""
    yield (wire,)
    ends = sorted([(y, False) for y in wire.lefts] + [(y, True) for y in wire.rights])
    buses = list(dict.fromkeys(y for y, _ in ends))
    for bus in buses:
        yield from _shapes(wire, bus, [end for end in ends if end[0] < bus])
    free = [y for y in free_levels(levels, clearance) if buses[0] < y < buses[-1]]
    free = free[:: max(1, -(-len(free) // LEVELS_TRIED))]
    for bus in (*buses, *free):
        yield from _shapes(wire, bus, [end for end in ends if not end[1]])
    for bus in (*buses, *free):
        for count in range(2, len(ends) - (bus in free)):
            if ends[count][0] != bus:
                yield from _shapes(wire, bus, ends[:count])


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
    passes = [{y for y in straight if piece.low < y < piece.high} for piece in shape]
    return len(passes[0] & passes[1])


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
