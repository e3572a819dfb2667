"""Channels: uprights on tracks, against their density and a count of what meets."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from slinediag.layout.channel import Channel, channel_of
from slinediag.layout.wires import Wire


def wires(*levels: tuple[list[int], list[int]]) -> list[Wire]:
    return [
        Wire(net, tuple(8000 * y for y in left), tuple(8000 * y for y in right))
        for net, (left, right) in enumerate(levels)
    ]


def density(given: list[Wire]) -> int:
    """The most uprights that any level between rows passes: no fewer tracks can do."""
    bent = [wire for wire in given if wire.low < wire.high]
    return max((sum(w.low <= y.low < w.high for w in bent) for y in bent), default=0)


def level_runs(wire: Wire, channel: Channel) -> list[tuple[int, int, int]]:
    """Level runs of a net as (level, from track, to track); -1 and 10**6 are beyond the channel.

    Two uprights have a bus, the level on the right of the first and on the left of the other.
    """
    uprights = channel.uprights.get(wire.net, ())
    if not uprights:
        return [(wire.low, -1, 10**6)]
    first, last = uprights[0].track, uprights[-1].track
    bus = None
    if len(uprights) == 2:
        (bus,) = {uprights[0].wire.rights[0]} & {uprights[1].wire.lefts[0]}

    def track(y: int, right: bool) -> int:
        (found,) = (
            upright.track
            for upright in uprights
            if y in (upright.wire.rights if right else upright.wire.lefts)
        )
        return found

    runs = [] if bus is None else [(bus, first, last)]
    runs += [(y, -1, first if y == bus else track(y, right=False)) for y in wire.lefts]
    runs += [(y, last if y == bus else track(y, right=True), 10**6) for y in wire.rights]
    assert all(
        u.wire.low <= y <= u.wire.high for y, a, b in runs for u in uprights if u.track in (a, b)
    )
    return runs


def faults(given: list[Wire], channel: Channel) -> list[str]:
    """Uprights that share a track and meet, level runs that lie on each other."""
    found = []
    runs = []
    for wire in given:
        uprights = channel.uprights.get(wire.net, ())
        for upright in uprights:
            runs.append((wire.net, upright.track, upright.wire.low, upright.wire.high))
    for (net, track, low, high), (other, at, top, foot) in combinations(runs, 2):
        if net != other and track == at and low <= foot and top <= high:
            found.append(f"{net} and {other} meet on track {track}")
    stretches = [(y, a, b, wire.net) for wire in given for y, a, b in level_runs(wire, channel)]
    for (y, a, b, net), (level, c, d, other) in combinations(stretches, 2):
        if net != other and y == level and max(a, c) <= min(b, d):
            found.append(f"{net} and {other} lie on level {y}")
    return found


def crossings(given: list[Wire], channel: Channel) -> int:
    """How often a level run of one net crosses an upright of another."""
    uprights = [
        (net, run.track, run.wire.low, run.wire.high)
        for net, runs in channel.uprights.items()
        for run in runs
    ]
    points = {
        (wire.net, net, y, track)
        for wire in given
        for y, a, b in level_runs(wire, channel)
        for net, track, low, high in uprights
        if net != wire.net and low < y < high and a < track < b
    }
    return len(points)


def test_straight_lines_need_no_track() -> None:
    assert channel_of(wires(([1], [1]), ([2], [2])), 2000).tracks == 0


def test_one_below_the_other_share_a_track() -> None:
    given = wires(([0], [1]), ([3], [4]))
    channel = channel_of(given, 2000)
    assert channel.tracks == 1
    assert faults(given, channel) == []


def test_a_swap_takes_a_dogleg() -> None:
    given = wires(([0], [1]), ([1], [0]))
    channel = channel_of(given, 2000)
    assert faults(given, channel) == []
    assert sorted(len(runs) for runs in channel.uprights.values()) == [1, 2]


def test_a_ring_of_five_takes_one_dogleg() -> None:
    given = wires(*(([k], [(k + 1) % 5]) for k in range(5)))
    channel = channel_of(given, 2000)
    assert faults(given, channel) == []
    assert sum(len(runs) for runs in channel.uprights.values()) == 6


def test_nested_turns_reach_density_and_do_not_cross() -> None:
    given = wires(([0, 7], []), ([1, 6], []), ([2, 5], []))
    channel = channel_of(given, 2000)
    assert channel.tracks == density(given) == 3
    assert [channel.uprights[net][0].track for net in range(3)] == [2, 1, 0]


def test_two_nets_that_fan_out_cross_once() -> None:
    """Their ends take turns on the right; one upright for each would cross twice."""
    given = wires(([7], [1, 9]), ([8], [2, 12]))
    channel = channel_of(given, 2000)
    assert faults(given, channel) == []
    assert crossings(given, channel) == 1


def test_three_nets_that_fan_out_cross_once_each() -> None:
    given = wires(([6], [1, 8]), ([7], [2, 11]), ([8], [3, 14]))
    for mirrored in (False, True):
        if mirrored:
            given = [Wire(wire.net, wire.rights, wire.lefts) for wire in given]
        channel = channel_of(given, 2000)
        assert faults(given, channel) == []
        assert crossings(given, channel) == 3


def test_a_line_between_two_others_takes_a_dogleg_rather_than_make_them_cross() -> None:
    """The last stands right of the one on whose level it comes and left of the other, which
    would be the wrong way round for these two."""
    given = wires(([4], [1]), ([5], [2]), ([1], [5]))
    channel = channel_of(given, 2000)
    assert faults(given, channel) == []
    assert crossings(given, channel) == 2


@pytest.mark.parametrize("seed", range(40))
def test_any_channel(seed: int) -> None:
    chance = random.Random(seed)
    rows = list(range(chance.randint(2, 14)))
    left, right = rows[:], rows[:]
    chance.shuffle(left)
    chance.shuffle(right)
    levels: list[tuple[list[int], list[int]]] = []
    while left or right:
        ins = [left.pop() for _ in range(min(len(left), chance.choice((0, 1, 1, 1, 2))))]
        outs = [right.pop() for _ in range(min(len(right), chance.choice((0, 1, 1, 1, 3))))]
        if len(ins) + len(outs) > 1:
            levels.append((ins, outs))
    given = wires(*levels)
    channel = channel_of(given, 2000)
    assert faults(given, channel) == []
    assert channel.tracks >= density(given)


def test_random_nets_stay_near_density() -> None:
    """Two-ended nets whose ends share no row: no order is forced, only crossings count."""
    chance = random.Random(5)
    tracks = bound = 0
    for _ in range(30):
        rows = list(range(40))
        chance.shuffle(rows)
        given = wires(*(([rows[2 * k]], [rows[2 * k + 1]]) for k in range(20)))
        tracks += channel_of(given, 2000).tracks
        bound += density(given)
    assert tracks <= 1.5 * bound
