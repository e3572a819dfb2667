"""Starts for the order: blocks placed along the slowest waves of the graph.

The low eigenvectors of the normalised Laplacian, by the Lanczos method from one fixed start
with full reorthogonalisation, so that even among equal eigenvalues the answer is one.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def slow_waves(
    count: int, links: Sequence[tuple[int, int, float]], wanted: int, steps: int = 90
) -> list[Floats]:
    """Up to ``wanted`` waves over ``count`` joined places, slowest first, the constant left out.

    ``links``: (place, place, weight).
    """
    if count < 2:
        return []
    one = np.array([link[0] for link in links])
    two = np.array([link[1] for link in links])
    weight = np.array([link[2] for link in links], np.float64)
    degree = np.bincount(one, weight, count) + np.bincount(two, weight, count)
    root = np.sqrt(np.maximum(degree, 1e-9))
    weight = weight / (root[one] * root[two])
    chance = random.Random(count)
    vector = np.array([chance.uniform(-1, 1) for _ in range(count)])
    rest = root / np.sqrt((root * root).sum())
    vector -= rest * (rest * vector).sum()
    basis: list[Floats] = []
    diagonal: list[float] = []
    beside: list[float] = []
    for _ in range(min(steps, count - 1)):
        size = float(np.sqrt((vector * vector).sum()))
        if size < 1e-9:
            break
        if basis:
            beside.append(size)
        vector = vector / size
        basis.append(vector)
        image = np.bincount(one, weight * vector[two], count)
        image += np.bincount(two, weight * vector[one], count)
        diagonal.append(float((image * vector).sum()))
        for _ in range(2):
            image -= rest * (rest * image).sum()
            for known in basis:
                image -= known * (known * image).sum()
        vector = image
    if not basis:
        return []
    small = np.diag(diagonal) + np.diag(beside, 1) + np.diag(beside, -1)
    values, vectors = np.linalg.eigh(small)
    waves = []
    for column in np.argsort(-values, kind="stable")[:wanted]:
        wave = (np.array(basis).T * vectors[:, column]).sum(axis=1) / root
        wave = wave / max(1e-12, float(np.abs(wave).max()))
        if wave[int(np.abs(np.round(wave, 6)).argmax())] < 0:
            wave = -wave
        waves.append(np.round(wave, 6))
    return waves
