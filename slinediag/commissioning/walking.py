"""The order in which measuring points are walked: every state with the fewest plug moves.

Two test plugs. A plug put in is one move, a plug pulled another; every point is to be read with
no plug, a plug in A, in both and in B. Points that share a jack are walked together. Within one
point no order needs fewer than four moves, since both plugs go in and come out.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from slinediag.address import Jack, natural
from slinediag.commissioning.bench import STATES, State
from slinediag.commissioning.points import MeasuringPoint
from slinediag.model.facility import Facility
from slinediag.tracing.places import place_name

TEST_PLUGS = 2
WALKED_TOGETHER = 5
"""Points sharing jacks whose best order is searched, in a tenth of a second; more are parted."""

Plugged = frozenset[int]
Wanted = tuple[tuple[int, ...], ...]
"""Points as the numbers of their jacks, one or two each."""


@dataclass(frozen=True, slots=True)
class Visit:
    """The jacks with a test plug in, and the points read then, each with its state."""

    plugs: tuple[Jack, ...]
    reads: tuple[tuple[MeasuringPoint, State], ...]


@dataclass(frozen=True, slots=True)
class Walk:
    """The visits in order, the plug moves they take, and those that row order would take."""

    visits: tuple[Visit, ...]
    moves: int
    row_moves: int


def walk(facility: Facility, points: Sequence[MeasuringPoint]) -> Walk:
    """The order to walk the points in: rooms, racks and bays from top to bottom, left to right."""
    visits: list[Visit] = []
    moves = 0
    for group in _groups(points, _order_of(facility)):
        jacks = tuple(dict.fromkeys(j for p in group for j in (p.a, p.b) if j is not None))
        number = {jack: n for n, jack in enumerate(jacks)}
        wanted = tuple(tuple(number[j] for j in (p.a, p.b) if j is not None) for p in group)
        states = list(_states(wanted))
        moves += sum(len(a ^ b) for a, b in zip([frozenset[int](), *states], states, strict=False))
        moves += len(states[-1])
        visits += _visits(group, jacks, wanted, states)
    row_moves = sum(row_order_moves(point) for point in points)
    return Walk(tuple(visits), moves, row_moves)


def row_order_moves(point: MeasuringPoint) -> int:
    """The plug moves of no plug, A, B, both, as the rows of a plain sheet go."""
    return 2 if point.b is None else 6


def _order_of(facility: Facility) -> dict[str, tuple[object, ...]]:
    """Sort keys of bays: room, metres from the left, from the top down."""
    keys: dict[str, tuple[object, ...]] = {}
    for bay in facility.bays.values():
        place = place_name(bay.place) if bay.place else ""
        rack = facility.racks.get(place)
        x = rack.x if rack is not None and rack.x is not None else 0.0
        room = (rack.room if rack is not None else None) or place
        unit = bay.unit if bay.unit is not None else 0
        keys[bay.id] = natural(room), x, natural(place), -unit, natural(bay.id)
    return keys


def _groups(
    points: Sequence[MeasuringPoint], order: dict[str, tuple[object, ...]]
) -> list[list[MeasuringPoint]]:
    """Points that share jacks, where few enough do; in walking order of their first."""

    def at(point: MeasuringPoint) -> tuple[object, ...]:
        return order[point.a.bay], point.a.position, point.across

    groups: list[list[MeasuringPoint]] = []
    of_jack: dict[Jack, list[MeasuringPoint]] = {}
    for point in sorted(points, key=at):
        ends = [j for j in (point.a, point.b) if j is not None]
        near = list({id(of_jack[j]): of_jack[j] for j in ends if j in of_jack}.values())
        size = 1 + sum(map(len, near))
        group = near[0] if near and size <= WALKED_TOGETHER else []
        for other in near[1:] if group else ():
            group += other
            groups = [g for g in groups if g is not other]
        group.append(point)
        for member in group:
            of_jack.update({j: group for j in (member.a, member.b) if j is not None})
        if not any(g is group for g in groups):
            groups.append(group)
    return groups


@lru_cache(maxsize=256)
def _states(wanted: Wanted) -> tuple[Plugged, ...]:
    """The states to go through, from no plug to the last; the fewest moves, all pulled after."""
    needs = [need for point in wanted for need in _needs(point)]
    start: tuple[Plugged, int] = (frozenset(), _covered(needs, frozenset()))
    full = (1 << len(needs)) - 1
    came: dict[tuple[Plugged, int], tuple[Plugged, int] | None] = {start: None}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        plugs, covered = here
        if covered == full and not plugs:
            return _back(came, here)
        for after in _next(plugs, {j for point in wanted for j in point}):
            step = after, covered | _covered(needs, after)
            if step not in came:
                came[step] = here
                queue.append(step)
    raise AssertionError("every state can be reached with two plugs")


Need = tuple[frozenset[int], frozenset[int]]
"""The jacks of a point, and those of them that must hold a plug."""


def _needs(point: tuple[int, ...]) -> Iterator[Need]:
    jacks = frozenset(point)
    for state in STATES:
        plugs = frozenset(point["AB".index(place)] for place in state if len(point) > 1)
        if len(point) == 1:
            if state in ("", "A"):
                yield jacks, frozenset(point) if state else frozenset()
        else:
            yield jacks, plugs


def _covered(needs: Sequence[Need], plugs: Plugged) -> int:
    return sum(1 << n for n, (jacks, wanted) in enumerate(needs) if plugs & jacks == wanted)


def _next(plugs: Plugged, jacks: set[int]) -> Iterator[Plugged]:
    for jack in sorted(jacks):
        if jack in plugs:
            yield plugs - {jack}
        elif len(plugs) < TEST_PLUGS:
            yield plugs | {jack}


def _back(
    came: dict[tuple[Plugged, int], tuple[Plugged, int] | None], last: tuple[Plugged, int]
) -> tuple[Plugged, ...]:
    """The states on the way, those after the last reading left out."""
    way = []
    at: tuple[Plugged, int] | None = last
    while at is not None:
        way.append(at)
        at = came[at]
    way.reverse()
    full = last[1]
    end = next(n for n, (_, covered) in enumerate(way) if covered == full)
    return tuple(plugs for plugs, _ in way[: end + 1])


def _visits(
    group: Sequence[MeasuringPoint],
    jacks: Sequence[Jack],
    wanted: Wanted,
    states: Sequence[Plugged],
) -> Iterator[Visit]:
    """The visits of a group, each point read the first time that it is in a state."""
    done: set[tuple[int, State]] = set()
    for plugs in states:
        reads: list[tuple[MeasuringPoint, State]] = []
        for n, (point, ends) in enumerate(zip(group, wanted, strict=True)):
            state = _state(ends, plugs)
            if (n, state) not in done:
                done.add((n, state))
                reads.append((point, state))
        yield Visit(tuple(jacks[j] for j in sorted(plugs)), tuple(reads))


def _state(ends: tuple[int, ...], plugs: Plugged) -> State:
    a, b = ends[0] in plugs, len(ends) > 1 and ends[1] in plugs
    if a:
        return "AB" if b else "A"
    return "B" if b else ""
