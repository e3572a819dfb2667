"""On the samples' charts lines cross as often as the order in their layers makes them.

That no order makes them cross less on a wall chart is shown in ``test_crossings``; here are quick
layouts and those of sheets, each that is made on the way to a set. On the finished sheets of a set
lines cross only where the order of ports as filed makes them, whatever stands where.
"""

from __future__ import annotations

import itertools
import math
import os
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import networkx as nx
import pytest

from slinediag.address import PortAddress
from slinediag.chart import recalling, standing
from slinediag.chart.graph import chart_graph, settings_for
from slinediag.chart.islands import split
from slinediag.chart.planning import plan_chart
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import Request, draw_set
from slinediag.drawing.marks import Drawing
from slinediag.file.read import load
from slinediag.layout.graph import Graph
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from slinediag.model.facility import Facility
from tests.chart import rules
from tests.layout.needed import crossings_needed, drawn_crossings, groups

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.parametrize("fold", [False, True])
@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_one_sheet(name: str, fold: bool) -> None:
    plan = plan_chart(load(SAMPLES / f"{name}.yaml").facility, None, fold=fold)
    settings = settings_for("quick")
    total = 0
    for part in split(chart_graph(plan.boxes, plan.points, plan.nets)):
        layout = arrange(part.graph, settings)
        assert drawn_crossings(layout) == crossings_needed(part.graph, layout)
        total += drawn_crossings(layout)
    assert total > 0


@pytest.mark.parametrize("fold", [False, True])
@pytest.mark.parametrize("name", ["larkfen"] + ["quillmoor"] * ("EXPLORE" in os.environ))
def test_set(name: str, fold: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[tuple[Graph, Layout]] = []

    def watched(graph: Graph, settings: object = None) -> Layout:
        made.append((graph, arrange(graph, settings)))
        return made[-1][1]

    for room in (recalling, standing):
        monkeypatch.setattr(room, "arrange", watched)
    facility = load(SAMPLES / f"{name}.yaml").facility
    plan = plan_chart(facility, None, fold=fold)
    draw_set(Request(facility, None, plan, sheet_named("A3"), "quick", Said(), Fraction(1)))
    assert sum(layout.crossings for _, layout in made) > 0
    for graph, layout in made:
        assert drawn_crossings(layout) == crossings_needed(graph, layout)


@pytest.mark.parametrize(
    ("name", "most"),
    # Each of four groups leads to a track and to the fourth after it, so any two of them cross.
    [("larkfen", math.comb(4, 2)), ("quillmoor", 0)],
)
def test_lines_on_finished_sheets_cross_only_where_ports_as_filed_make_them(
    name: str, most: int
) -> None:
    facility = load(SAMPLES / f"{name}.yaml").facility
    plan = plan_chart(facility, None)
    sheet = sheet_named("A3")
    request = Request(facility, None, plan, sheet, "thorough", Said(), Fraction(1))
    total = 0
    for drawing in draw_set(request):
        ways = ways_on(drawing, facility)
        for pair, drawn in crossing_pairs(drawing).items():
            one, other = (ways[net] for net in pair)
            assert drawn <= needed_by_ports(facility, one, other), (drawing.number, pair)
            total += drawn
    assert total == most


def ways_on(sheet: Drawing, facility: Facility) -> dict[str, list[PortAddress]]:
    """By net, the ports that its lines lead to on a sheet, and those that normals lead on to."""
    ends = nx.Graph()
    for line in rules.marked(sheet, "line"):
        data = rules.data_of(line)
        ends.add_edges_from((("net", data["net"]), data[end]) for end in ("from", "to"))
    joined = [(str(n.source), str(n.target)) for n in facility.normals]
    ends.add_edges_from(pair for pair in joined if set(pair) <= set(ends))
    filed = [facts.address for box in facility.equipment.values() for facts in box.facts.values()]
    ports = {facility.spelled(port): port for port in filed}
    found = {}
    for way in nx.connected_components(ends):
        nets = [name[1] for name in way if isinstance(name, tuple)]
        leads = [port for spelled, port in ports.items() if spelled in way]
        found.update(dict.fromkeys(nets, leads))
    return found


def crossing_pairs(sheet: Drawing) -> Counter[tuple[str, str]]:
    """How often the lines of two nets cross on a sheet, by their names."""
    pieces = [
        (rules.data_of(line)["net"], a, b)
        for line in rules.marked(sheet, "line")
        for a, b in rules.segments(line)
    ]
    return Counter(
        (min(net, other), max(net, other))
        for net, a, b in pieces
        for other, c, d in pieces
        if net != other
        and a.y == b.y
        and c.x == d.x
        and min(a.x, b.x) < c.x < max(a.x, b.x)
        and min(c.y, d.y) < a.y < max(c.y, d.y)
    )


def needed_by_ports(facility: Facility, *ways: Sequence[PortAddress]) -> int:
    """How often two ways cross at least between an output side and an input side that both lead to,
    each drawn in one piece with its ports as filed: outputs down the left, inputs up the right."""
    sides = [{(port.equipment, port.side) for port in way} for way in ways]
    both = sorted(sides[0] & sides[1])
    found = 0
    for left, right in itertools.product(both, repeat=2):
        if (left[1], right[1]) == ("out", "in"):
            source, target = facility.equipment[left[0]], facility.equipment[right[0]]
            around = [PortAddress(source.id, port.id, "out") for port in source.outputs]
            around += [PortAddress(target.id, port.id, "in") for port in reversed(target.inputs)]
            ends = [[n for n, port in enumerate(around) if port in way] for way in ways]
            found = max(found, len(groups(*ends)) - 1)
    return found
