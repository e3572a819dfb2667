"""The test plan: all states of all normals, expected readings by the contact rules, the walk."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest

import slinediag
from slinediag.commissioning.plan import plan_tests
from tests.builders import plant
from tests.oracle import LEGS, rear_joints, wired_normals

SAMPLES = Path(__file__).parent.parent.parent / "samples"
QUILLMOOR = slinediag.load(SAMPLES / "quillmoor.yaml")
LARKFEN = slinediag.load(SAMPLES / "larkfen.yaml")
STATES = {"N": "", "NA": "A", "NAB": "AB", "NB": "B"}

# The truth table of normals: whether source and destination are joined with no plug, a plug in A,
# in both, in B. Published for full, half, parallel and none (trade press on jackfield normals);
# reverse-half follows by exchanging A and B (common practice).
JOINED = {
    "full": (True, False, False, False),
    "half": (True, True, False, False),
    "reverse-half": (True, False, False, True),
    "parallel": (True, True, True, True),
    "none": (False, False, False, False),
}


def bay_of(kind, positions=48):
    return plant(f"bays: {{PB: {{name: Bay, positions: {positions}, normal: {kind}}}}}")


def test_48_positions_take_384_readings_of_normals():
    # 4 states x 2 legs x 48 positions (calculated).
    plan = plan_tests(bay_of("half"))
    assert sum(row.code.startswith("N") for row in plan.rows) == 384


@pytest.mark.parametrize("kind", JOINED)
def test_each_state_is_expected_as_the_truth_table_has_it(kind):
    rows = {row.code: row for row in plan_tests(bay_of(kind, 1)).rows}
    for leg in "TR":
        found = tuple(rows[f"{code}-{leg}"].joined for code in STATES)
        assert found == JOINED[kind]


def contacts(facility, plugs):
    """Single contacts as nodes: rear joints, normals, break contacts where no plug is in."""
    graph = nx.Graph()
    for bay in facility.bays.values():
        for n in range(1, bay.width + 1):
            for row in "T" if bay.rows == 1 else "TB":
                for spring, rest, _ in LEGS:
                    graph.add_node((bay.id, row, n, rest))
                    graph.add_node((bay.id, row, n, spring))
                    if (bay.id, row, n) not in plugs:
                        graph.add_edge((bay.id, row, n, spring), (bay.id, row, n, rest))
    for one, other, swapped in rear_joints(facility):
        for (spring, _, sign), far in zip(LEGS, LEGS[::-1] if swapped else LEGS, strict=True):
            ends = [
                (*end, leg[0] if isinstance(end[2], int) else leg[2])
                for end, leg in ((one, (spring, None, sign)), (other, far))
            ]
            graph.add_edge(*ends)
    for source, target, kind in wired_normals(facility):
        for spring, rest, _ in LEGS:
            graph.add_edge(
                (*source, rest if kind in ("full", "reverse-half") else spring),
                (*target, rest if kind in ("full", "half") else spring),
            )
    return graph


@pytest.mark.parametrize("facility", [QUILLMOOR, LARKFEN], ids=["quillmoor", "larkfen"])
def test_normals_are_expected_as_networkx_finds_the_contacts(facility):
    plan = plan_tests(facility)
    points = {point.name: point for point in plan.points}
    # Plugs of neighbours do not reach into a point, so one graph a state serves for all.
    for code, state in STATES.items():
        plugged = {
            tuple(jack)
            for point in plan.points
            if not point.across
            for jack, place in ((point.a, "A"), (point.b, "B"))
            if jack is not None and place in state
        }
        graph = contacts(facility, plugged)
        for row in plan.rows:
            point = points.get(row.point)
            if point is None or point.across or row.code.rpartition("-")[0] != code:
                continue
            if any(
                point.a in (c.source, c.target) or point.b in (c.source, c.target)
                for c in facility.cross_normals
            ):
                continue
            spring = LEGS["TR".index(row.code[-1])][0]
            reached = nx.has_path(graph, (*point.a, spring), (*point.b, spring))
            assert reached == row.joined, row


def test_the_walk_reads_every_state_with_its_plugs_in():
    plan = plan_tests(LARKFEN)
    read = set()
    for visit in plan.walk.visits:
        assert len(visit.plugs) <= 2
        for point, state in visit.reads:
            own = {"A": point.a, "B": point.b}
            assert [p for p in "AB" if own[p] in visit.plugs] == list(state)
            read.add((point.name, state))
    wanted = {
        (point.name, state)
        for point in plan.points
        for state in (STATES.values() if point.b else ("", "A"))
    }
    assert read == wanted


def moves_of(plan):
    """Plug moves counted from the visits alone, all plugs pulled at the end."""
    moves, before = 0, set()
    for visit in [*(set(v.plugs) for v in plan.walk.visits), set()]:
        moves += len(before ^ visit)
        before = visit
    return moves


def test_the_walk_takes_four_moves_a_position_where_row_order_takes_six():
    # Both plugs go in and come out of each position: no order needs fewer than four moves.
    # None, A, B, both: one, two, one and two moves (counted by hand).
    plan = plan_tests(bay_of("half"))
    assert (plan.walk.moves, plan.walk.row_moves) == (4 * 48, 6 * 48)
    assert moves_of(plan) == plan.walk.moves


def test_the_moves_told_are_those_of_the_walk():
    for facility in (QUILLMOOR, LARKFEN):
        plan = plan_tests(facility)
        assert moves_of(plan) == plan.walk.moves < plan.walk.row_moves


def test_five_points_in_a_chain_are_walked_as_one():
    # B1-T1-B2-T2-B3-T3: after the first plug every point takes one plug in and one out, twelve
    # moves for five points (counted by hand); one by one they would take twenty.
    text = "bays: {PB: {name: Bay, positions: 3}}\n"
    text += "normals: [{from: PB.T1, to: PB.B2}, {from: PB.T2, to: PB.B3}]"
    plan = plan_tests(plant(text))
    assert len(plan.points) == 5
    assert plan.walk.moves == moves_of(plan) == 12


def test_points_that_share_a_jack_share_its_plug():
    # One normal across from T1 to B2: jacks T1, B1, B2, T2; the points T1-B1, T2-B2, T1-B2.
    # Each alone would take four moves, twelve in all.
    facility = plant("bays: {PB: {name: Bay, positions: 2}}\nnormals: [{from: PB.T1, to: PB.B2}]")
    plan = plan_tests(facility)
    assert plan.walk.moves < 12
    assert moves_of(plan) == plan.walk.moves


def test_shields_are_expected_as_planned():
    facility = plant(
        """
        equipment: {S: {name: Source, outputs: [1, 2, 3, 4]}}
        bays:
          PB:
            name: Bay
            positions: 4
            rows: 1
            points:
              1-4:
                top: [{to: S.1, shield: both}, {to: S.2, shield: bay},
                      {to: S.3, shield: equipment}, {to: S.4, shield: none}]
        """
    )
    rows = {(row.point, row.code): row.joined for row in plan_tests(facility).rows}
    found = [(rows[f"PB.{n}", "SA-N"], rows[f"PB.{n}", "SA-F"]) for n in (1, 2, 3, 4)]
    assert found == [(True, True), (True, False), (False, True), (False, False)]


def test_a_wire_crossed_by_plan_is_to_be_read_crossed():
    facility = plant(
        """
        equipment: {S: {name: Source, outputs: [O]}}
        bays: {PB: {name: Bay, positions: 1, points: {1: {top: {to: S.O, swapped: true}}}}}
        """
    )
    rows = {row.code: row for row in plan_tests(facility).rows if row.unit == "ohm"}
    assert rows["LA-T"].other == "pole - of S O"
    assert rows["LA-T"].joined
    assert rows["PA"].joined is False


def test_levels_and_phantom_are_as_the_model_has_them():
    rows = plan_tests(QUILLMOOR).rows
    # 60 ohm into 20 k: 0.026 dB below +4 dBu (calculated from the loading rule).
    level = next(row for row in rows if row.code == "V" and row.point == "LIM.L:in")
    assert level.expected == "3.97 ± 0.5"
    # IEC 61938: 48 V within 4 V (second-hand).
    phantom = [row for row in rows if row.unit == "V"]
    assert {row.point for row in phantom} == {
        "PB1.B1",
        "PB1.B2",
        "PB1.B3",
        "PB1.B4",
        "PB4.B1",
        "PB4.B2",
    }
    assert {row.expected for row in phantom} == {"48.00 ± 4"}


def test_limits_are_those_of_the_file():
    facility = plant(
        "bays: {PB: {name: Bay, positions: 1}}",
        "slinediag: 1\nfacility: {name: Test plant, limits: {contact: 30, normal: 70}}\n",
    )
    rows = {row.code: row for row in plan_tests(facility).rows}
    assert (rows["LA-T"].expected, rows["N-T"].expected) == ("at most 0.03", "at most 0.07")


def test_a_cord_that_closes_a_loop_is_told_before_it_is_pulled():
    # Sleeves on one bus, cord within the bay: its shield closes a loop local to the bay. Sleeves
    # each on their own, shields joined nowhere: none (derived, common practice).
    bays = "bays: {{PB: {{name: Bay, positions: 2, sleeves: {}}}}}\ncords: [{{from: PB.T1, to: PB.B2}}]"
    for sleeves, joined in (("all", True), ("single", False)):
        rows = plan_tests(plant(bays.format(sleeves))).rows
        (row,) = (row for row in rows if row.code == "G")
        assert (row.point, row.joined) == ("PB.T1=PB.B2", joined)


def test_nothing_is_asked_of_ring_to_sleeve_at_an_unbalanced_port():
    facility = plant(
        """
        equipment: {S: {name: Source, outputs: {O: {balanced: false}}}}
        bays: {PB: {name: Bay, positions: 1, rows: 1, points: {1: {top: S.O}}}}
        """
    )
    codes = {row.code for row in plan_tests(facility).rows}
    assert "IA-TS" in codes
    assert "IA-RS" not in codes
