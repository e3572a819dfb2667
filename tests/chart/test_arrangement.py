"""How a chart is arranged: straight where it can be, nothing on anything else, cords clear."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.address import Jack, PortAddress, natural
from slinediag.chart.arrangement import arrange_after
from slinediag.chart.chart import draw
from slinediag.chart.closeness import nearness
from slinediag.chart.cords import hang_cords
from slinediag.chart.graph import Placed, chart_graph, settings_for
from slinediag.chart.hanging import along
from slinediag.chart.islands import STRIP, Island
from slinediag.chart.packing import GAP, NEARLY, Packing, Stand, Wish, levelled
from slinediag.chart.planning import plan_chart
from slinediag.chart.plugs import HungCord
from slinediag.chart.standing import NOTHING, Arranged
from slinediag.geometry import Box, Point
from slinediag.layout.graph import Graph
from slinediag.layout.pipeline import arrange
from tests.builders import plant
from tests.chart.plants import station
from tests.chart.rules import data_of, equipment_boxes, groups, jack_places, marked


def test_lines_between_neighbours_run_straight():
    # The desk's inputs stand as far apart as the players above each other: no bend is left.
    lines = marked(draw(station())[0], "line")
    players = [line for line in lines if data_of(line)["from"].startswith(("PLY", "MIC"))]
    assert len(players) == 5
    assert all(len(run) == 2 for line in players for run in line.runs)


def arrows(drawing) -> int:
    """Lines that run from right to left; the legend's own arrow apart."""
    (chart,) = groups(drawing.marks, "chart")
    return sum(bool(mark.ref and "arrow" in mark.ref.classes) for mark in chart.marks)


RETURNS = """
equipment:
  DESK:
    name: Desk
    inputs: [M1, R1, R2, R3, R4]
    outputs: [S1, S2, S3, S4]
    paths: {S1: [M1], S2: [M1], S3: [M1], S4: [M1]}
  MIC: {name: Microphone, outputs: [O]}
  FX: {name: Effects, inputs: ["1", "2", "3", "4"], outputs: ["1", "2", "3", "4"], paths: straight}
bays:
  PB:
    name: Bay
    positions: 12
    points:
      1: {top: MIC.O, bottom: DESK.M1}
      2-5: {top: [DESK.S1, DESK.S2, DESK.S3, DESK.S4], bottom: ["FX.1", "FX.2", "FX.3", "FX.4"]}
      6-9: {top: ["FX.1", "FX.2", "FX.3", "FX.4"], bottom: [DESK.R1, DESK.R2, DESK.R3, DESK.R4]}
"""


def test_a_large_box_stands_in_two_parts_so_that_nothing_runs_back():
    plan = plan_chart(plant(RETURNS), None)
    desk = [box for box in plan.boxes if box.equipment.id == "DESK"]
    assert [(box.part, box.parts) for box in desk] == [(1, 2), (2, 2)]
    assert [slot.port.port for slot in desk[1].inputs] == ["R1", "R2", "R3", "R4"]
    assert arrows(draw(plant(RETURNS))[0]) == 0


def test_a_box_that_is_to_stay_whole_does_and_its_returns_carry_arrows():
    whole = plant(RETURNS.replace("name: Desk\n", "name: Desk\n    drawn: whole\n"))
    assert len([b for b in plan_chart(whole, None).boxes if b.equipment.id == "DESK"]) == 1
    assert arrows(draw(whole)[0]) == 4


def test_a_box_patched_by_both_jacks_of_a_position_stands_between_them():
    facility = plant(
        """
        equipment:
          EQ: {name: Equaliser, inputs: [I], outputs: [O], paths: straight}
        bays:
          PB: {name: Bay, positions: 2, normal: none, points: {1: {top: EQ.O, bottom: EQ.I}}}
        """
    )
    drawing = draw(facility)[0]
    assert arrows(drawing) == 0
    assert all(len(run) == 2 for line in marked(drawing, "line") for run in line.runs)


STRIPS = st.integers(1_000, 90_000).flatmap(
    lambda depth: st.tuples(st.one_of(st.none(), st.integers(0, depth - 1)), st.just(depth))
)
WISHES = st.builds(Wish, st.integers(0, 300_000), st.integers(-100_000, 400_000))


