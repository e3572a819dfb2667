"""What the polishing reckons, against counting every pair of nets afresh."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from slinediag.layout.expand import Ordered, lane
from slinediag.layout.layers import layer
from slinediag.layout.nets import wire
from slinediag.layout.order import order
from slinediag.layout.polish_table import Table
from slinediag.layout.polish_ways import lead
from slinediag.layout.settings import Settings
from tests.layout.graphs import plant


def plainly(ordered: Ordered) -> int:
    """Crossings of an order: over all gaps and pairs of nets, how often their ends take turns."""
    layered = ordered.layered
    total = 0
    for gap in range(-1, layered.depth):
        circles = []
        for net, (first, last) in enumerate(layered.spans):
            if first <= gap <= last:
                lefts, rights = layered.ends_in_gap(net, gap)
                circle = []
                for side, ends, ys in ((0, lefts, ordered.outputs), (1, rights, ordered.inputs)):
                    for end in ends:
                        box, port = end or (lane(net), 0)
                        place = ordered.rows[gap + side].index(box)
                        y = ys[box][port] if end else 0
                        circle.append((side, (-1) ** side * place, (-1) ** side * y))
                circles.append(circle)
        for one, other in combinations(circles, 2):
            owners = [owner for _, owner in sorted([(e, 0) for e in one] + [(e, 1) for e in other])]
            turns = sum(a != b for a, b in pairwise([*owners, owners[0]]))
            total += max(0, turns // 2 - 1)
    return total


@pytest.fixture(scope="module", params=[1, 2, 3])
def ordered(request):
    """Rows out of order, with trees among the nets and nets that run back."""
    found = order(layer(wire(plant(16, request.param, shared=0.4))), Settings(effort="quick"))
    chance = random.Random(request.param)
    return replace(found, rows=tuple(tuple(chance.sample(row, len(row))) for row in found.rows))


def test_crossings_are_those_of_every_pair(ordered):
    assert Table(ordered).crossings() == plainly(ordered) > 0


def test_an_item_costs_what_moving_it_changes(ordered):
    table = Table(ordered)
    rows = list(table.rows)
    now = plainly(ordered)
    for number, row in enumerate(rows):
        for place, item in enumerate(row):
            left = table.end_costs(number - 1, 1, item)
            costs = left + table.end_costs(number, 0, item)
            for slot in range(len(row)):
                table.put([(number, item)], [slot])
                bound = slot + (slot > place)
                assert plainly(table.ordered()) - now == costs[bound] - costs[place]
                table.restore(rows)


def test_leading_a_file_saves_what_it_says(ordered):
    table = Table(ordered)
    crossings = plainly(ordered)
    saved = []
    for _ in range(2):
        for file in table.files():
            saved.append(lead(table, file))
            crossings -= saved[-1]
            assert plainly(table.ordered()) == crossings
    assert min(saved) >= 0
    assert any(saved)


def test_a_file_that_was_led_has_no_better_way(ordered):
    table = Table(ordered)
    for file in table.files():
        lead(table, file)
        rows = list(table.rows)
        now = table.crossings()
        for number, item in file:
            for slot in range(len(rows[number])):
                table.put([(number, item)], [slot])
                assert table.crossings() >= now
                table.restore(rows)
