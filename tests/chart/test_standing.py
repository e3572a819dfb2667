"""What stood on the last drawing stays on the next one; nothing comes to lie on anything else."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.chart.arrangement import arrange_after
from slinediag.chart.graph import chart_graph, settings_for
from slinediag.chart.planning import links, plan_chart
from slinediag.chart.standing import APART, Standing, Wanted, settle
from slinediag.file.read import load
from slinediag.geometry import Box, Point
from tests.builders import plant
from tests.chart.plants import STATION

LARKFEN = Path(__file__).resolve().parents[2] / "samples" / "larkfen.yaml"
SETTINGS = settings_for("quick")


def arranged(facility, before: Standing):
    plan = plan_chart(facility, None)
    graph = chart_graph(plan.boxes, plan.points, plan.nets)
    return arrange_after(before, graph, SETTINGS, links(plan))


def test_without_a_change_nothing_moves():
    facility = load(LARKFEN).facility
    there, standing = arranged(facility, Standing())
    again, still = arranged(facility, standing)
    assert again == there
    assert still == standing


def test_without_anything_before_it_is_empty_or_new():
    assert arranged(plant("bays: {}"), Standing())[0].nodes == {}


def test_what_is_unchanged_is_the_very_same_however_often_it_was_kept():
    """Also where keeping an order does not give it again: then it is arranged as the first time."""
    changed = plant(STATION.replace("[PB2.T10, PB2.B10, PB2.T11]", "[PB2.T10, PB2.B10]"))
    _, first = arranged(plant(STATION), Standing())
    there, standing = arranged(changed, first)
    for _ in range(3):
        again, standing_again = arranged(changed, standing)
        assert again == there
        assert standing_again == standing
    main = standing.islands[0]
    away = replace(main, layout=replace(main.layout, layers=main.layout.layers[::-1]))
    turned = replace(standing, islands=(away, *standing.islands[1:]))
    assert arranged(changed, turned)[0] == there


@pytest.mark.parametrize(
    ("old", "new", "touched"),
    [
        ("  - {from: PB2.T5, to: PB2.B6, kind: half}\n", "", {"PB2:5", "PB2:6"}),
        ("[PB2.T10, PB2.B10, PB2.T11]", "[PB2.T10, PB2.B10]", {"PB2:10", "PB2:11"}),
        ("name: On-air desk", "name: Large on-air desk with a long name", {"DESK"}),
        ("6: {bottom: MON.2}", "7: {bottom: MON.2}", {"MON", "PB2:6", "PB2:7"}),
    ],
)
def test_islands_keep_their_place_as_seen_from_each_other(old, new, touched):
    """What the change does not touch moves as one, if at all: by what has grown above it."""
    changed = STATION.replace(old, new)
    assert changed != STATION
    first, standing = arranged(plant(STATION), Standing())
    second, after = arranged(plant(changed), standing)
    stayed = [n for n in first.nodes if n in second.nodes and n not in touched]
    columns = [
        (a, b)
        for a, b in combinations(stayed, 2)
        if first.nodes[a].x == first.nodes[b].x and first.nodes[a].bottom < first.nodes[b].y
    ]
    assert columns
    assert [(a, b) for a, b in columns if second.nodes[a].y >= second.nodes[b].y] == []
    assert after.nodes == second.nodes


def test_an_island_that_falls_apart_keeps_its_place_once():
    whole = """
equipment:
  A: {name: Amplifier, inputs: [I], outputs: [O], paths: straight}
  B: {name: Equaliser, inputs: [I], outputs: [O], paths: straight}
bays:
  PB:
    name: Bay
    positions: 4
    normal: none
    points:
      1: {bottom: A.I}
      2: {top: A.O, bottom: B.I}
      3: {top: B.O}
"""
    first, standing = arranged(plant(whole), Standing())
    second, after = arranged(plant(whole.replace("top: A.O, ", "")), standing)
    assert len(standing.islands) == 1
    assert len(after.islands) == 2
    boxes = list(second.nodes.values())
    assert not any(a.meets(b) for a, b in combinations(boxes, 2))
    assert second.nodes["B"] == first.nodes["B"]


def test_what_is_kept_is_small():
    _, standing = arranged(load(LARKFEN).facility, Standing())
    for island in standing.islands:
        assert island.layout.layers
        assert not island.layout.nodes
        assert not island.layout.edges
        assert not island.layout.trunks


extents = st.tuples(
    st.integers(-50_000, 300_000),
    st.integers(-50_000, 300_000),
    st.integers(1, 120_000),
    st.integers(1, 90_000),
)


@given(st.lists(extents, max_size=10))
def test_islands_that_stay_keep_apart(rooms):
    wanted = [
        Wanted((Box(0, 0, width, height),), Box(0, 0, width, height), Point(x, y), y)
        for x, y, width, height in rooms
    ]
    found = [
        want.extent.moved(*corner) for want, corner in zip(wanted, settle(wanted), strict=True)
    ]
    for one, other in combinations(found, 2):
        assert not one.grown(APART - 1).meets(other)
    assert all(box.x >= 0 and box.y >= 0 for box in found)


@given(st.lists(st.integers(13_000, 60_000), min_size=2, max_size=8), st.integers(0, 30_000))
def test_what_grows_moves_only_what_is_below_it(heights, growth):
    """Two columns of islands: the first one of the left column grows."""
    wanted, top = [], 0
    for number, height in enumerate(heights):
        for x in (0, 100_000):
            more = growth if x == 0 and number == 0 else 0
            box = Box(0, 0, 80_000, height + more)
            wanted.append(Wanted((box,), box, Point(x, top), top))
        top += height + APART
    found = settle(wanted)
    assert [c for c in found if c.x] == [w.corner for w in wanted if w.corner.x]
    left = [c.y - w.corner.y for c, w in zip(found, wanted, strict=True) if not w.corner.x]
    assert left == [0] + [growth] * (len(heights) - 1)
