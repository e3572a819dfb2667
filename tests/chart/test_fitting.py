"""What stands on one sheet: full sheets, columns, and layouts that no name decides on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from statistics import median

import pytest

from slinediag.address import Side
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier, Sheetful
from slinediag.chart.fitting import Fitting
from slinediag.chart.graph import chart_graph, settings_for
from slinediag.chart.islands import split
from slinediag.chart.laying import Laid
from slinediag.chart.page import drawing_room, legend_band
from slinediag.chart.planning import plan_chart
from slinediag.chart.recalling import Known
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.shares import namer, shares
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.chart.standing import NOTHING
from slinediag.chart.ways import ways
from slinediag.drawing.query import ink_box
from slinediag.file.read import load
from slinediag.layout.graph import Edge, Graph, Port
from slinediag.layout.pipeline import arrange
from slinediag.paint.svg import paint
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set, station, stood
from tests.chart.set_rules import check_set, crossings

SAMPLES = Path(__file__).parents[2] / "samples"
A3 = sheet_named("A3")


def request_for(facility) -> Request:
    plan = plan_chart(facility, None)
    return Request(facility, None, plan, A3, "quick", Said(), Fraction(1))


def test_the_sample_fills_its_sheets(quillmoor_set):
    facility, drawings = quillmoor_set
    room = drawing_room(A3, legend_band(A3, request_for(facility).legend))
    charts = [ink_box(g) for drawing in drawings for g in rules.groups(drawing.marks, "chart")]
    # How much of the drawing room the box round the chart takes, by sheet.
    filled = [box.width * box.height / (room.width * room.height) for box in charts]
    assert len(filled) <= 12
    assert median(filled) >= 0.6


PLAYERS = 10


def players(count: int = PLAYERS):
    """More players at one desk than an A3 has room for in one column."""
    boxes = "".join(f"  P{n}: {{name: Player {n}, outputs: [O]}}\n" for n in range(count))
    inputs = ", ".join(f"I{n}" for n in range(count))
    points = "".join(f"      {n + 1}: {{top: P{n}.O, bottom: D.I{n}}}\n" for n in range(count))
    return plant(
        f"equipment:\n{boxes}  D: {{name: Desk, inputs: [{inputs}]}}\n"
        f"bays:\n  PB:\n    name: Bay\n    positions: {count}\n    points:\n{points}"
    )


def test_what_is_too_high_for_a_sheet_stands_in_columns_with_a_part_of_the_desk_each():
    facility = players()
    drawings = draw_set(request_for(facility))
    check_set(facility, drawings)
    (sheet,) = [d for d in drawings if list(rules.groups(d.marks, "chart"))]
    desks = [g for g in rules.groups(sheet.marks, "equipment") if rules.data_of(g)["id"] == "D"]
    assert len(desks) == 2
    # Side by side, not one below the other: A3 has no room for ten players and their labels.
    one, other = sorted(map(ink_box, desks), key=lambda box: box.x)
    assert one.right < other.x


def test_what_is_too_high_as_one_is_tried_side_by_side_all_the_same():
    """Asked of as one group first, sixteen do not fit; two columns of eight do."""
    drawings = draw_set(request_for(players(16)))
    assert len([d for d in drawings if list(rules.groups(d.marks, "chart"))]) == 1


def test_a_way_that_has_room_when_it_is_set_narrowly_is_not_cut():
    """Roomily it takes 404 mm, narrowly 356, of 376."""
    boxes = "".join(
        f"  B{n}: {{name: Main programme delay unit {n}, inputs: [I], outputs: [O]}}\n"
        for n in (1, 2, 3)
    )
    facility = plant(
        f"equipment:\n  S: {{name: Source, outputs: [O]}}\n  E: {{name: End, inputs: [I]}}\n{boxes}"
        "bays:\n  PB:\n    name: Bay\n    positions: 4\n    points:\n"
        "      1: {top: S.O, bottom: B1.I}\n      2: {top: B1.O, bottom: B2.I}\n"
        "      3: {top: B2.O, bottom: B3.I}\n      4: {top: B3.O, bottom: E.I}\n"
    )
    drawings = draw_set(request_for(facility))
    assert len([d for d in drawings if list(rules.groups(d.marks, "chart"))]) == 1
    assert not [g for d in drawings for g in rules.groups(d.marks, "reference")]


def test_the_way_to_the_transmitter_is_found_from_the_desk_on():
    bench = Bench(plan_chart(load(SAMPLES / "quillmoor.yaml").facility, None))
    (way,) = ways(bench)
    order = [unit for unit in way if unit in ("DESK", "DLY", "LIM", "XMIT")]
    # The desk has more inputs than what it feeds: the way begins behind it.
    assert order == ["DLY", "LIM", "XMIT"]


def renamed(graph: Graph) -> Graph:
    """The graph with other names, which sort the other way round."""

    def name(node: str) -> str:
        return f"z{len(graph.nodes) - graph.index[node]:05}"

    def ports(given: tuple[Port, ...]) -> tuple[Port, ...]:
        return tuple(replace(port, id=port.id[::-1] + "?") for port in given)

    nodes = tuple(
        replace(n, id=name(n.id), inputs=ports(n.inputs), outputs=ports(n.outputs))
        for n in graph.nodes
    )
    edges = tuple(
        Edge(
            (name(edge.source[0]), edge.source[1][::-1] + "?"),
            (name(edge.target[0]), edge.target[1][::-1] + "?"),
        )
        for edge in graph.edges
    )
    return Graph(nodes, edges)


@pytest.mark.parametrize("facility", [station(), load(SAMPLES / "larkfen.yaml").facility])
def test_a_layout_is_the_same_when_it_is_recalled_under_other_names(facility):
    plan = plan_chart(facility, None)
    settings, known = settings_for("quick"), Known()
    for part in split(chart_graph(plan.boxes, plan.points, plan.nets)):
        assert known.arranged(part.graph, settings) == arrange(part.graph, settings)
        other = renamed(part.graph)
        assert known.arranged(other, settings) == arrange(other, settings)


def test_what_is_arranged_thoroughly_takes_no_more_sheets():
    facility = load(SAMPLES / "larkfen.yaml").facility
    request = request_for(facility)
    # Arranged thoroughly, two of its sheets have no room for what they were measured to hold.
    counts = [
        sum(1 for d in draw_set(one) if list(rules.groups(d.marks, "chart")))
        for one in (request, replace(request, effort="thorough"))
    ]
    assert counts[1] <= counts[0]


def returned(returns):
    """Four units between the sends of a desk and its returns, in another order than the sends."""
    ports = range(8)
    outputs, inputs = (", ".join(f"{side}{n}" for n in ports) for side in "SR")
    units = "".join(
        f"  E{n}: {{name: Unit {n}, inputs: [I, J], outputs: [O, P], paths: straight}}\n"
        for n in range(4)
    )
    points = "".join(
        f"      {n + 1}: {{top: DESK.S{n}, bottom: E{n // 2}.{'IJ'[n % 2]}}}\n"
        f"      {n + 9}: {{top: E{n // 2}.{'OP'[n % 2]}, bottom: DESK.R{returns[n]}}}\n"
        for n in ports
    )
    return plant(
        f"equipment:\n  DESK: {{name: Desk, outputs: [{outputs}], inputs: [{inputs}]}}\n{units}"
        f"bays:\n  PA:\n    name: Bay\n    positions: 24\n    points:\n{points}"
    )


@pytest.mark.parametrize("returns", [(2, 3, 0, 1, 6, 7, 4, 5), (0, 4, 1, 5, 2, 6, 3, 7)])
def test_a_desk_has_more_parts_where_its_lines_would_cross_in_one(returns):
    facility = returned(returns)
    drawings = drawn_set(facility, "A3")
    check_set(facility, drawings)
    assert not sum(crossings(drawing) for drawing in drawings[1:])


@pytest.mark.parametrize("whole", ["in", "out"])
def test_one_side_of_a_desk_stays_in_one_part_where_more_of_the_other_will_do(whole):
    """On a sheet that has no room for two parts of the desk with ports of one side; and on one drawn
    after it they are as they were."""
    bench = Bench(plan_chart(returned((2, 3, 0, 1, 6, 7, 4, 5)), None), 9)
    units = tuple(unit.id for unit in bench.units)

    def parts(laid: Laid, side: Side) -> int:
        desks = [box for box in laid.boxes if box.equipment.id == "DESK"]
        return sum(bool(box.inputs if side == "in" else box.outputs) for box in desks)

    def holds(laid: Laid, _: bool) -> bool:
        return parts(laid, whole) == 1

    def drawn(keep: Earlier | None) -> Laid:
        fitting = Fitting(bench, (400_000, 400_000), holds, lambda *_: (), keep)
        groups = fitting.groups({1: units})
        (share,) = shares(bench, {1: units}, namer(bench), groups=groups)
        return fitting.lay_out(share, "quick", {}, keep.standing(1) if keep else NOTHING)

    first = drawn(None)
    assert holds(first, True)
    assert parts(first, "out" if whole == "in" else "in") > 1
    assert [island.layout.crossings for island in first.standing.islands] == [0]
    size = (420_000, 297_000)
    earlier = Earlier(False, False, size, Fraction(1), {1: Sheetful(first.standing)}, 1, {1: units})
    assert drawn(earlier) == first


def two_players(*, one_desk: bool):
    """Two players with a position each before inputs of one desk, or loudspeakers of their own."""
    if one_desk:
        inputs = ", ".join(f"I{n}" for n in range(9))
        boxes = f"  D: {{name: Desk, inputs: [{inputs}]}}\n"
        rest = "".join(f"      {n + 1}: {{bottom: D.I{n}}}\n" for n in range(2, 9))
    else:
        boxes = "".join(f"  S{n}: {{name: Loudspeaker, inputs: [I]}}\n" for n in range(2))
        rest = ""
    ends = [f"D.I{n}" if one_desk else f"S{n}.I" for n in range(2)]
    points = "".join(f"      {n + 1}: {{top: P{n}.O, bottom: {ends[n]}}}\n" for n in range(2))
    return plant(
        f"equipment:\n{boxes}  P0: {{name: Player, outputs: [O]}}\n"
        "  P1: {name: Player, outputs: [O]}\n"
        f"bays:\n  PB:\n    name: Bay\n    positions: 9\n    points:\n{points}{rest}"
    )


@pytest.mark.parametrize("one_desk", [True, False])
def test_what_is_at_one_desk_stands_narrower_where_two_columns_miss_a_sheet_by_little(one_desk):
    bench = Bench(plan_chart(two_players(one_desk=one_desk), None), 9)
    parts = [
        tuple(u.id for u in bench.units if u.id in (f"P{n}", f"S{n}", f"PB:{n + 1}"))
        for n in range(2)
    ]
    both = tuple(unit.id for unit in bench.units if any(unit.id in part for part in parts))

    def fitting(across: int, down: int) -> Fitting:
        def holds(laid: Laid, _: bool) -> bool:
            return laid.extent.width <= across and laid.extent.height <= down

        return Fitting(bench, (across, down), holds, lambda *_: ())

    def manner(across: int, down: int) -> str | None:
        """How the two are set on a sheet of this room; None where they do not fit it together."""
        there = fitting(across, down)
        return there.groups({1: both})[1].manner if there.joins(*parts) else None

    down = 32_000  # One of them takes 21 mm, one under the other they take 51.
    wide = next(w for w in range(100_000, 600_000, 1_000) if manner(w, down) == "roomy")
    assert manner(wide - 5_000, down) == ("narrow" if one_desk else None)
    assert manner(wide - 40_000, down) is None


def test_ports_stand_close_where_what_lines_hold_together_has_no_room_else():
    bench = Bench(plan_chart(players(), None), 9)
    units = tuple(unit.id for unit in bench.units)

    def laid_out(holds: Callable[[Laid, bool], bool], down: int) -> Laid:
        fitting = Fitting(bench, (400_000, down), holds, lambda *_: ())
        groups = fitting.groups({1: units})
        (share,) = shares(bench, {1: units}, namer(bench), groups=groups)
        return fitting.lay_out(share, "quick", {})

    roomy = laid_out(lambda *_: True, 400_000)
    assert roomy.spread > 0
    close = laid_out(lambda laid, _: not laid.spread, roomy.extent.height)
    assert close.spread == 0
    assert (
        sum(box.height for box in close.boxes) == sum(b.height for b in roomy.boxes) - roomy.spread
    )


def test_a_set_that_is_set_narrowly_is_drawn_again_as_it_was():
    """Eight microphones at a desk, in two columns that a sheet has no room for else."""
    ports = [f"LINE-CHANNEL-AB-{n}" for n in range(8)]
    boxes = "".join(
        f"  M{n}: {{name: Music microphone {n}, place: Music floor, outputs: [O]}}\n"
        for n in range(8)
    )
    points = "".join(f"      {n + 1}: {{top: M{n}.O, bottom: D.{ports[n]}}}\n" for n in range(8))
    facility = plant(
        f"equipment:\n{boxes}  D: {{name: Desk, label: MUSIC DESK, place: Music control, inputs: [{', '.join(ports)}]}}\n"
        f"bays:\n  PB:\n    name: Bay\n    positions: 8\n    points:\n{points}"
    )
    before = drawn_set(facility, "A3")
    check_set(facility, before)
    assert sum(bool(list(rules.groups(d.marks, "chart"))) for d in before) == 1
    again = drawn_set(facility, "A3", keep=stood(before))
    assert [paint(drawing) for drawing in again] == [paint(drawing) for drawing in before]
