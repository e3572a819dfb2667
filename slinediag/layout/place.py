"""Heights: every box and lane on its level, so that lines run straight and short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from slinediag.layout.expand import Ordered
from slinediag.layout.graph import micrometres
from slinediag.layout.joining import Distances, Levels, Straight, bent_bundles, join_straight
from slinediag.layout.placed import Placed, Shapes
from slinediag.layout.segments import Segments, segments_of
from slinediag.layout.settings import Settings
from slinediag.layout.simplex import Differences, least_differences, longest_ways
from slinediag.layout.spreading import TRACK, Channels, Spread, spread

# Weights are whole numbers; this is that of a straight run.
WEIGHT = 1000

# How many bundles are tried before all others, fewer the more segments there are; and how many in
# a row that save nothing. What the widest two bent bundles do not save, others hardly ever do.
MOST_ATTEMPTS = 6
SEGMENTS_TRIED = 1000
IN_VAIN = 2

# What another placement must save: for less, an edit should not move what people know.
WORTH_MOVING = 4 * TRACK


def place(ordered: Ordered, settings: Settings) -> Placed:
    """Levels with many straight and short runs on few tracks; order and distances kept.

    First the least total height of all runs; from there all runs that can be are joined
    straight, widest bundles first; then the least height of the runs that are left. Those are
    dealt out to the channels they pass. Where channels still need more tracks than uprights
    stand beside each other, bundles that are bent are tried before all others.
    """
    segments = segments_of(ordered)
    fixed = _distances(ordered, segments, settings)
    runs = _loose_runs(segments)
    level = longest_ways(Differences(len(segments.spots), *fixed, [0] * len(fixed[0])))
    level = _shortest(level, fixed, runs)
    stretch = settings.stretch * (micrometres(settings.pitch) or 1000)
    channels = Channels(ordered, segments, settings)

    def attempt(first: tuple[Straight, ...]) -> tuple[Spread, list[int]]:
        levels = Levels(list(level), fixed, runs, stretch)
        join_straight(levels, runs, first)
        joined = _shortest_of_groups(levels, fixed, runs)
        _straighten(joined, fixed, list(runs))
        return spread(channels, _rows(ordered, segments, joined)), joined

    first: tuple[Straight, ...] = ()
    best, joined = attempt(first)
    tried: set[Straight] = set()
    vain = 0
    for _ in range(min(MOST_ATTEMPTS, SEGMENTS_TRIED // max(1, len(level)))):
        bent = [bundle for bundle in bent_bundles(joined, runs) if bundle not in tried]
        if not bent or not best.excess or vain == IN_VAIN:
            break
        tried.add(bent[0])
        other, levels = attempt((*first, bent[0]))
        vain += 1
        if other.cost <= best.cost - WORTH_MOVING:
            best, joined, first, vain = other, levels, (*first, bent[0]), 0
    return Placed(ordered, best.levels)


def _rows(
    ordered: Ordered, segments: Segments, level: Sequence[int]
) -> tuple[tuple[int, ...], ...]:
    """The level of every item, by that of its segment."""
    rows = []
    for layer, row in enumerate(ordered.rows):
        found = (segments.of[layer, item] for item in row)
        rows.append(tuple(level[number] + offset for number, offset in found))
    return tuple(rows)


def _shortest(level: list[int], fixed: Distances, runs: Mapping[Straight, int]) -> list[int]:
    """The levels at which the runs' heights add up to least, from some that keep distances."""
    # A point at the higher end of each run: both ends pull at it.
    points = [min(level[one], level[other] - rise) for one, other, rise in runs]
    wanted = _pulled(len(level), fixed, runs, [WEIGHT * lines for lines in runs.values()])
    return least_differences(wanted, [*level, *points])[: len(level)]


