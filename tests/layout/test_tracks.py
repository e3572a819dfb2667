"""Tracks: as few as the density where no order is asked, and never a room overstepped."""

from __future__ import annotations

import random
from itertools import combinations

import networkx as nx
import numpy as np
import pytest

from slinediag.layout.channel import channel_of
from slinediag.layout.rooms import Column, Obstacle, rooms_between
from slinediag.layout.tracks import Task, pack
from slinediag.layout.wires import Wire


def task(chance: random.Random, count: int, ordered: float, room: int) -> Task:
    spans = [(low := chance.randrange(40), low + chance.randint(1, 15)) for _ in range(count)]
    before = np.zeros((count, count), bool)
    for one, other in combinations(range(count), 2):
        before[one, other] = chance.random() < ordered
    rooms = [(chance.randint(0, room), chance.randint(0, room)) for _ in spans]
    return Task(spans, range(count), before, rooms, 0)


@pytest.mark.parametrize("seed", range(20))
def test_without_order_the_density_is_reached(seed: int) -> None:
    """An interval graph is perfect: as many colours as its largest clique (Golumbic, "Algorithmic
    graph theory and perfect graphs", 1980)."""
    given = task(random.Random(seed), 15, 0.0, 0)
    meeting = nx.Graph()
    meeting.add_nodes_from(range(15))
    for one, other in combinations(range(15), 2):
        (a, b), (c, d) = given.spans[one], given.spans[other]
        if a < d and c < b:
            meeting.add_edge(one, other)
    clique = max(len(found) for found in nx.find_cliques(meeting))
    assert pack(given).width == clique


@pytest.mark.parametrize("seed", range(40))
def test_order_room_and_distance_are_kept(seed: int) -> None:
    given = task(random.Random(seed), 14, 0.1, 3)
    tracks = pack(given)
    for (left, right), track in zip(given.rooms, tracks.of, strict=True):
        assert -left <= track < tracks.width + right
    for one, other in combinations(range(14), 2):
        (a, b), (c, d) = given.spans[one], given.spans[other]
        if tracks.of[one] == tracks.of[other]:
            assert b <= c or d <= a
        if given.before[one, other]:
            assert tracks.of[one] < tracks.of[other]
    tight = pack(Task(given.spans, given.order, given.before, [(0, 0)] * 14, 0))
    assert tracks.width <= tight.width


def test_uprights_stand_beside_narrow_boxes() -> None:
    """Six nested turns left of a narrow box 30 high take no track of the channel where 20 is free."""
    narrow = Column(24, [Obstacle(0, 30, 20, 0)], 2)
    given = [Wire(k, (30 + k,), (k,)) for k in range(6)]
    assert channel_of(given, 0).tracks == 6
    channel = channel_of(given, 0, rooms_between(None, narrow))
    assert channel.tracks == 0
    assert sorted(runs[0].track for runs in channel.uprights.values()) == [0, 1, 2, 3, 4, 5]
    assert channel_of(given, 0, rooms_between(None, narrow), free=6).tracks == 6


def test_a_wide_box_leaves_no_room() -> None:
    column = Column(24, [Obstacle(0, 10, 0, 12), Obstacle(20, 30, 12, 12)], 2)
    rooms = rooms_between(column, column)
    assert rooms(2, 8) == (6, 0)
    assert rooms(10, 20) == (6, 6)
    assert rooms(12, 24) == (6, 6)
    assert rooms(-5, 40) == (6, 0)