@given(
    st.lists(
        st.tuples(
            st.lists(STRIPS, min_size=1, max_size=12),
            st.one_of(st.none(), WISHES),
            st.booleans(),
        ),
        max_size=12,
    )
)
def test_packed_islands_keep_apart(islands):
    packing = Packing(250_000)
    taken: list[Box] = []
    for strips, wish, over in islands:
        # Where an island begins nowhere it reaches nowhere either.
        outline = tuple(0 if begins is None else depth for begins, depth in strips)
        skyline = tuple(begins for begins, _ in strips)
        corner = packing.place(outline, wish, skyline if over else None)
        assert corner.y >= -packing.rise
        boxes = [
            Box(corner.x + n * STRIP, corner.y + begins, STRIP, depth - begins)
            for n, (begins, depth) in enumerate(strips)
            if begins is not None
        ]
        near = [box.grown(GAP - 10) for box in boxes]
        assert not any(a.meets(b) for a in near for b in taken)
        taken += boxes


CORDED = """
equipment:
  DESK:
    name: Desk
    drawn: whole
    outputs: [S1, S2, S3, S4, S5, S6, S7, S8, S9, S10]
  REC: {{name: Recorder, inputs: ["1", "2", "3", "4", "5", "6", "7", "8", "9", "10"]}}
  COMP: {{name: Compressor, inputs: [I], outputs: [O], paths: straight}}
bays:
  PB:
    name: Bay
    positions: 24
    points:
      1-10:
        top: [DESK.S1, DESK.S2, DESK.S3, DESK.S4, DESK.S5,
              DESK.S6, DESK.S7, DESK.S8, DESK.S9, DESK.S10]
        bottom: [REC.1, REC.2, REC.3, REC.4, REC.5, REC.6, REC.7, REC.8, REC.9, REC.10]
      24: {{top: COMP.O, bottom: COMP.I, normal: none}}
cords:
  - {{from: PB.T{row}, to: PB.B24, note: left in}}
  - {{from: PB.T24, to: PB.B{row}, note: left in}}
"""


@pytest.mark.parametrize(("row", "above"), [(1, True), (2, True), (9, False), (10, False)])
def test_a_box_on_cords_stands_above_all_where_it_is_much_nearer_there(row, above):
    boxes = dict(equipment_boxes(draw(plant(CORDED.format(row=row)))[0]))
    assert (boxes["COMP"].bottom < boxes["DESK"].y) == above
    assert (boxes["COMP"].y > boxes["DESK"].bottom) != above


def test_tie_lines_stand_in_columns():
    """Source jack, line and destination jack, however long the names of ties and bays are."""
    filed = plant(
        """
        bays:
          B1: {name: A bay, label: B1, positions: 4}
          B2: {name: A bay, label: B2, positions: 4}
          B3: {name: A bay, label: FAR BAY 103, positions: 4}
        lines:
          T1: {from: B1.B1, to: B2.T1}
          A_TIE_LINE_WITH_A_LONG_NAME: {from: B1.B2, to: B2.T2}
          T3: {from: B3.B3, to: B1.T3}
          T4: {from: B2.B4, to: B3.T4}
        """
    )
    places = jack_places(draw(filed, sheet="one")[0])
    ties = [("B1", 1, "B2"), ("B1", 2, "B2"), ("B3", 3, "B1"), ("B2", 4, "B3")]
    rows = [
        (f"{one}.T{n}", f"{one}.B{n}", f"{other}.T{n}", f"{other}.B{n}") for one, n, other in ties
    ]
    for column in zip(*rows, strict=True):
        assert len({places[jack][0].x for jack in column}) == 1
    assert len({places[jack][0].y for jack in map(min, rows)}) == len(rows)


def test_rows_that_begin_at_one_edge_have_their_positions_under_each_other():
    """Boxes that differ in width by less than a position is wide."""
    names = ["A", "A MIDDLING NAME", "A LONGER NAME YET"]
    boxes = "".join(
        f"  S{n}: {{name: {name}, outputs: [OUT]}}\n  R{n}: {{name: To {n}, inputs: [IN]}}\n"
        for n, name in enumerate(names, 1)
    )
    points = "".join(f"      {n}: {{top: S{n}.OUT, bottom: R{n}.IN}}\n" for n in (1, 2, 3))
    bay = f"bays:\n  PA:\n    name: Bay\n    positions: 3\n    points:\n{points}"
    drawing = draw(plant("equipment:\n" + boxes + bay), sheet="one")[0]
    wide = {box.width for name, box in equipment_boxes(drawing) if name.startswith("S")}
    assert len(wide) > 1
    places = jack_places(drawing)
    assert len({places[f"PA.T{n}"][0].x for n in (1, 2, 3)}) == 1


