"""How the pages before and behind the drawings of a set may be divided, the best way first."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.chart.page_names import GRID, INDEX


@dataclass(frozen=True, slots=True)
class Manner:
    """How what is said on the pages before and behind the drawings is divided over them.

    ``small``: with the overview no larger than it need be. ``brief``: the index without positions
    and with few names. ``behind``: what else stands behind the drawings. ``lists_before``: as many
    lists as have room on the pages before the drawings stand there, the finder last. ``terse``:
    what feeds the priority inputs without what their boxes are.
    """

    small: bool = False
    brief: bool = False
    behind: frozenset[str] = frozenset()
    lists_before: bool = False
    terse: bool = False


MANNERS = tuple(
    Manner(small, brief, frozenset(behind), before)
    for small in (False, True)
    for brief in (False, True)
    for behind, before in (((), False), ((), True), ((INDEX,), False), ((GRID,), False))
)
"""All manners; the first of the best is the one."""
