"""The order of a channel's uprights from left to right, by what it costs that one stands first."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.wires import FORBIDDEN, Matrix

# How often all uprights are tried in every place.
ROUNDS = 4


def sequence(cost: Matrix) -> list[int]:
    """Left to right so that little is paid and nothing that is forbidden.

    Where nothing goes in a ring, as little as can be. Where what is forced does, something that
    is forbidden is paid for.
    """
    return improved(cost, _cheap(cost))


def improved(cost: Matrix, order: list[int]) -> list[int]:
    """An order that costs no more than one that is given, and that one if none can cost less."""
    if paid(cost, order) > least_paid(cost):
        return _sifted(cost, order)
    return order


def least_paid(cost: Matrix) -> int:
    """What no order costs less than: of each two the better way round."""
    return int(np.minimum(cost, cost.T).sum()) // 2


def paid(cost: Matrix, order: Sequence[int]) -> int:
    """What an order costs."""
    placed = cost[np.ix_(order, order)]
    return int(np.triu(placed, 1).sum())


def rings(cost: Matrix) -> NDArray[np.bool_]:
    """Entry [i, j]: whether i and j are in one ring, each standing better left of the next."""
    reach = (cost < cost.T) | np.eye(len(cost), dtype=bool)
    for _ in range(len(cost).bit_length()):
        reach = reach.astype(np.float32) @ reach.astype(np.float32) > 0
    both: NDArray[np.bool_] = reach & reach.T
    return both


def _cheap(cost: Matrix) -> list[int]:
    """Takes what costs nothing on the left or on the right first, else what saves most.

    Eades, Lin, Smyth, "A fast and effective heuristic for the feedback arc set problem", 1993.
    """
    forced = cost.T >= FORBIDDEN
    wish = np.maximum(0, cost.T - cost) + forced * FORBIDDEN
    onward, inward, waits = wish.sum(axis=1), wish.sum(axis=0), forced.sum(axis=0)
    alive = np.ones(len(wish), bool)
    head: list[int] = []
    tail: list[int] = []
    for _ in range(len(wish)):
        first, last = np.flatnonzero(alive & (inward == 0)), np.flatnonzero(alive & (onward == 0))
        if len(first):
            taken = int(first[0])
            head.append(taken)
        elif len(last):
            taken = int(last[-1])
            tail.append(taken)
        else:
            open_ = alive & (waits == 0)
            open_ = open_ if open_.any() else alive
            taken = int(np.where(open_, onward - inward, -(1 << 60)).argmax())
            head.append(taken)
        alive[taken] = False
        inward -= wish[taken]
        onward -= wish[:, taken]
        waits -= forced[taken]
    return head + tail[::-1]


def _sifted(cost: Matrix, order: list[int]) -> list[int]:
    """Each upright in turn put where it costs least, until none moves."""
    for _ in range(ROUNDS):
        moved = False
        for k in list(order):
            here = order.index(k)
            rest = order[:here] + order[here + 1 :]
            # Before all others, then past one after the other.
            gain = cost[rest, k] - cost[k, rest]
            change = np.concatenate(([0], np.cumsum(gain)))
            best = int(change.argmin())
            if change[best] < change[here]:
                order = [*rest[:best], k, *rest[best:]]
                moved = True
        if not moved:
            break
    return order