EMPTY = arrange(Graph((), ()))
ROW_BOXES = st.builds(
    lambda x, y, width, height: Box(4_000 * x, 20_000 * y, width, height),
    st.integers(0, 20),
    st.integers(0, 8),
    st.integers(20_000, 150_000),
    st.integers(5_000, 40_000),
)


@given(st.lists(st.tuples(ROW_BOXES, st.integers(0, 40_000)), max_size=10))
def test_rows_are_aligned_only_where_there_is_room(rows):
    before = []
    for number, (box, bearing) in enumerate(rows):
        extent = Box(0, 0, box.width, box.height)
        nodes = {f"PB:{number}": Box(min(bearing, box.width - 1000), 0, 1000, 5000)}
        arranged = Arranged(EMPTY, EMPTY, "", None)
        placed = Placed(nodes, ())
        island = Island(str(number), placed, (extent,), extent, arranged, frozenset(nodes))
        before.append(Stand(island, Point(box.x, box.y)))
    after = levelled(before)
    right = max((each.box.right for each in before), default=0)
    for old, new in zip(before, after, strict=True):
        assert new.corner.y == old.corner.y
        assert 0 <= new.corner.x - old.corner.x <= NEARLY
        assert new.box.right <= right
    for number, new in enumerate(after):
        moved = new.corner != before[number].corner
        for other in after[:number]:
            if moved or other.corner != before[after.index(other)].corner:
                assert not new.box.meets(other.box)


def test_an_island_is_read_by_its_patch_points_and_not_by_a_part_of_equipment_named_like_one():
    nodes = {"AMP:2": Box(0, 0, 40_000, 30_000), "PB:9": Box(60_000, 0, 30_000, 5_000)}
    extent = Box(0, 0, 90_000, 30_000)
    arranged = Arranged(EMPTY, EMPTY, "", None)
    island = Island("AMP:2", Placed(nodes, ()), (extent,), extent, arranged, frozenset({"PB:9"}))
    assert island.reads == natural("PB:9")
    assert island.bearing == 60_000


def test_a_cord_goes_round_what_it_must_not_cover():
    jacks = {Jack("A", "T", 1): Point(50_000, 20_000), Jack("A", "T", 2): Point(150_000, 20_000)}
    label = Box(60_000, 26_000, 80_000, 30_000)
    cord = HungCord((Jack("A", "T", 1), Jack("A", "T", 2)), "trial", "cord 1")
    area = Box(0, 0, 220_000, 160_000)
    (hung,) = hang_cords([cord], jacks, [label], [], [], area)
    way = [Point(int(x), int(y)) for x, y in along(hung.way)]
    assert way[0] == jacks[Jack("A", "T", 1)]
    assert way[-1] == jacks[Jack("A", "T", 2)]
    assert not any(label.holds(point) for point in way)
    assert not hung.tag.meets(label)
    assert max(point.y for point in way) > 20_000, "a cord hangs"


@pytest.mark.parametrize("near", [None, "B"])
def test_what_a_part_is_drawn_around_stands_before_what_is_read_first(near):
    """Two ways that share nothing, one below the other."""
    facility = plant(
        "equipment:\n"
        + "".join(
            f"  {n}1: {{name: Source {n}, outputs: [O]}}\n  {n}2: {{name: End {n}, inputs: [I]}}\n"
            for n in "AB"
        )
        + "bays:\n  PB: {name: Bay, positions: 2, points: {"
        "1: {top: A1.O, bottom: A2.I}, 2: {top: B1.O, bottom: B2.I}}}\n"
    )
    plan = plan_chart(facility, None)
    chart = chart_graph(plan.boxes, plan.points, plan.nets)
    far = nearness({PortAddress("B2", "I", "in"): 0, PortAddress("A2", "I", "in"): 1}, {})
    there, _ = arrange_after(
        NOTHING, chart, settings_for("quick"), across=250_000, near=far if near else None
    )
    first, second = ("B2", "A2") if near else ("A2", "B2")
    assert there.nodes[first].y < there.nodes[second].y
