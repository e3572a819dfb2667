"""The slow waves against eigenvectors by LAPACK (numpy)."""

from __future__ import annotations

import random

import numpy as np
import pytest

from slinediag.layout.spectrum import slow_waves


def test_one_or_none() -> None:
    assert slow_waves(1, [], 4) == []
    (wave,) = slow_waves(2, [(0, 1, 1.0)], 4)
    assert sorted(wave.tolist()) == [-1.0, 1.0]


@pytest.mark.parametrize("seed", range(4))
def test_slowest_waves(seed: int) -> None:
    chance = random.Random(seed)
    count = 60
    links = [(k, k + 1, 1 + chance.random()) for k in range(count - 1)]
    links += [(k, chance.randrange(k), chance.random()) for k in range(1, count, 2)]
    matrix = np.zeros((count, count))
    for a, b, weight in links:
        matrix[a, b] += weight
        matrix[b, a] += weight
    degree = matrix.sum(axis=1)
    values, vectors = np.linalg.eigh(matrix / np.sqrt(np.outer(degree, degree)))
    waves = slow_waves(count, links, 2)
    for k, wave in enumerate(waves):
        expected = vectors[:, -2 - k] / np.sqrt(degree)
        expected /= np.abs(expected).max()
        off = min(np.abs(wave - expected).max(), np.abs(wave + expected).max())
        assert off < 1e-3, (values[-4:], k)


def test_a_ladder_is_climbed() -> None:
    links = [(k, k + 1, 1.0) for k in range(19)]
    (wave, *_) = slow_waves(20, links, 1)
    steps = np.diff(wave)
    assert (steps > 0).all() or (steps < 0).all()
