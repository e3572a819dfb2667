"""Shields: ground loops, whose they are, whether local, and what floats."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import slinediag
from slinediag.model.facility import Cord
from slinediag.tracing.shields.loops import shields_after, shields_at_rest, shields_with
from slinediag.tracing.shields.metal import Chassis
from slinediag.tracing.shields.words import way_round
from slinediag.tracing.values import Trial
from slinediag.tracing.words import sentences
from tests.builders import jack, plant
from tests.oracle import with_trial
from tests.strategies import BOOL, facilities, trials


def two_circuits(sleeves, earthed, practice, lifted=False):
    """X1 to Y1 on position 1, X2 to Y2 on position 2, normals between; all four earthed.

    ``lifted``: the sources' wires are joined at the bay only.
    """
    here = "{to: %s, shield: bay}" if lifted else "%s"
    return plant(
        f"""
        equipment:
          X1: {{name: Source 1, outputs: [O]}}
          X2: {{name: Source 2, outputs: [O]}}
          Y1: {{name: Destination 1, inputs: [I]}}
          Y2: {{name: Destination 2, inputs: [I]}}
        bays:
          PB:
            name: Bay
            positions: 2
            sleeves: {sleeves}
            earthed: {str(earthed).lower()}
            points:
              1: {{top: {here % "X1.O"}, bottom: Y1.I}}
              2: {{top: {here % "X2.O"}, bottom: Y2.I}}
        """,
        head=f"slinediag: 1\nfacility: {{name: Two circuits, shields: {practice}}}\n",
    )


CORD = (jack("PB.T1"), jack("PB.B2"))

# Sleeves, bonded to earth, practice, sources' wires lifted at equipment; loops before, loops with
# the cord A1-B2, the added one local to the bay (None where none is added).
# Source: derived from the wiring by hand; common practice. The contacts of switched sleeves open
# with either plug, so that the cord of the last rows opens both straps.
TWO_CIRCUITS = [
    ("single", False, "both", False, 0, 1, False),
    ("single", False, "both", True, 0, 0, None),
    ("single", False, "bay", False, 0, 0, None),
    ("all", True, "both", False, 4, 5, True),
    ("all", True, "both", True, 2, 3, True),
    ("all", True, "bay", False, 0, 1, True),
    ("all", True, "equipment", False, 0, 1, True),
    ("pairs", False, "both", False, 2, 3, False),
    ("pairs", False, "both", True, 0, 1, False),
    ("pairs", False, "bay", False, 0, 0, None),
    ("switched", False, "both", False, 2, 1, False),
    ("switched", False, "both", True, 0, 0, None),
]


@pytest.mark.parametrize(
    ("sleeves", "earthed", "practice", "lifted", "before", "after", "local"), TWO_CIRCUITS
)
def test_two_circuits_and_a_cord(sleeves, earthed, practice, lifted, before, after, local):
    facility = two_circuits(sleeves, earthed, practice, lifted)
    patched = shields_with(facility, [CORD])
    assert len(shields_with(facility).loops) == before
    assert len(patched.loops) == after
    assert [loop.local for loop in patched.loops if loop.cord] == ([] if local is None else [local])


@pytest.mark.parametrize(("sleeves", "floats"), [("single", True), ("pairs", True), ("all", False)])
def test_joined_at_the_bay_only_a_bay_bonded_to_nothing_floats(sleeves, floats):
    # The same table: "cord and shields float", "all float".
    patched = shields_with(two_circuits(sleeves, sleeves == "all", "bay"), [CORD])
    kinds = [join.kind for join in patched.floating_shields]
    assert kinds == (["wire"] * 4 + ["cord"] if floats else [])
    assert len(patched.floating_sleeves) == (4 if floats else 0)


def test_lifted_at_the_bay_sleeves_float_and_shields_do_not():
    shields = shields_with(two_circuits("single", False, "equipment"))
    assert shields.floating_shields == ()
    assert len(shields.floating_sleeves) == 4


def test_a_shield_joined_nowhere_floats():
    shields = shields_with(two_circuits("all", True, "none"))
    assert [join.kind for join in shields.floating_shields] == ["wire"] * 4
    assert shields.floating_sleeves == ()


def test_the_way_round_a_loop_in_words():
    facility = two_circuits("single", False, "both")
    (loop,) = shields_with(facility, [CORD]).loops
    assert way_round(facility, loop) == (
        "chassis X1 – protective earth – chassis Y2 – wire shield – "
        "sleeve PB B2 – cord – sleeve PB T1 – wire shield – chassis X1"
    )
    assert loop.chassis == ("X1", "Y2")
    assert {str(j) for j in loop.jacks} == {"PB.T1", "PB.B2"}
    assert loop.bay is None


def test_a_loop_within_a_bay_in_words():
    facility = two_circuits("all", True, "bay")
    (loop,) = shields_with(facility, [CORD]).loops
    assert way_round(facility, loop) == "sleeve bus PB – cord – sleeve bus PB"
    assert loop.bay == "PB"


def test_a_dummy_plug_opens_a_switched_strap():
    facility = two_circuits("switched", False, "both")
    assert len(shields_with(facility, plugs=[jack("PB.B1")]).loops) == 1


def test_wires_lines_and_ties_are_joined_as_the_format_says():
    # Direct lines: at the end where nothing is said; ties: at both ends; a wire's own word wins.
    facility = plant(
        """
        equipment:
          A: {name: Source, outputs: [O, P, Q]}
          B: {name: Destination, inputs: [I, J]}
          GONE: {name: Taken out, state: removed, outputs: [O]}
          HAND: {name: Double insulated, earthed: false, outputs: [O]}
        bays:
          P1: {name: One, positions: 3, points: {1: {top: {to: A.O, shield: equipment}}, 2: {top: GONE.O}, 3: {top: {to: HAND.O, shield: both}}}}
          P2: {name: Two, positions: 1}
        lines:
          D1: {from: A.P, to: B.I}
          D2: {from: A.Q, to: B.J, shield: both}
          T1: {from: P1.B1, to: P2.T1}
          T2: {from: P1.B2, to: P2.B1, shield: from}
        """
    )
    shields = shields_at_rest(facility)
    ends = {
        join.name or join.jacks: len(join.ends) for join in shields.joins if join.kind != "bond"
    }
    wired = (jack("P1.T1"),), (jack("P1.T3"),)
    assert ends == {wired[0]: 1, wired[1]: 2, "D1": 1, "D2": 2, "T1": 2, "T2": 1}
    (d1,) = (join for join in shields.joins if join.name == "D1")
    assert d1.ends == (Chassis("B"),)
    assert len(shields.loops) == 1
    assert not shields.earthed(Chassis("HAND"))


@st.composite
def shielded(draw):
    """A random facility with all there is of shields: practice, sleeves, bonds, exceptions."""
    facility = draw(facilities())
    words = st.sampled_from
    bays = {}
    for bay in facility.bays.values():
        points = {
            n: replace(
                point,
                top=point.top and replace(point.top, shield=draw(words(WIRE_SHIELDS))),
                bottom=point.bottom and replace(point.bottom, shield=draw(words(WIRE_SHIELDS))),
            )
            for n, point in bay.points.items()
        }
        sleeves = draw(words([None, "single", "rows", "all", "pairs", "switched"]))
        earthed = draw(words([None, True, False]))
        bays[bay.id] = replace(bay, points=points, sleeves=sleeves, earthed=earthed)
    lines = {
        line.id: replace(line, shield=draw(words([None, None, "both", "from", "to", "none"])))
        for line in facility.lines.values()
    }
    boxes = {
        box.id: replace(box, earthed=draw(words([None, True, False])))
        for box in facility.equipment.values()
    }
    practice = replace(
        facility.practice, shields=draw(words([None, "bay", "equipment", "both", "none"]))
    )
    return replace(facility, practice=practice, bays=bays, lines=lines, equipment=boxes)


WIRE_SHIELDS = [None, None, "both", "equipment", "bay", "none"]


def shield_graph(facility, cords, plugged):
    """The shields as a networkx multigraph, built from the model's fields alone."""
    graph = nx.MultiGraph()
    graph.add_node("earth")
    live = {b.id for b in facility.equipment.values() if b.state != "removed"}
    practice = facility.practice.shields or "bay"

    def metal(address):
        if len(address) == 3 and isinstance(address[2], int):
            kind = facility.bays[address[0]].sleeves
            return {"all": (address[0],), "rows": address[:2]}.get(kind, tuple(address))
        return "chassis", address[0]

    for box in facility.equipment.values():
        if box.id in live:
            graph.add_node(("chassis", box.id))
            if box.earthed in (None, True):
                graph.add_edge(("chassis", box.id), "earth")
    for bay in facility.bays.values():
        rows = "T" if bay.rows == 1 else "TB"
        jacks = [(bay.id, row, n) for row in rows for n in range(1, bay.width + 1)]
        nodes = {metal(j) for j in jacks}
        graph.add_nodes_from(nodes)
        bonded = bay.earthed if bay.earthed is not None else bay.sleeves in ("rows", "all")
        graph.add_edges_from((node, "earth") for node in nodes if bonded)
        if bay.sleeves in ("pairs", "switched") and rows == "TB":
            for n in range(1, bay.width + 1):
                pair = (bay.id, "T", n), (bay.id, "B", n)
                if bay.sleeves == "pairs" or not plugged & set(pair):
                    graph.add_edge(*pair)
        for n, point in bay.points.items():
            for row, wire in (("T", point.top), ("B", point.bottom)):
                if wire and wire.to[0] in live and (wire.shield or practice) == "both":
                    graph.add_edge(metal(tuple(wire.to)), metal((bay.id, row, n)))
    for line in facility.lines.values():
        one, other = tuple(line.source), tuple(line.target)
        tie = isinstance(one[2], int)
        unset = "both" if tie or practice == "both" else "to"
        if (line.shield or unset) == "both" and (tie or {one[0], other[0]} <= live):
            graph.add_edge(metal(one), metal(other))
    for mult in facility.mults.values():
        for j in mult.jacks[1:]:
            graph.add_edge(metal(tuple(mult.jacks[0])), metal(tuple(j)))
    for one, other in cords:
        graph.add_edge(metal(tuple(one)), metal(tuple(other)))
    return graph


