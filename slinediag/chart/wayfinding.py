"""Finds the lightest level and upright way over a raster, by way of a place for a tag.

From each end the weight of reaching every node is spread over the whole raster, row by row and
column by column, until no more turns make it less. The way is that on which both ends meet in a
node that has room for the tag at the least weight, one coming from the left and one from the
right, or one from above and one from below. All is in whole numbers: equal plants get equal ways.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.chart.occupancy import Raster

NEVER = 1_000_000_000
BEND = 80
"""What a turn weighs: as much as 8 mm of free way."""
UPRIGHT_TAG = 400
"""What a tag across an upright piece weighs: 40 mm of way to a level one."""
ROUNDS = 5
"""How often all is spread, for two turns each time between an end of a way and its tag."""

RIGHT, LEFT, DOWN, UP = range(4)
STEPS = ((0, 1), (0, -1), (1, 0), (-1, 0))
"""Rows and columns of a step in each direction."""

Node = tuple[int, int]
Field = NDArray[np.int32]
"""The weight of reaching each node, shape (4, rows, columns), by the direction of the last step."""


@dataclass(frozen=True)
class Ground:
    """What a step onto each node weighs: a level one and an upright one, shape (rows, columns)."""

    level: Raster
    upright: Raster


@dataclass(frozen=True, slots=True)
class Found:
    """A way as its corners from end to end, where its tag goes, and what it weighs."""

    corners: tuple[Node, ...]
    tag: Node
    weight: int


def find_way(
    ground: Ground,
    one: Node,
    other: Node,
    tags: NDArray[np.bool_],
    straight: tuple[int, int] = (0, 0),
) -> Found | None:
    """The lightest way between two nodes through one with room for a tag; None without such room.

    ``tags``: which nodes have that room, shape (rows, columns). ``straight``: for how many nodes
    either side of it the way leads straight on, where it is level and where it is upright.
    """
    there, back = _spread(ground, one), _spread(ground, other)
    pairs = ((RIGHT, LEFT, 0), (LEFT, RIGHT, 0), (DOWN, UP, UPRIGHT_TAG), (UP, DOWN, UPRIGHT_TAG))
    best: tuple[int, Node, int, int] | None = None
    for come, meet, more in pairs:
        met = _met(ground, there, back, come, meet, straight[come in (DOWN, UP)])
        total = np.where(tags, met + more, 2 * NEVER)
        least = int(total.min(initial=2 * NEVER))
        if least < NEVER and (best is None or least < best[0]):
            rows, columns = np.nonzero(total == least)
            lowest = columns[rows == rows.max()]
            best = (least, (int(rows.max()), int(lowest[len(lowest) // 2])), come, meet)
    if best is None:
        return None
    weight, tag, come, meet = best
    reach = straight[come in (DOWN, UP)]
    under = [_on(tag, come, step) for step in range(-reach, reach + 1)]
    first = _traced(there, under[0], come)
    second = _traced(back, under[-1], meet)
    return Found(_corners([*reversed(first), *under[1:-1], *second[not reach :]]), tag, weight)


def _on(node: Node, way: int, steps: int) -> Node:
    """The node so many steps on from one in a direction."""
    return node[0] + steps * STEPS[way][0], node[1] + steps * STEPS[way][1]


def _met(ground: Ground, there: Field, back: Field, come: int, meet: int, reach: int) -> Raster:
    """What a way weighs by each node that it comes to and leaves straight, for ``reach`` nodes."""
    if not reach:
        met: Raster = there[come] + back[meet]
        return met
    upright = come in (DOWN, UP)
    steps = ground.upright.T if upright else ground.level
    one, other = (field.T if upright else field for field in (there[come], back[meet]))
    if come in (LEFT, UP):
        one, other = other, one
    summed = np.cumsum(steps, axis=1, dtype=np.int32)
    found = np.full_like(steps, 2 * NEVER)
    if steps.shape[1] > 2 * reach:
        between = summed[:, 2 * reach - 1 : -1] - summed[:, : -2 * reach]
        ends = np.minimum(one[:, : -2 * reach], NEVER) + np.minimum(other[:, 2 * reach :], NEVER)
        found[:, reach:-reach] = np.where(ends < NEVER, ends + between, 2 * NEVER)
    return found.T if upright else found


def _spread(ground: Ground, source: Node) -> Field:
    """What it weighs to reach each node from one, by the direction of the last step."""
    field = np.full((4, *ground.level.shape), NEVER, dtype=np.int32)
    field[:, source[0], source[1]] = 0
    level = np.cumsum(ground.level, axis=1, dtype=np.int32)
    upright = np.cumsum(ground.upright, axis=0, dtype=np.int32)
    across, down = level[:, -1:] - level + ground.level, upright[-1:] - upright + ground.upright
    for _ in range(ROUNDS):
        before = field.copy()
        turned = np.minimum(field[DOWN], field[UP]) + BEND
        field[RIGHT] = _swept(np.minimum(field[RIGHT], turned), level, 1)
        field[LEFT] = _swept(np.minimum(field[LEFT], turned)[:, ::-1], across[:, ::-1], 1)[:, ::-1]
        turned = np.minimum(field[RIGHT], field[LEFT]) + BEND
        field[DOWN] = _swept(np.minimum(field[DOWN], turned), upright, 0)
        field[UP] = _swept(np.minimum(field[UP], turned)[::-1], down[::-1], 0)[::-1]
        np.minimum(field, NEVER, out=field)
        if np.array_equal(before, field):
            break
    return field


def _swept(start: Raster, summed: Raster, axis: int) -> Raster:
    """The least weight at each node when steps lead on along an axis from any node before it."""
    found: Raster = np.minimum.accumulate(start - summed, axis=axis) + summed
    return found


def _traced(field: Field, node: Node, towards: int) -> list[Node]:
    """The nodes from one that was reached in a direction back to the source."""
    row, column = node
    nodes = [node]
    while (weight := int(field[towards, row, column])) > 0:
        across = (DOWN, UP) if towards in (RIGHT, LEFT) else (RIGHT, LEFT)
        turn = min(across, key=lambda way: int(field[way, row, column]))
        if int(field[turn, row, column]) + BEND <= weight:
            towards = turn
        else:
            row, column = row - STEPS[towards][0], column - STEPS[towards][1]
            nodes.append((row, column))
    return nodes


def _corners(nodes: list[Node]) -> tuple[Node, ...]:
    """The nodes where a way turns, and its ends."""
    kept = [nodes[0]]
    for before, node, after in zip(nodes, nodes[1:], nodes[2:], strict=False):
        if (node[0] - before[0], node[1] - before[1]) != (after[0] - node[0], after[1] - node[1]):
            kept.append(node)
    return (*kept, nodes[-1])
