"""Whole numbers with least weighted differences: the network simplex method.

Gansner, Koutsofios, North, Vo, "A technique for drawing directed graphs", IEEE Trans. Software
Eng. 19 (1993), section 2.3; here with the entering edge found over all edges at once.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Differences:
    """Find y with least sum of weight * (y[head] - y[tail]) where y[head] - y[tail] >= length.

    ``count`` unknowns; the arrays have one entry a condition. Weights are 0 or more; without
    weights pulling both ways the conditions must have no cycle.
    """

    count: int
    tails: Sequence[int]
    heads: Sequence[int]
    lengths: Sequence[int]
    weights: Sequence[int]


def least_differences(
    problem: Differences, start: Sequence[int] | None = None, pivots: int | None = None
) -> list[int]:
    """The best y, least y 0; the same for the same problem.

    ``start`` must meet all conditions; without it they must be acyclic. ``pivots`` bounds the
    steps: what is found by then still meets every condition.
    """
    if not problem.tails:
        return [0] * problem.count
    y = list(start) if start is not None else longest_ways(problem)
    tree = _Tree(problem, np.array(y, np.int64))
    limit = 50 * problem.count + 1000 if pivots is None else pivots
    for _ in range(limit):
        if not tree.pivot():
            break
    low = int(tree.y.min())
    return [int(value) - low for value in tree.y[: problem.count]]


def longest_ways(problem: Differences) -> list[int]:
    """The least y of 0 or more that meet all conditions, which must have no cycle."""
    onward: list[list[int]] = [[] for _ in range(problem.count)]
    open_ = [0] * problem.count
    for number, (tail, head) in enumerate(zip(problem.tails, problem.heads, strict=True)):
        onward[tail].append(number)
        open_[head] += 1
    y = [0] * problem.count
    ready = [v for v in range(problem.count) if not open_[v]]
    for tail in ready:
        for number in onward[tail]:
            head = problem.heads[number]
            y[head] = max(y[head], y[tail] + problem.lengths[number])
            open_[head] -= 1
            if not open_[head]:
                ready.append(head)
    if len(ready) < problem.count:
        raise ValueError("the conditions have a cycle")
    return y


@dataclass(slots=True)
class _Tree:
    """A spanning tree of tight conditions, and the y it stands for."""

    problem: Differences
    y: Numbers
    tails: Numbers = field(init=False)
    heads: Numbers = field(init=False)
    lengths: Numbers = field(init=False)
    weights: Numbers = field(init=False)
    ends: tuple[list[int], list[int]] = field(init=False)
    near: list[set[int]] = field(init=False)
    order: list[int] = field(init=False)
    parent: list[int] = field(init=False)
    link: list[int] = field(init=False)
    cuts: Numbers = field(init=False)

    def __post_init__(self) -> None:
        given = self.problem
        self._join_parts()
        # Single numbers are read from lists, which is several times as fast as from arrays.
        self.ends = (self.tails.tolist(), self.heads.tolist())
        self.near = [set() for _ in range(given.count)]
        self._span()
        self._root()
        self._weigh_cuts()

    def _join_parts(self) -> None:
        """Add a weightless condition between parts that have none in common."""
        given = self.problem
        parent = list(range(given.count))

        def find(v: int) -> int:
            while parent[v] != v:
                parent[v] = parent[parent[v]]
                v = parent[v]
            return v

        for tail, head in zip(given.tails, given.heads, strict=True):
            parent[find(tail)] = find(head)
        roots = [v for v in range(given.count) if find(v) == v]
        low = min(roots, key=lambda v: (self.y[v], v))
        others = [v for v in roots if v != low]
        slack = [int(min(0, self.y[v] - self.y[low])) for v in others]
        self.tails = np.array([*given.tails, *([low] * len(others))], np.int64)
        self.heads = np.array([*given.heads, *others], np.int64)
        self.lengths = np.array([*given.lengths, *slack], np.int64)
        self.weights = np.array([*given.weights, *([0] * len(others))], np.int64)

    def _span(self) -> None:
        """Grow a tree of tight conditions, moving what is grown to the nearest condition."""
        tails, heads = self.ends
        lengths, y = self.lengths.tolist(), self.y.tolist()
        touching: list[list[int]] = [[] for _ in range(self.problem.count)]
        for number, (tail, head) in enumerate(zip(tails, heads, strict=True)):
            touching[tail].append(number)
            touching[head].append(number)
        inside = [False] * self.problem.count
        leaving: list[tuple[int, int]] = []
        arriving: list[tuple[int, int]] = []
        moved = 0

        def take(v: int) -> None:
            inside[v] = True
            y[v] -= moved
            for number in touching[v]:
                tail, head = tails[number], heads[number]
                if tail == v and not inside[head]:
                    heapq.heappush(leaving, (y[head] - y[v] - lengths[number], number))
                elif head == v and not inside[tail]:
                    heapq.heappush(arriving, (y[v] - y[tail] - lengths[number], number))

        take(0)
        for _ in range(self.problem.count - 1):
            while leaving and inside[heads[leaving[0][1]]]:
                heapq.heappop(leaving)
            while arriving and inside[tails[arriving[0][1]]]:
                heapq.heappop(arriving)
            down = leaving[0][0] - moved if leaving else None
            up = arriving[0][0] + moved if arriving else None
            if up is None or (down is not None and down <= up):
                assert down is not None
                number = heapq.heappop(leaving)[1]
                moved += down
                other = heads[number]
            else:
                number = heapq.heappop(arriving)[1]
                moved -= up
                other = tails[number]
            self.near[tails[number]].add(number)
            self.near[heads[number]].add(number)
            take(other)
        self.y = np.array(y, np.int64) + moved

    def _root(self) -> None:
        count = self.problem.count
        tails, heads = self.ends
        self.parent, self.link = [-1] * count, [-1] * count
        order = [0]
        for v in order:
            for number in sorted(self.near[v]):
                if number != self.link[v]:
                    other = heads[number] if tails[number] == v else tails[number]
                    self.parent[other], self.link[other] = v, number
                    order.append(other)
        self.order = order

    def _weigh_cuts(self) -> None:
        """The cut value of each tree condition: weight going on less weight coming back."""
        flow = np.zeros(self.problem.count, np.int64)
        np.add.at(flow, self.tails, self.weights)
        np.subtract.at(flow, self.heads, self.weights)
        sums = flow.tolist()
        cuts = [0] * len(self.tails)
        for v in reversed(self.order[1:]):
            number = self.link[v]
            cuts[number] = sums[v] if self.ends[0][number] == v else -sums[v]
            sums[self.parent[v]] += sums[v]
        self.cuts = np.array(cuts, np.int64)

    def pivot(self) -> bool:
        """Trade the worst tree condition for a better one; False when none is worse than 0."""
        leave = int(self.cuts.argmin())
        if self.cuts[leave] >= 0:
            return False
        tail, head = self.ends[0][leave], self.ends[1][leave]
        low = tail if self.link[tail] == leave else head
        below = self._below(low)
        inside = np.zeros(self.problem.count, bool)
        inside[below] = True
        from_in, to_in = inside[self.tails], inside[self.heads]
        crossing = (to_in & ~from_in) if low == tail else (from_in & ~to_in)
        candidates = np.flatnonzero(crossing)
        slack = (
            self.y[self.heads[candidates]]
            - self.y[self.tails[candidates]]
            - self.lengths[candidates]
        )
        best = int(slack.argmin())
        enter, least = int(candidates[best]), int(slack[best])
        if least:
            self.y[below] += -least if low == tail else least
        self._exchange(leave, enter, low, inside)
        return True

    def _below(self, top: int) -> list[int]:
        """The vertices of the tree under ``top``, which is one of them."""
        found = [top]
        tails, heads = self.ends
        near, link = self.near, self.link
        for v in found:
            for number in near[v]:
                if number != link[v]:
                    tail = tails[number]
                    found.append(heads[number] if tail == v else tail)
        return found

    def _exchange(self, leave: int, enter: int, low: int, inside: NDArray[np.bool_]) -> None:
        """Put ``enter`` into the tree for ``leave``, whose lower end is ``low``."""
        worth = int(self.cuts[leave])
        tail, head = self.ends[0][enter], self.ends[1][enter]
        within, outside = (tail, head) if inside[tail] else (head, tail)
        self._shift_cuts(tail, head, worth)
        self.cuts[leave] = 0
        self.cuts[enter] = -worth
        for v in (self.ends[0][leave], self.ends[1][leave]):
            self.near[v].discard(leave)
        self.near[tail].add(enter)
        self.near[head].add(enter)
        v, above, by = within, outside, enter
        while True:
            next_above, next_by = self.parent[v], self.link[v]
            self.parent[v], self.link[v] = above, by
            if v == low:
                break
            v, above, by = next_above, v, next_by

    def _shift_cuts(self, tail: int, head: int, worth: int) -> None:
        """Carry the change of cut value round the loop that the entering condition closes."""
        seen: dict[int, int] = {}
        v, step = tail, 0
        while v != -1:
            seen[v] = step
            v, step = self.parent[v], step + 1
        meeting = head
        while meeting not in seen:
            meeting = self.parent[meeting]
        for end, sign in ((tail, 1), (head, -1)):
            v = end
            while v != meeting:
                number = self.link[v]
                upward = self.ends[0][number] == v
                self.cuts[number] += worth * (sign if upward else -sign)
                v = self.parent[v]