def _shortest_of_groups(
    levels: Levels, fixed: Distances, runs: Mapping[Straight, int]
) -> list[int]:
    """The same, with what is joined kept joined."""
    groups = sorted(set(levels.group))
    number = {group: k for k, group in enumerate(groups)}
    of = [number[group] for group in levels.group]
    base = [levels.level[group] for group in groups]
    inset = [levels.level[segment] - base[group] for segment, group in enumerate(of)]
    least: dict[tuple[int, int], int] = {}
    for upper, lower, distance in zip(*fixed, strict=True):
        pair = (of[upper], of[lower])
        if pair[0] != pair[1]:
            distance += inset[upper] - inset[lower]
            least[pair] = max(least.get(pair, distance), distance)
    between: Counter[Straight] = Counter()
    for (one, other, rise), lines in runs.items():
        if of[one] != of[other]:
            between[of[one], of[other], rise + inset[one] - inset[other]] += lines
    apart = [one for one, _ in least], [other for _, other in least], list(least.values())
    found = _shortest(base, apart, between)
    return [found[group] + inset[segment] for segment, group in enumerate(of)]


def _straighten(
    level: list[int],
    fixed: Distances,
    runs: Sequence[Straight],
) -> None:
    """Move every segment without a straight run, alone, to where it has one, if there is room.

    Each move makes one more segment straight and none less, so this ends.
    """
    above: list[list[tuple[int, int]]] = [[] for _ in level]
    below: list[list[tuple[int, int]]] = [[] for _ in level]
    for upper, lower, length in zip(*fixed, strict=True):
        above[lower].append((upper, length))
        below[upper].append((lower, length))
    ends: list[list[tuple[int, int]]] = [[] for _ in level]
    for one, other, rise in runs:
        ends[one].append((other, -rise))
        ends[other].append((one, rise))
    waiting = list(range(len(level)))
    while waiting:
        moved = []
        for segment in waiting:
            targets = [level[other] + rise for other, rise in ends[segment]]
            here = level[segment]
            if here in targets:
                continue
            low = max((level[other] + length for other, length in above[segment]), default=None)
            high = min((level[other] - length for other, length in below[segment]), default=None)
            free = [y for y in targets if (low is None or low <= y) and (high is None or y <= high)]
            if free:
                level[segment] = min(free, key=lambda y: (abs(y - here), y))
                moved.append(segment)
        waiting = list(range(len(level))) if moved else []


def _loose_runs(segments: Segments) -> Counter[Straight]:
    """How many runs join two segments: (one, other, rise), straight if other is rise below."""
    runs: Counter[Straight] = Counter()
    for run in segments.loose:
        one, from_one = segments.of[run.one]
        other, from_other = segments.of[run.other]
        runs[one, other, from_one + run.from_one - from_other - run.from_other] += 1
    return runs


def _pulled(
    count: int,
    fixed: Distances,
    runs: Iterable[Straight],
    weights: Sequence[int],
) -> Differences:
    """Distances to keep, and the pull of each run by way of a point of its own."""
    tails, heads, lengths = (list(part) for part in fixed)
    pulls = [0] * len(tails)
    for number, ((one, other, rise), weight) in enumerate(zip(runs, weights, strict=True), count):
        tails += [number, number]
        heads += [one, other]
        lengths += [0, rise]
        pulls += [weight, weight]
    return Differences(count + len(weights), tails, heads, lengths, pulls)


def _distances(ordered: Ordered, segments: Segments, settings: Settings) -> Distances:
    """Least distances of segments that are neighbours in a layer: (upper, lower, distance)."""
    shapes = Shapes(ordered, settings)
    least: dict[tuple[int, int], int] = {}
    for layer, row in enumerate(ordered.rows):
        for upper, lower in pairwise(row):
            one, from_one = segments.of[layer, upper]
            other, from_other = segments.of[layer, lower]
            distance = shapes.distance(upper, lower) + from_one - from_other
            pair = (one, other)
            least[pair] = max(least.get(pair, distance), distance)
    return [one for one, _ in least], [other for _, other in least], list(least.values())