def cycle_rank(graph):
    """Independent cycles: edges less vertices plus components."""
    return graph.number_of_edges() - graph.number_of_nodes() + nx.number_connected_components(graph)


@settings(max_examples=150, deadline=None)
@given(shielded(), BOOL)
def test_as_many_loops_as_networkx_counts(facility, pulled):
    cords = [] if pulled else [(c.source, c.target) for c in facility.cords]
    plugs = [] if pulled else [p.jack for p in facility.plugs]
    plugged = {tuple(j) for cord in cords for j in cord} | {tuple(j) for j in plugs}
    with_cords = shield_graph(facility, cords, plugged)
    without = shield_graph(facility, [], plugged)
    shields = shields_with(facility, cords, plugs)
    assert len(shields.loops) == cycle_rank(with_cords)
    closed_by_cords = [loop for loop in shields.loops if loop.cord]
    assert len(closed_by_cords) == cycle_rank(with_cords) - cycle_rank(without)
    reached = nx.node_connected_component(with_cords, "earth")
    on_earth = {n for n in reached if n != "earth"}
    floating = {tuple(j) for j in shields.floating_sleeves}
    for each in facility.jacks:
        bay = facility.bays[each.bay]
        node = {"all": (each.bay,), "rows": tuple(each)[:2]}.get(bay.sleeves, tuple(each))
        assert (node not in on_earth) == (tuple(each) in floating)


