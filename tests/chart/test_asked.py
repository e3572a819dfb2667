"""What a drawing was asked for with: how much two have in common, and what is read of it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.chart.asked import SAMPLE, Asked, Things, read_asked, things_of
from slinediag.chart.excerpt import Wanted, read_excerpt
from tests.chart.plants import station

THINGS = st.sets(st.integers(0, 400).map("PB{}".format), max_size=SAMPLE // 2)


@given(THINGS, THINGS)
@settings(max_examples=60)
def test_of_few_things_the_share_is_exact(one, other):
    larger = max(len(one), len(other))
    wanted = len(one & other) / larger if larger else 0.0
    assert Things.of(one).same(Things.of(other)) == pytest.approx(wanted)


@pytest.mark.parametrize("stays", [500, 2000, 3200, 3600, 4000])
def test_of_many_it_is_close(stays):
    """Sampling n of many errs by about √(J(1 − J)/n), J the share of the union (Broder 1997)."""
    before = [f"PB1.T{n}" for n in range(4000)]
    now = [f"PB1.T{n}" for n in range(stays)] + [f"PB2.T{n}" for n in range(4000 - stays)]
    assert Things.of(now).same(Things.of(before)) == pytest.approx(stays / 4000, abs=0.08)


def test_one_wire_moved_is_a_small_part_of_a_station():
    facility = station()
    bay = facility.bays["PB1"]
    points = dict(bay.points)
    one, other = points[1], points[4]
    points[1], points[4] = replace(one, bottom=other.bottom), replace(other, bottom=one.bottom)
    changed = replace(facility, bays={**facility.bays, "PB1": replace(bay, points=points)})
    same = things_of(changed, None).same(things_of(facility, None))
    assert 0.9 < same < 1


def test_of_a_part_only_what_is_in_it_counts():
    facility = station()
    part = read_excerpt(facility, Wanted(bays=("PB1",)))
    bay = facility.bays["PB2"]
    changed = replace(facility, bays={**facility.bays, "PB2": replace(bay, points={})})
    assert things_of(changed, part) == things_of(facility, part)
    assert things_of(changed, None) != things_of(facility, None)
    assert 0 < things_of(facility, part).count < things_of(facility, None).count


ASKED = Asked("Test", {"--sheet": "AUTO"}, "filed", Things.of(["A", "B"]))


def text(**changed: object) -> str:
    """What a drawing bears of it, with some of it changed."""
    (name, value), *_ = ASKED.bears
    return json.dumps({name: {**json.loads(value), **changed}})


def test_what_is_written_is_read():
    assert read_asked(text()) == ASKED


@pytest.mark.parametrize(
    "broken",
    [
        "",
        "[]",
        "{}",
        '{"asked":7}',
        '{"asked":' + "[" * 100_000,
        text(facility=None),
        text(choices=[]),
        text(choices={"--sheet": 4}),
        text(shows="all"),
        text(shows=[]),
        text(things=[2]),
        text(things=[2.5, ""]),
        text(things=[-1, ""]),
        text(things=[10**400, "abcdef"]),
        text(things=[2, "abc"]),
        text(things=[2, "zzzzzz"]),
        text(things=[2, "abcdef" * (SAMPLE + 1)]),
    ],
)
def test_what_is_broken_says_nothing(broken):
    assert read_asked(broken) is None
