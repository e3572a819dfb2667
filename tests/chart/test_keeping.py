"""One sheet drawn again leaves what it shows where the earlier drawing has it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.chart.chart import draw
from slinediag.chart.earlier import Earlier, Sheetful
from slinediag.chart.excerpt import Wanted, read_excerpt
from slinediag.chart.standing import Standing, Stood
from slinediag.file.read import load
from slinediag.geometry import Box, Point
from slinediag.layout.layout import Standing as Ranks
from slinediag.paint.svg import paint
from slinediag.problems import RequestError
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart import rules
from tests.chart.plants import STATION, sample, sample_sheet, station, stood
from tests.strategies import facilities

SAMPLES = Path(__file__).parents[2] / "samples"
CORD = Trial(cords=((jack("PB1.T3"), jack("PB2.B3")),))


def exchanged(facility, bay_id, one, other):
    """The facility with what is wired to the bottoms of two positions exchanged."""
    bay = facility.bays[bay_id]
    points, wires = dict(bay.points), dict(facility.wires)
    a, b = points[one], points[other]
    points[one], points[other] = replace(a, bottom=b.bottom), replace(b, bottom=a.bottom)
    assert points != bay.points
    changed = replace(facility, bays={**facility.bays, bay_id: replace(bay, points=points)})
    assert changed.wires != wires
    return changed


def places(drawing) -> dict[str, Point]:
    """Where the jacks lie on the sheet."""
    return {name: centre for name, (centre, _) in rules.jack_places(drawing).items()}


def neighbours(drawing) -> set[tuple[str, str]]:
    """Pairs of jacks that follow each other from the top in a column."""
    columns: dict[int, list[tuple[int, str]]] = {}
    for name, at in places(drawing).items():
        columns.setdefault(at.x // 10_000, []).append((at.y, name))
    return {
        (one, other)
        for column in columns.values()
        for (_, one), (_, other) in pairwise(sorted(column))
    }


@pytest.mark.parametrize(
    ("name", "fold"), [("larkfen", False), ("larkfen", True), ("quillmoor", False)]
)
def test_drawn_again_unchanged_it_is_the_same(name, fold):
    first = sample_sheet(name, fold=fold)
    (again,) = draw(sample(name), sheet="one", fold=fold, keep=stood((first,)))
    assert paint(again) == paint(first)


def test_drawn_again_unchanged_it_has_the_same_size_and_scale():
    facility = load(SAMPLES / "larkfen.yaml").facility
    first = draw(facility, read_at=None)
    assert draw(facility, read_at=None, keep=stood(first)) == first


def test_after_an_exchange_all_else_keeps_its_neighbours():
    facility = load(SAMPLES / "larkfen.yaml").facility
    first = draw(facility)
    changed = exchanged(facility, "LA", 5, 10)
    kept = draw(changed, keep=stood(first))
    rules.check_all(changed, kept[0])
    before = neighbours(first[0])
    share = len(before & neighbours(kept[0])) / len(before)
    assert share >= 0.9
    assert share >= len(before & neighbours(draw(changed)[0])) / len(before)
    # What is not joined to the change stays where it was as seen from what is not, either.
    far = [name for name in places(first[0]) if name.startswith(("LA.T19", "LA.T20", "LA.B23"))]
    moved = {
        (b.x - a.x, b.y - a.y)
        for name in far
        for a, b in [(places(first[0])[name], places(kept[0])[name])]
    }
    assert len(far) > 1
    assert len(moved) == 1


def test_what_is_removed_moves_nothing():
    """The chart becomes smaller, yet is neither centred afresh nor put on a smaller sheet."""
    facility = station()
    first = draw(facility, sheet="A2")
    bay = facility.bays["PB1"]
    points = {n: p for n, p in bay.points.items() if n != 8}
    lines = {name: line for name, line in facility.lines.items() if name != "TL1"}
    changed = replace(
        facility, lines=lines, bays={**facility.bays, "PB1": replace(bay, points=points)}
    )
    kept = draw(changed, keep=stood(first))
    before, now = places(first[0]), places(kept[0])
    assert (kept[0].width, kept[0].height) == (594_000, 420_000)  # A2, ISO 216
    assert now.keys() < before.keys()
    assert all(now[name] == before[name] for name in now)


def test_a_trial_is_drawn_where_the_chart_as_filed_has_things():
    facility = station()
    filed = draw(facility, sheet="A2")
    tried = draw(facility, ask(facility, CORD), sheet="A2", keep=stood(filed))
    before, now = places(filed[0]), places(tried[0])
    assert before.keys() <= now.keys()
    assert all(now[name] == before[name] for name in before)
    assert draw(facility, ask(facility, CORD), sheet="A2", keep=stood(tried)) == tried


def test_before_and_after_can_be_kept():
    facility, answer = station(), ask(station(), CORD)
    first = draw(facility, answer, before=True)
    assert draw(facility, answer, before=True, keep=stood(first)) == first


def test_a_part_keeps_the_order_of_a_part():
    facility = station()
    excerpt = read_excerpt(facility, Wanted(bays=("PB1",)))
    first = draw(facility, excerpt=excerpt)
    assert draw(facility, excerpt=excerpt, keep=stood(first)) == first
    changed = exchanged(facility, "PB1", 1, 3)
    kept = draw(changed, excerpt=read_excerpt(changed, Wanted(bays=("PB1",))), keep=stood(first))
    rules.check_lettering(kept[0])
    assert neighbours(kept[0]) & neighbours(first[0])


def test_a_part_is_not_kept_as_the_whole_nor_the_other_way_round():
    facility = station()
    excerpt = read_excerpt(facility, Wanted(bays=("PB1",)))
    for one, other in ((None, excerpt), (excerpt, None)):
        with pytest.raises(RequestError, match="Keep a drawing of the same part"):
            draw(facility, excerpt=one, keep=stood(draw(facility, excerpt=other)))


def test_what_shows_nothing_of_it_is_said():
    said: list[str] = []
    facility, other = station(), load(SAMPLES / "larkfen.yaml").facility
    assert draw(facility, keep=stood(draw(other)), say=said.append) == draw(facility)
    assert said == [
        "Nothing was kept: the earlier drawing shows hardly anything of what is drawn now"
    ]


def test_where_the_order_takes_too_much_room_it_is_given_up_and_said():
    facility = station()
    first = draw(facility, sheet="A3")
    far = spread_out(stood(first), 900_000)
    said: list[str] = []
    kept = draw(facility, sheet="A3", keep=far, say=said.append)
    assert said == ["Nothing was kept: as things stood they have no room on this sheet"]
    rules.check_all(facility, kept[0])


def spread_out(earlier: Earlier, down: int) -> Earlier:
    """The earlier drawing with its last island this much further down."""
    standing = earlier.standing(1)
    *_, last = standing.islands
    own = {name for row in last.layout.layers for name in row}
    nodes = {name: box.moved(0, down if name in own else 0) for name, box in standing.nodes.items()}
    sheet = replace(earlier.sheets[1], standing=replace(standing, nodes=nodes))
    return replace(earlier, sheets={1: sheet})


@given(st.data())
@settings(max_examples=15)
def test_whatever_is_said_to_have_stood_the_chart_is_sound(data):
    """Ids of the chart in any layers, order and places, among them ids that it has not."""
    facility = plant(STATION)
    first = stood(draw(facility, sheet="one"))
    names = data.draw(st.permutations(sorted(first.standing(1).nodes)))
    names = [*names[: data.draw(st.integers(2, len(names)))], "GONE", "PB9:1"]
    cuts = sorted(data.draw(st.sets(st.integers(1, len(names) - 1), max_size=8)) | {len(names)})
    layers, start = [], 0
    for cut in cuts:
        layers.append(tuple(names[start:cut]))
        start = cut
    ranks = data.draw(st.lists(st.integers(0, 9), min_size=len(names), max_size=len(names)))
    spots = st.integers(0, 400_000)
    nodes = {name: Box(data.draw(spots), data.draw(spots), 0, 0) for name in names}
    island = first.standing(1).islands[0]
    ordered = Ranks(dict(zip(names, ranks, strict=True)), island.layout.standing.lines)
    layout = replace(island.layout, layers=tuple(layers), standing=ordered)
    standing = Standing((Stood(layout, data.draw(spots)),), nodes, data.draw(spots))
    keep = replace(first, sheets={1: Sheetful(standing, Point(data.draw(spots), 0))})
    rules.check_all(facility, draw(facility, sheet="one", keep=keep)[0])


@given(facilities(), facilities())
@settings(max_examples=8)
def test_any_facility_can_follow_any_other(one, other):
    first = draw(one, sheet="one")
    (drawing,) = draw(other, sheet="one", keep=stood(first))
    rules.check_lettering(drawing)
    rules.check_lines_clear(drawing)
    rules.check_nets_apart(drawing)
    rules.check_straight_normals(drawing)
    rules.check_complete(other, drawing)
    rules.check_wiring(other, drawing)
    rules.check_no_loose_ends(drawing)