@settings(max_examples=100, deadline=None)
@given(shielded())
def test_every_loop_is_a_way_round(facility):
    for loop in shields_at_rest(facility).loops:
        assert len(loop.joins) == len(loop.metal) == len(set(loop.metal))
        assert len(set(map(id, loop.joins))) == len(loop.joins)
        for join, here, there in zip(
            loop.joins, loop.metal, (*loop.metal[1:], loop.metal[0]), strict=True
        ):
            assert sorted(map(repr, join.ends)) == sorted(map(repr, (here, there)))
        assert way_round(facility, loop).count(" – ") >= 2
        assert loop.local == (len({join.bay for join in loop.joins}) == 1 and loop.bay is not None)


@settings(max_examples=60, deadline=None)
@given(shielded())
def test_a_cord_put_in_adds_at_most_one_loop_and_pulled_restores(facility):
    if len(facility.jacks) < 2 or any(b.sleeves == "switched" for b in facility.bays.values()):
        return
    cord = facility.jacks[0], facility.jacks[-1]
    bare, patched = shields_with(facility), shields_with(facility, [cord])
    assert len(patched.loops) - len(bare.loops) in (0, 1)
    assert patched.loops[: len(bare.loops)] == bare.loops


def test_the_loops_of_a_trial():
    filed = replace(two_circuits("single", False, "both"), cords=(Cord(*CORD),))
    assert len(shields_at_rest(filed).loops) == 1
    pulled = Trial(pulled_cords=(CORD[::-1],))
    assert shields_after(filed, pulled).loops == ()
    moved = Trial(pulled_cords=(CORD,), cords=((jack("PB.T2"), jack("PB.B1")),))
    (loop,) = shields_after(filed, moved).loops
    assert loop.cord.name == "PB.T2=PB.B1"


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_after_a_trial_as_many_loops_as_networkx_counts(data):
    facility = data.draw(shielded())
    trial = data.draw(trials(facility))
    state = with_trial(facility, trial)
    plugged = {tuple(j) for j in state.plugged}
    graph = shield_graph(facility, state.cords, plugged)
    assert len(shields_after(facility, trial).loops) == cycle_rank(graph)


