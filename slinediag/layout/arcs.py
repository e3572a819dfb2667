"""Runs that leave and return on one side of a layer, as arcs: what two of them cost each other.

Two arcs cross where exactly one end of the one lies between the ends of the other. When an end
passes one of the other arc's ends, that changes: by a product of three signs, where pairs of
other strands need but one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.blocks import Strand

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Arcs:
    """Pairs of arcs, and their steps gathered by block.

    ``apart``: columns (end, end, end, end) of two arcs of four blocks. ``knots``: columns (box,
    end, end, sign) of two arcs of one box; the sign is 1 if the first has the upper port.
    Block x owns entries ``starts[x]`` to ``starts[x + 1]`` of ``steps``; ``partners`` are the
    other ends of its arc, ``others`` those of the other arc.
    """

    apart: Ints
    knots: Ints
    starts: tuple[int, ...]
    steps: Ints
    partners: Ints
    others: Ints

    def crossings(self, places: Ints) -> int:
        """How often they cross; ``places[x]`` is where block x stands."""
        a, b, c, d = places[self.apart]
        low, high = np.minimum(a, b), np.maximum(a, b)
        crossed = ((low < c) & (c < high)) != ((low < d) & (d < high))
        box, one, two = places[self.knots[:3]]
        sign = self.knots[3]
        # On one side of the box arcs are nested; on both sides the upper port goes up.
        beside = (one < box) == (two < box)
        same = np.where(beside, one < two, two < one)
        return int(crossed.sum() + ((sign > 0) == same).sum())

    def jumps(self, block: int, places: Ints) -> tuple[Ints, Floats]:
        """Steps and jumps of a block in each row of ``places``."""
        part = slice(self.starts[block], self.starts[block + 1])
        step = places[:, self.steps[part]]
        partner, other = places[:, self.partners[part]], places[:, self.others[part]]
        signs = np.sign(partner - step) * np.sign(other - step) * np.sign(other - partner)
        return step, -signs.astype(np.float64)


def arcs_of(count: int, rows: Sequence[Sequence[Strand]], ports_free: bool) -> Arcs:
    """All pairs of arcs of each row; a strand to itself is none.

    With ports free two arcs of one box need not cross, and are left out.
    """
    apart: list[tuple[int, int, int, int]] = []
    knots: list[tuple[int, int, int, int]] = []
    for row in rows:
        arcs = [strand for strand in row if strand.left != strand.right]
        for number, one in enumerate(arcs):
            for two in arcs[number + 1 :]:
                shared = {one.left, one.right} & {two.left, two.right}
                if one.net == two.net or len(shared) > 1:
                    continue
                if not shared:
                    apart.append((one.left, one.right, two.left, two.right))
                elif not ports_free:
                    knots.append(_knot(one, two, shared.pop()))
    ends = np.array(apart, np.int64).reshape(-1, 4).T
    a, b, c, d = ends
    table = np.concatenate(
        [
            np.stack([end, step, partner, other])
            for end, partner in ((a, b), (b, a))
            for step, other in ((c, d), (d, c))
        ]
        + [
            np.stack([end, step, partner, other])
            for end, partner in ((c, d), (d, c))
            for step, other in ((a, b), (b, a))
        ],
        axis=1,
    )
    table = table[:, np.argsort(table[0], kind="stable")]
    starts = np.searchsorted(table[0], np.arange(count + 1))
    knotted = np.array(knots, np.int64).reshape(-1, 4).T
    return Arcs(ends, knotted, tuple(starts.tolist()), *table[1:])


def _knot(one: Strand, two: Strand, box: int) -> tuple[int, int, int, int]:
    far = [arc.right if arc.left == box else arc.left for arc in (one, two)]
    ports = [arc.lefts if arc.left == box else arc.rights for arc in (one, two)]
    return box, far[0], far[1], 1 if ports[0] < ports[1] else -1


def knot_steps(arcs: Arcs, count: int) -> list[Ints]:
    """Steps of the pairs of arcs of one box: columns (block, step, jump, below, above)."""
    box, one, two, sign = arcs.knots
    below, above = np.full_like(box, count), np.full_like(box, count + 1)
    moves = (
        (one, box, sign),
        (one, two, -sign),
        (two, box, -sign),
        (two, one, sign),
        (box, one, -sign),
        (box, two, sign),
    )
    return [np.stack([block, step, jump, below, above]) for block, step, jump in moves]
