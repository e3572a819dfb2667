"""Starts for the order: blocks placed along the slowest waves of the graph.

The low eigenvectors of the normalised Laplacian, by the Lanczos method from one fixed start
with full reorthogonalisation, so that even among equal eigenvalues the answer is one.
"""

from __future__ import annotations

import math
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
    waves = []
    for value in _largest_values(diagonal, beside, wanted):
        mix = np.array(_vector(diagonal, beside, value))
        wave = (np.array(basis).T * mix).sum(axis=1) / root
        wave = wave / max(1e-12, float(np.abs(wave).max()))
        if wave[int(np.abs(np.round(wave, 6)).argmax())] < 0:
            wave = -wave
        waves.append(np.round(wave, 6))
    return waves


def _largest_values(diagonal: Sequence[float], beside: Sequence[float], wanted: int) -> list[float]:
    """The largest eigenvalues of a symmetric tridiagonal matrix, by bisection.

    How many are below x is told by the signs of the pivots of the matrix less x (Sturm).
    """

    def below(x: float) -> int:
        count, pivot = 0, 1.0
        for k, value in enumerate(diagonal):
            off = beside[k - 1] if k else 0.0
            pivot = value - x - off * off / pivot
            if pivot == 0.0:
                pivot = 1e-300
            count += pivot < 0.0
        return count

    size = len(diagonal)
    values = []
    for rank in range(size - 1, max(-1, size - 1 - wanted), -1):
        low, high = -2.0, 2.0
        for _ in range(48):
            middle = (low + high) / 2
            if below(middle) <= rank:
                low = middle
            else:
                high = middle
        values.append((low + high) / 2)
    return values


def _vector(diagonal: Sequence[float], beside: Sequence[float], value: float) -> list[float]:
    """The eigenvector of a symmetric tridiagonal matrix, by inverse iteration."""
    size = len(diagonal)
    vector = [1.0 + 0.1 * (k % 3) for k in range(size)]
    for _ in range(3):
        # Elimination from the top, the shift a little off so that no pivot is 0.
        pivots: list[float] = []
        for k in range(size):
            pivot = diagonal[k] - value - 1e-10
            if k:
                factor = beside[k - 1] / pivots[k - 1]
                pivot -= factor * beside[k - 1]
                vector[k] -= factor * vector[k - 1]
            pivots.append(pivot if abs(pivot) > 1e-14 else 1e-14)
        for k in range(size - 1, -1, -1):
            if k < size - 1:
                vector[k] -= beside[k] * vector[k + 1]
            vector[k] /= pivots[k]
        length = math.sqrt(math.fsum(x * x for x in vector))
        vector = [x / length for x in vector]
    return vector