def test_earth_has_a_name_of_its_own():
    from slinediag.tracing.shields.metal import Earth
    from slinediag.tracing.shields.words import metal_name

    assert metal_name(plant("equipment: {}"), Earth()) == "earth"


# ---- what a trial's cords close

HEAD = "slinediag: 1\nfacility: {name: Two bays, shields: %s}\n"
TWO_BAYS = """
equipment:
  X: {name: X, outputs: {O: {balanced: %s}}}
  Y: {name: Y, inputs: [I]}
bays:
  A: {name: A, positions: 2, sleeves: all, place: %s, points: {1: {top: X.O}}}
  B: {name: B, positions: 2, sleeves: all, place: R1, points: {1: {bottom: Y.I}}}
"""


def trial_loops(shields, balanced, place, *cords):
    facility = plant(TWO_BAYS % (balanced, place), HEAD % shields)
    return slinediag.ask(facility, cords=cords)


@pytest.mark.parametrize(
    ("shields", "balanced", "place", "expected"),
    [
        ("bay", "true", "R1", [("note", None, "between chassis, as a rule not heard")]),
        ("bay", "true", "R2", [("warning", None, "WARNING: the cord A T1 to B B1")]),
        ("equipment", "true", "R1", [("note", None, "sleeve bus A")]),
    ],
)
def test_a_cord_between_bays_closes_a_loop_through_their_bonds(shields, balanced, place, expected):
    answer = trial_loops(shields, balanced, place, ("A.T1", "B.B1"))
    loops = answer.to_dict()["ground_loops"]
    assert [(loop["severity"], loop["bay"]) for loop in loops] == [e[:2] for e in expected]
    assert all(loop["cord"] == "A.T1=B.B1" for loop in loops)
    text = "\n".join(sentences(answer))
    assert all(words in text for *_, words in expected)
    assert ("Protective earth stays on every unit" in text) == ("WARNING" in text)


def test_an_unbalanced_port_in_a_loop_makes_it_a_warning_even_where_loops_are_expected():
    facility = plant(
        """
        equipment:
          X: {name: X, outputs: {O: {balanced: false}}}
          Y: {name: Y, inputs: [I]}
        bays:
          A: {name: A, positions: 2, points: {1: {top: X.O}, 2: {bottom: Y.I}}}
        """,
        HEAD % "both",
    )
    answer = slinediag.ask(facility, cords=[("A.T1", "A.B2")])
    (loop,) = answer.ground_loops
    assert (loop.severity, loop.bay) == ("warning", None)
    assert [str(port) for port in loop.unbalanced] == ["X.O:out"]
    assert "with X O in it, unbalanced: chassis X" in "\n".join(sentences(answer))


def test_a_loop_within_one_bay_and_one_that_a_standing_cord_closed_before():
    cords = "cords:\n  - {from: A.T2, to: B.B2, note: stands}\n"
    facility = plant(TWO_BAYS % ("true", "R1") + cords, HEAD % "bay")
    answer = slinediag.ask(facility, cords=[("A.T1", "A.B1")])
    assert [(loop.severity, loop.bay) for loop in answer.ground_loops] == [("note", "A")]
    assert "within bay A" in sentences(answer)[-1]
    pulled = slinediag.ask(facility, pulls=[("A.T2", "B.B2")])
    assert pulled.ground_loops == ()
    assert pulled.to_dict()["ground_loops"] == []


def test_no_loop_where_a_sleeve_is_on_nothing_else():
    facility = plant(TWO_BAYS.replace("sleeves: all, ", "") % ("true", "R1"), HEAD % "bay")
    assert slinediag.ask(facility, cords=[("A.T1", "B.B1")]).ground_loops == ()
