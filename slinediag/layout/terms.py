"""What a linear order of blocks costs, and by how much it changes when one block moves.

Let s be the sign of the difference of two blocks' places. Two strands that share no block
cross w1 w2 / 2 * (1 - s(left) s(right)) times; two that share a block at one end cross, at the
other end, as often as their ports there are inverted one way round, w1 w2 less that the other.
So for one block the cost is a step function of its place: its steps stand at the blocks it meets.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.arcs import Arcs, arcs_of, knot_steps
from slinediag.layout.blocks import Rows, Strand

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pairs of strands that may cross.

    ``free``: columns (left, left, right, right, product of weights) of pairs that share no
    block, pairs of arcs left out. ``forks``: columns (upper, lower, crossings, crossings the
    other way round) of the other ends of pairs that share one.
    """

    free: Ints
    forks: Ints
    arcs: Arcs

    def crossings(self, places: Ints) -> int:
        """How often they cross; ``places[x]`` is where block x stands."""
        la, lb, ra, rb, product = self.free
        crossed = product[(places[la] > places[lb]) != (places[ra] > places[rb])].sum()
        x, y, one, other = self.forks
        forked = np.where(places[x] < places[y], one, other).sum()
        return int(crossed + forked) + self.arcs.crossings(places)


@dataclass(frozen=True, slots=True)
class Terms:
    """The steps of all blocks, gathered by block.

    Block x owns entries ``starts[x]`` to ``starts[x + 1]``. When x moves from above to below
    block ``steps[i]``, the cost grows by ``jumps[i]`` if block ``lows[i]`` stands below
    ``highs[i]``, else it falls by as much. Number ``count`` stands below all blocks, number
    ``count`` + 1 above.
    """

    count: int
    pairs: Pairs
    starts: tuple[int, ...]
    steps: Ints
    jumps: NDArray[np.float64]
    lows: Ints
    highs: Ints


def terms_of(
    count: int, rows: Rows, ports_free: bool, more: Sequence[tuple[int, int, int, int]] = ()
) -> Terms:
    """All pairs of strands of each row, as steps.

    ``more``: (upper, lower, price, price the other way round) of pairs of blocks.
    """
    found = [_row_pairs(row, ports_free, turns=False) for row in rows.gaps]
    found += [_row_pairs(row, ports_free, turns=True) for row in rows.turns]
    free = np.concatenate([np.zeros((5, 0), np.int64), *(pair[0] for pair in found)], axis=1)
    priced = np.array(more, np.int64).reshape(-1, 4).T
    forks = np.concatenate([priced, *(pair[1] for pair in found)], axis=1)
    arcs = arcs_of(count, rows.turns, ports_free)
    pairs = Pairs(free, forks, arcs)
    steps = [*_free_steps(free), *_fork_steps(forks, count), *knot_steps(arcs, count)]
    table = np.concatenate(steps, axis=1)
    owner, step, jump, low, high = steps_added_up(table, count)
    starts = np.searchsorted(owner, np.arange(count + 1))
    return Terms(count, pairs, tuple(starts.tolist()), step, jump.astype(np.float64), low, high)


def steps_added_up(table: Ints, count: int) -> Ints:
    """Columns (owner, step, jump, low, high) sorted, those of the same places added up."""
    base = count + 2
    flip = table[3] > table[4]
    low, high = np.where(flip, table[4], table[3]), np.where(flip, table[3], table[4])
    jump = np.where(flip, -table[2], table[2])
    key = ((table[0] * base + table[1]) * base + low) * base + high
    # Not a stable sort, which takes longer: whole jumps of equal keys add up the same in any order.
    order = np.argsort(key)
    key, jump = key[order], jump[order]
    first = np.flatnonzero(np.diff(key, prepend=-1))
    total = np.add.reduceat(jump, first) if len(first) else jump
    kept = order[first[total != 0]]
    return np.stack([table[0][kept], table[1][kept], total[total != 0], low[kept], high[kept]])


def _row_pairs(row: Sequence[Strand], ports_free: bool, turns: bool) -> tuple[Ints, Ints]:
    """Free pairs and forks of a row; pairs of arcs left out."""
    left = np.array([s.left for s in row])
    right = np.array([s.right for s in row])
    weight = np.array([s.weight for s in row])
    net = np.array([s.net for s in row])
    straight = left == right
    a, b = np.triu_indices(len(row), 1)
    apart = ~((net[a] >= 0) & (net[a] == net[b])) & ~(straight[a] & straight[b])
    if turns:
        apart &= straight[a] | straight[b]
    a, b = a[apart], b[apart]
    same_left, same_right = left[a] == left[b], right[a] == right[b]
    swapped = (left[a] == right[b]) & (right[a] == left[b])
    free = ~(same_left | same_right | swapped)
    i, j = a[free], b[free]
    pairs = np.stack([left[i], left[j], right[i], right[j], weight[i] * weight[j]])
    forked = (same_left != same_right) & ~np.bool_(ports_free)
    both = zip(a[forked].tolist(), b[forked].tolist(), strict=True)
    forks = [_fork(row[i], row[j]) for i, j in both]
    return pairs, np.array(forks, np.int64).reshape(-1, 4).T


def _fork(one: Strand, two: Strand) -> tuple[int, int, int, int]:
    if one.left == two.left:
        inverted, ends = inversions(one.lefts, two.lefts), (one.right, two.right)
    else:
        inverted, ends = inversions(one.rights, two.rights), (one.left, two.left)
    return *ends, inverted, one.weight * two.weight - inverted


def inversions(upper: Sequence[int], lower: Sequence[int]) -> int:
    """Pairs in which a number of sorted ``upper`` is greater than one of sorted ``lower``."""
    return sum(bisect_left(lower, port) for port in upper)


def _free_steps(free: Ints) -> list[Ints]:
    """Steps of the term -product / 2 * s(la - lb) s(ra - rb) for each block in it."""
    la, lb, ra, rb, product = free
    found = []
    for near, far, sign, c, d in (
        (la, lb, -1, ra, rb),
        (lb, la, 1, ra, rb),
        (ra, rb, -1, la, lb),
        (rb, ra, 1, la, lb),
    ):
        # The other factor is taken at the step, where the moving block stands at ``far``.
        low, high = np.where(c == near, far, c), np.where(d == near, far, d)
        found.append(np.stack([near, far, sign * product, low, high]))
    return found


def _fork_steps(forks: Ints, count: int) -> list[Ints]:
    """Steps of the terms that depend on the order of two blocks alone."""
    x, y, one, other = forks
    below, above = np.full_like(x, count), np.full_like(x, count + 1)
    jump = other - one
    return [np.stack([x, y, jump, below, above]), np.stack([y, x, -jump, below, above])]
