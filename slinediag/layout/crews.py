"""Blocks that may move at once: crews of which none has a say in what another's move costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slinediag.layout.terms import Terms


@dataclass(frozen=True, slots=True)
class Crews:
    """Each block in one crew of ``members``.

    What a block's move costs depends on the places of those it meets alone, ``near[x]``, so a
    crew's moves cost together what each costs by itself. Sets of blocks are whole numbers, one
    bit each.
    """

    members: tuple[tuple[int, ...], ...]
    near: tuple[int, ...]


def crews_of(terms: Terms, only: Sequence[int] | None = None) -> Crews:
    """All blocks, or some, in few crews: what meets most comes first, each in the first that has
    room."""
    near = _near(terms)
    blocks = range(terms.count) if only is None else only
    crews: list[list[int]] = []
    taken: list[int] = []
    for block in sorted(blocks, key=lambda block: -near[block].bit_count()):
        number = next((k for k, blocks in enumerate(taken) if not blocks & near[block]), len(crews))
        if number == len(crews):
            crews.append([])
            taken.append(0)
        crews[number].append(block)
        taken[number] |= 1 << block
    return Crews(tuple(map(tuple, crews)), near)


def each_alone(terms: Terms) -> Crews:
    """Crews of one block each, crew x of block x."""
    return Crews(tuple((block,) for block in range(terms.count)), _near(terms))


def _near(terms: Terms) -> tuple[int, ...]:
    """Per block those whose moves depend on where it stands, and on whose places its own do."""
    met = np.zeros((terms.count + 2, terms.count + 2), bool)
    arcs = terms.pairs.arcs
    for starts, columns in (
        (terms.starts, (terms.steps, terms.lows, terms.highs)),
        (arcs.starts, (arcs.steps, arcs.partners, arcs.others)),
    ):
        owners = np.repeat(np.arange(terms.count), np.diff(starts))
        for column in columns:
            met[owners, column] = True
    met |= met.T
    np.fill_diagonal(met, False)
    rows = np.packbits(met[: terms.count, : terms.count], axis=1, bitorder="little")
    return tuple(int.from_bytes(row.tobytes(), "little") for row in rows)
