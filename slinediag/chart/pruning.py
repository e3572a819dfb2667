"""Cuts back a trunk that leads to a junction nothing else leaves: such an end would say nothing."""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.geometry import Point, Run


def pruned(runs: Iterable[Run], junction: Point) -> tuple[Run, ...]:
    """Straight pieces without the dead end that leads to a junction, back to where lines part."""
    left = [run for run in runs if run[0] != run[-1]]
    tip = junction
    while True:
        ending = [run for run in left if tip in (run[0], run[-1])]
        through = [run for run in left if run not in ending and _on(tip, run)]
        if len(ending) != 1 or through:
            return tuple(left)
        (last,) = ending
        left.remove(last)
        far = last[-1] if last[0] == tip else last[0]
        contacts = [p for run in left for p in _meeting(last, run) if p != tip]
        if not contacts:
            return (*left, last)
        near = min(contacts, key=lambda p: abs(p.x - tip.x) + abs(p.y - tip.y))
        if near != far:
            left.append((near, far))
        tip = near


def _meeting(one: Run, other: Run) -> list[Point]:
    """Where two straight pieces meet: ends of one on the other, or where they cross."""
    crossings = (Point(one[0].x, other[0].y), Point(other[0].x, one[0].y))
    points = (one[0], one[-1], other[0], other[-1], *crossings)
    return [point for point in points if _on(point, one) and _on(point, other)]


def _on(point: Point, run: Run) -> bool:
    """Whether a point lies on a straight piece."""
    (a, *_, b) = run
    return (
        min(a.x, b.x) <= point.x <= max(a.x, b.x)
        and min(a.y, b.y) <= point.y <= max(a.y, b.y)
        and (a.x == b.x == point.x or a.y == b.y == point.y)
    )


def branches(point: Point, runs: Iterable[Run]) -> int:
    """How many ways lead from a point along straight pieces."""
    return sum(1 if point in (run[0], run[-1]) else 2 for run in runs if _on(point, run))
