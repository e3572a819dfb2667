"""The way of one thing at rest: what is known at a jack, where it comes from, where it goes."""

from __future__ import annotations

from pathlib import Path

import pytest

import slinediag
from slinediag.model.find import find_thing
from slinediag.tracing.way import inputs_beyond, way_of
from slinediag.tracing.way_words import way_lines
from tests.builders import jack, output, plant

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def small_plant():
    return slinediag.load(HERE / "small_plant.yaml")


def hops(way_part):
    return [(h["from"], h["via"], h["to"]) for h in way_part]


def test_a_source_jack_from_origin_to_ends(small_plant):
    way = way_of(small_plant, jack("PB1.T1")).to_dict()
    assert way["thing"] == "PB1.T1"
    assert way["kind"] == "jack"
    assert way["hears"] == ["PLY1.L"]
    assert hops(way["upstream"]) == [("PLY1.L", ["PB1.T1", "PB1.B1"], "DESK.1")]
    assert hops(way["downstream"]) == [
        ("DESK.PL", ["PB2.T1", "PB2.B1"], "LIM.L:in"),
        ("DESK.CUE", ["PB2.T5", "PB2.B5"], "MON.1"),
        ("DESK.CUE", ["PB2.T5", "PB2.B6"], "MON.2"),
        ("LIM.L:out", ["PB2.T3", "PB2.B3"], "XMIT.L"),
    ]
    assert way["ends"] == ["MON.1", "MON.2", "XMIT.L"]
    (facts,) = way["jacks"]
    assert facts["label"] == "DISC 1 L"
    assert facts["wire"] == {"to": "PLY1.L", "cable": None, "shield": None, "swapped": False}
    assert facts["normals"] == [{"normal": "PB1.T1=PB1.B1", "kind": "half", "closed": True}]


def test_an_input_from_its_origins(small_plant):
    way = way_of(small_plant, find_thing(small_plant, "LINK L")).to_dict()
    assert way["kind"] == "port"
    assert way["hears"] == ["MIC.O", "PLY1.L", "PLY2.L"]
    assert hops(way["upstream"]) == [
        ("MIC.O", ["PB1.T5", "PB1.B5"], "DESK.M1"),
        ("PLY1.L", ["PB1.T1", "PB1.B1"], "DESK.1"),
        ("PLY2.L", ["PB1.T3", "PB1.B3"], "DESK.3"),
        ("DESK.PL", ["PB2.T1", "PB2.B1"], "LIM.L:in"),
        ("LIM.L:out", ["PB2.T3", "PB2.B3"], "XMIT.L"),
    ]
    assert way["downstream"] == []


def test_another_branch_of_a_mult_is_not_upstream():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          A: {name: One, inputs: [I]}
          B: {name: Two, inputs: [I]}
        bays:
          PB:
            name: Bay
            positions: 4
            normal: none
            points: {1: {top: S.O}, 2: {bottom: A.I}, 3: {bottom: B.I}}
        mults: {M: [PB.T1, PB.B2, PB.B3, PB.T4]}
        """
    )
    way = way_of(facility, jack("PB.B2")).to_dict()
    assert hops(way["upstream"]) == [("S.O", ["PB.T1", "PB.B2"], "A.I")]
    dead_end = way_of(facility, jack("PB.T4")).to_dict()
    assert {hop["to"] for hop in dead_end["upstream"]} == {"A.I", "B.I"}


def test_an_output_and_a_box(small_plant):
    way = way_of(small_plant, output("LIM.L"))
    assert [str(hop.target) for hop in way.downstream] == ["XMIT.L:in"]
    assert [small_plant.spelled(o) for o in way.origins] == ["MIC.O", "PLY1.L", "PLY2.L"]
    box = way_of(small_plant, small_plant.equipment["LIM"]).to_dict()
    assert box["thing"] == "LIM"
    assert box["kind"] == "equipment"
    assert [f["jack"] for f in box["jacks"]] == ["PB2.T3", "PB2.T4", "PB2.B1", "PB2.B2"]
    assert {h["to"] for h in box["downstream"]} == {"XMIT.L", "XMIT.R"}


def test_cord_mult_and_tie_are_told(small_plant):
    corded = way_of(small_plant, jack("PB2.T10")).to_dict()["jacks"][0]
    assert corded["cord"] == "PB1.T4=PB2.T10"
    assert corded["mult"] == {"id": "M1", "jacks": ["PB2.T10", "PB2.B10", "PB2.T11"]}
    tied = way_of(small_plant, jack("PB1.B8")).to_dict()["jacks"][0]
    assert tied["line"] == {"id": "TL1", "from": "PB1.B8", "to": "PB2.T8", "cable": None}
    assert way_of(small_plant, jack("PB1.B8")).to_dict()["hears"] == []


def test_a_loop_ends():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          A: {name: One, inputs: [I, J], outputs: [O], paths: all}
          B: {name: Two, inputs: [I], outputs: [O], paths: straight}
        lines:
          L1: {from: S.O, to: A.I}
          L2: {from: A.O, to: B.I}
          L3: {from: B.O, to: A.J}
        """
    )
    way = way_of(facility, output("B.O"))
    assert [str(o) for o in way.origins] == ["S.O:out"]
    assert way.ends == ()
    assert "  B O out → A J (direct)" in way_lines(way) or "  B O → A J (direct)" in way_lines(way)


