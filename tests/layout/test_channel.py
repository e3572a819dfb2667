"""Channels: uprights on tracks, against their density and a count of what meets."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import pytest

from slinediag.layout.channel import Channel, Wire, channel_of


def wires(*levels: tuple[list[int], list[int]]) -> list[Wire]:
    return [
        Wire(net, tuple(8000 * y for y in left), tuple(8000 * y for y in right))
        for net, (left, right) in enumerate(levels)
    ]


def density(given: list[Wire]) -> int:
    """The most uprights that any level between rows passes: no fewer tracks can do."""
    bent = [wire for wire in given if wire.low < wire.high]
    return max((sum(w.low <= y.low < w.high for w in bent) for y in bent), default=0)


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
    stretches = []
    for wire in given:
        uprights = channel.uprights.get(wire.net, ())
        if not uprights:
            stretches.append((wire.low, -1, 10**6, wire.net))
            continue
        stretches += [(y, -1, uprights[0].track, wire.net) for y in wire.lefts]
        stretches += [(y, uprights[-1].track, 10**6, wire.net) for y in wire.rights]
        for one, other in pairwise(uprights):
            assert one.wire.rights == other.wire.lefts
            stretches.append((one.wire.rights[0], one.track, other.track, wire.net))
    for (y, a, b, net), (level, c, d, other) in combinations(stretches, 2):
        if net != other and y == level and max(a, c) <= min(b, d):
            found.append(f"{net} and {other} lie on level {y}")
    return found


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
