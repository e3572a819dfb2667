"""Parts of one piece of equipment on one sheet made one, where that comes out no worse.

A reader who looks for equipment finds all of it that a sheet shows in one place, and need not
follow a reference from one part to another beside it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterator, Mapping

from slinediag.chart.grouping import MANNERS, Fit, Groups, Part


def in_fewer_parts(
    fit: Fit,
    large_at: Mapping[str, Collection[str]],
    fitted: Callable[[Groups], Fit | None],
    bends: Callable[[Fit], int],
) -> Fit:
    """The same units, pairs of their groups made one wherever the sheet has room for that set no
    closer, no more lines cross and no more of them bend.

    ``large_at``: by unit, the large equipment that its lines lead to. ``fitted``: how groups fit
    the sheet, None where they do not. ``bends``: how often lines turn.
    """
    refused = set[Groups]()
    while pair := next((p for p in _sharing(fit, large_at) if p not in refused), None):
        rest = [group for group in fit.groups if group not in pair]
        joined = fitted((*rest, pair[0] + pair[1]))
        if joined is not None and _no_worse(joined, fit, bends):
            fit = joined
        else:
            refused.add(pair)
    return fit


def _sharing(fit: Fit, large_at: Mapping[str, Collection[str]]) -> Iterator[Groups]:
    """Pairs of groups that are each joined to parts of their own of the same equipment."""
    if fit.grouping.inputs != fit.grouping.outputs:
        return
    at = {group: _large(group, large_at) for group in fit.groups}
    yield from (p for p in itertools.combinations(at, 2) if not at[p[0]].isdisjoint(at[p[1]]))


def _large(group: Part, large_at: Mapping[str, Collection[str]]) -> set[str]:
    return {box for unit in group for box in large_at[unit]}


def _no_worse(one: Fit, other: Fit, bends: Callable[[Fit], int]) -> bool:
    """Whether units are set no closer than they were, and no more lines cross or bend."""
    manners = [MANNERS.index(fit.grouping.manner) for fit in (one, other)]
    if manners[0] > manners[1] or one.crossings > other.crossings:
        return False
    return bends(one) <= bends(other)
