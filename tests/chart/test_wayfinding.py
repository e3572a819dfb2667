"""Ways level and upright over a raster: none turns back on itself."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from slinediag.chart.wayfinding import LIMB, Ground, find_way

FREE = 10


def limbs(corners):
    """The limbs of a way as steps down and to the right."""
    return [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(corners)]


@pytest.mark.parametrize("row", [29, 30, 40])
@pytest.mark.parametrize("straight", [(0, 0), (6, 2)])
def test_a_way_to_a_tag_aside_of_both_ends_does_not_turn_back(straight, row):
    ground = Ground(*(np.full((60, 160), FREE, dtype=np.int32) for _ in range(2)))
    tags = np.zeros((60, 160), dtype=np.bool_)
    tags[30, 120] = True  # Both ends are left of the only place for the tag.
    found = find_way(ground, (10, 80), (row, 10), tags, straight)
    steps = limbs(found.corners)
    assert all((a[0] == 0) != (b[0] == 0) for a, b in pairwise(steps))
    assert all(abs(down + right) >= LIMB for down, right in steps[1:-1])


def test_a_way_weighs_what_its_steps_and_turns_do():
    rng = np.random.default_rng(5)
    ground = Ground(*(rng.integers(5, 90, (40, 50)).astype(np.int32) for _ in range(2)))
    tags = np.ones((40, 50), dtype=np.bool_)
    found = find_way(ground, (3, 4), (35, 41), tags)
    assert (found.corners[0], found.corners[-1]) == ((3, 4), (35, 41))
    assert found.tag in set(nodes(found.corners))


def nodes(corners):
    """All nodes of a way, from corner to corner."""
    for (row, column), (to_row, to_column) in pairwise(corners):
        far = max(abs(to_row - row), abs(to_column - column))
        for step in range(far + 1):
            yield row + (to_row - row) * step // far, column + (to_column - column) * step // far
