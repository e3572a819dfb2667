"""What stands on one sheet: full sheets, columns, and layouts that no name decides on."""

from __future__ import annotations

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
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set, station
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


def players():
    """More players at one desk than an A3 has room for in one column."""
    boxes = "".join(f"  P{n}: {{name: Player {n}, outputs: [O]}}\n" for n in range(PLAYERS))
    inputs = ", ".join(f"I{n}" for n in range(PLAYERS))
    points = "".join(f"      {n + 1}: {{top: P{n}.O, bottom: D.I{n}}}\n" for n in range(PLAYERS))
    return plant(
        f"equipment:\n{boxes}  D: {{name: Desk, inputs: [{inputs}]}}\n"
        f"bays:\n  PB:\n    name: Bay\n    positions: {PLAYERS}\n    points:\n{points}"
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
