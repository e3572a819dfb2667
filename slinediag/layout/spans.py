"""Where a net runs: the gaps it spans and what it joins in each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slinediag.layout.nets import End

LinkEnd = End | None
"""A box and its port; None for the net's own lane."""


def span(sources: Sequence[End], targets: Sequence[End], layers: Sequence[int]) -> tuple[int, int]:
    """First and last gap in which a net with these ends has a run."""
    if len(sources) == len(targets) == 1:
        # Most nets are lines, and this is asked very often.
        one, other = layers[sources[0][0]], layers[targets[0][0]] - 1
        return (one, other) if one < other else (other, one)
    gaps = [layers[box] for box, _ in sources] + [layers[box] - 1 for box, _ in targets]
    return min(gaps), max(gaps)


def ends_in_gap(
    sources: Sequence[End],
    targets: Sequence[End],
    layers: Sequence[int],
    gap: int,
    within: tuple[int, int] | None = None,
) -> tuple[list[LinkEnd], list[LinkEnd]]:
    """What a net's run in a gap joins on the gap's left and right; the lane comes first.

    ``within``: its span, where that is known.
    """
    first, last = within or span(sources, targets, layers)
    lefts: list[LinkEnd] = [None] if gap > first else []
    rights: list[LinkEnd] = [None] if gap < last else []
    lefts += [end for end in sources if layers[end[0]] == gap]
    rights += [end for end in targets if layers[end[0]] - 1 == gap]
    return lefts, rights


def links(
    lefts: Sequence[LinkEnd], rights: Sequence[LinkEnd]
) -> Iterator[tuple[LinkEnd, LinkEnd, int]]:
    """A net's run in a gap as links from end to end: (end, end, side).

    Side 0: the first end is on the gap's left, the second on its right; -1 and 1: both are on
    the left, on the right.
    """
    if lefts and rights:
        yield lefts[0], rights[0], 0
        for left in lefts[1:]:
            yield left, rights[0], 0
        for right in rights[1:]:
            yield lefts[0], right, 0
        return
    side, ends = (-1, lefts) if lefts else (1, rights)
    for end in ends[1:]:
        yield ends[0], end, side