def test_the_way_in_lines(small_plant):
    lines = way_lines(way_of(small_plant, jack("PB2.T10")))
    assert lines[0] == "Jack PB2 T10 (PB2.T10)"
    assert "    mult M1 with PB2 B10 and PB2 T11" in lines
    assert "    standing cord to PB1 T4: disc 2 right to the mult" in lines
    assert lines[-2] == "Origins: DISC 2 R"
    assert "  DISC 2 R → PB1 T4 – PB1 B4 → DESK 4" in lines
    tie = way_lines(way_of(small_plant, jack("PB2.T8")))
    assert "    tie line TL1 to PB1 B8" in tie
    assert tie[-1] == "Origins: none; nothing is heard here"
    noted = way_lines(way_of(small_plant, jack("PB1.B8")))
    assert "    note: tie to the programme bay" in noted
    swapped = way_lines(way_of(small_plant, jack("PB2.B4")))
    assert "    wired to LINK R, + and - swapped" in swapped
    box = way_lines(way_of(small_plant, small_plant.equipment["XMIT"]))
    assert box[0] == "LINK: Transmitter link (XMIT)"
    port = way_lines(way_of(small_plant, find_thing(small_plant, "XMIT.L")))
    assert port[0] == "Input LINK L (XMIT.L)"
    assert way_lines(way_of(small_plant, output("LIM.L")))[0] == "Output LIM L (LIM.L:out)"


def test_plugs_places_states_and_cables_in_lines():
    facility = plant(
        """
        equipment:
          S: {name: Source, place: "Rack 1, U2", state: spare, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        bays:
          PB:
            name: Bay
            positions: 2
            points:
              1: {top: {to: S.O, cable: C1/2}, bottom: D.I, state: reserved}
              2: {state: spare}
        cords: [{from: PB.T2, to: PB.B2}]
        plugs: [PB.B1]
        """
    )
    lines = way_lines(way_of(facility, jack("PB.T1")))
    assert "  PB T1: S O, reserved" in lines
    assert "    wired to S O, cable C1/2" in lines
    assert "    half-normal of PB 1 to D I, open: a plug breaks it" in lines
    assert "    dummy plug" in way_lines(way_of(facility, jack("PB.B1")))
    far = way_lines(way_of(facility, jack("PB.B2")))
    assert "  PB B2: no label, spare" in far
    assert "    standing cord to PB T2" in far
    box = way_lines(way_of(facility, facility.equipment["S"]))
    assert box[0] == "S: Source, Rack 1, U2 [spare] (S)"
    noted = plant(
        """
        bays: {PB: {name: Bay, positions: 1}}
        plugs: [{jack: PB.T1, note: keeps it quiet}]
        """
    )
    assert "    dummy plug: keeps it quiet" in way_lines(way_of(noted, jack("PB.T1")))


def test_removed_equipment_is_no_origin():
    facility = plant(
        """
        equipment:
          OLD: {name: Tape machine, state: removed, outputs: [L, R]}
          NEW: {name: Player, outputs: [L]}
        bays: {PB: {name: Bay, positions: 2, points: {1: {top: OLD.L}, 2: {top: NEW.L}}}}
        """
    )
    for thing in (facility.equipment["OLD"], output("OLD.L")):
        way = way_of(facility, thing)
        assert way.origins == ()
        last = (
            "Removed and kept for the record: it sends and hears nothing, its wires are still filed"
        )
        assert way_lines(way)[-1] == last
    assert way_of(facility, output("NEW.L")).origins == (output("NEW.L"),)


def test_removed_equipment_without_wires_says_no_more_than_that_it_is_silent():
    facility = plant(
        """
        equipment:
          OLD: {name: Tape machine, state: removed, inputs: [I], outputs: [L, R]}
          GONE: {name: Cartridge player, state: removed, outputs: [O]}
          NEW: {name: Player, inputs: [I], outputs: [O]}
        bays: {PB: {name: Bay, positions: 1, points: {1: {top: OLD.L}}}}
        lines: {L1: {from: NEW.O, to: OLD.I}}
        """
    )
    silent = "Removed and kept for the record: it sends and hears nothing"
    filed = f"{silent}, its wires are still filed"
    for thing, said in (
        (facility.equipment["OLD"], filed),
        (output("OLD.L"), filed),
        (find_thing(facility, "OLD.I"), filed),
        (output("OLD.R"), silent),
        (facility.equipment["GONE"], silent),
    ):
        assert way_lines(way_of(facility, thing))[-1] == said


@pytest.mark.parametrize("sample", ["quillmoor", "larkfen"])
def test_the_inputs_beyond_an_output_are_those_of_its_way(sample):
    facility = slinediag.load(HERE.parents[1] / "samples" / f"{sample}.yaml")
    for source in facility.outputs():
        way = way_of(facility, source)
        assert inputs_beyond(facility, source) == {hop.target for hop in way.downstream}
