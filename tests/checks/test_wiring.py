"""What is fed by nothing or by two, wired nowhere or twice, in the wrong row."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slinediag.checks import check
from slinediag.model.bay import BayPoint, Wire
from tests.builders import output, plant
from tests.checks.checking import fires, found, quiet


def one(points="", more="", priority=""):
    """A source and a destination, and what the points of a bay make of them."""
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          X: {{name: Other source, outputs: [O]}}
          D: {{name: Destination{priority}, inputs: [I]}}
        bays:
          PB:
            name: Bay
            positions: 4
            points: {{{points}}}
        {more}
        """
    )


FED = "1: {top: S.O, bottom: D.I}, 2: {top: X.O}"


def test_an_input_under_an_empty_jack_is_fed_by_nothing():
    fires("nothing-feeds", one("1: {bottom: D.I}"), "warning", "D.I", "PB.B1")
    quiet("nothing-feeds", one(FED))


def test_a_priority_input_fed_by_nothing_is_an_error():
    facility = one("1: {bottom: D.I}", priority=", priority: 1")
    fires("nothing-feeds", facility, "error", "D.I", "PB.B1")


def test_a_non_normaled_input_waits_for_its_cord():
    quiet("nothing-feeds", one("1: {bottom: D.I, normal: none}"))
    waiting = one("1: {bottom: D.I, normal: none}", priority=", priority: 2")
    fires("nothing-feeds", waiting, "error", "D.I", "PB.B1")


@pytest.mark.parametrize("state", ["spare", "reserved"])
def test_positions_set_aside_are_left_alone(state):
    quiet("nothing-feeds", one(f"1: {{bottom: D.I, state: {state}}}"))


@pytest.mark.parametrize("state", ["spare", "removed"])
def test_equipment_not_in_use_is_left_alone(state):
    facility = plant(
        f"""
        equipment:
          D: {{name: Destination, state: {state}, inputs: [I]}}
        bays:
          PB: {{name: Bay, positions: 1, points: {{1: {{bottom: D.I}}}}}}
        """
    )
    quiet("nothing-feeds", facility)
    quiet("box-nowhere", facility)


def test_a_plug_with_a_note_keeps_the_source_away_on_purpose():
    noted = one(FED, "plugs: [{jack: PB.B1, note: kept silent for the test}]")
    finding = fires("nothing-feeds", noted, "note", "D.I", "PB.B1")
    assert "kept silent for the test" in finding.message
    fires("nothing-feeds", one(FED, "plugs: [PB.B1]"), "warning", "D.I", "PB.B1")


@pytest.mark.parametrize("kind", ["full", "reverse-half"])
def test_a_plug_in_the_source_jack_breaks_it_too(kind):
    broken = one(FED.replace("D.I}", f"D.I, normal: {kind}}}"), "plugs: [PB.T1]")
    fires("nothing-feeds", broken, "warning", "D.I", "PB.T1")


def test_a_cord_that_brings_nothing():
    dead = one(FED, "cords: [{from: PB.T4, to: PB.B1}]")
    fires("nothing-feeds", dead, "warning", "D.I", "PB.B1")


def test_an_input_behind_a_tie_may_be_patched_at_its_far_end():
    facility = plant(
        """
        equipment:
          D: {name: Destination, inputs: [I]}
        bays:
          P1: {name: One, positions: 1, points: {1: {bottom: D.I}}}
          P2: {name: Two, positions: 1, normal: none}
        lines:
          T1: {from: P2.B1, to: P1.T1}
        """
    )
    finding = fires("nothing-feeds", facility, "note", "D.I", "P1.B1")
    assert "P2 B1" in finding.message or "P1 T1" in finding.message


def test_a_line_from_what_was_removed():
    facility = plant(
        """
        equipment:
          S: {name: Source, state: removed, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        lines:
          L1: {from: S.O, to: D.I}
        """
    )
    assert "line L1" in fires("nothing-feeds", facility, "warning", "D.I").message


def test_two_outputs_on_one_net_are_doubled():
    tied = one(FED, "cords: [{from: PB.T1, to: PB.T2}]")
    finding = fires("doubled", tied, "error", "S.O", "X.O", "D.I")
    assert "PB.T1=PB.T2" in finding.message
    quiet("doubled", one(FED))


def test_two_outputs_tied_with_no_input_on_the_net_are_doubled_too():
    facility = one(
        "1: {top: S.O, normal: none}, 2: {top: X.O, normal: none}", "mults: {M: [PB.T1, PB.T2]}"
    )
    fires("doubled", facility, "error", "S.O", "X.O")


def test_an_output_below_and_an_input_above():
    # Common practice: top row outputs, bottom row inputs.
    turned = one("1: {top: D.I, bottom: S.O, normal: none}")
    fires("rows-crossed", turned, "note", "PB", "PB.T1", "PB.B1")
    quiet("rows-crossed", one(FED))


def test_a_bay_of_one_row_has_no_wrong_row():
    facility = plant(
        """
        equipment:
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Panel, positions: 1, rows: 1, points: {1: {top: D.I}}}
        """
    )
    quiet("rows-crossed", facility)


def test_ports_wired_nowhere_are_told_once_a_box():
    facility = plant(
        """
        equipment:
          D: {name: Destination, inputs: [A, B, C]}
        bays:
          PB: {name: Bay, positions: 1, points: {1: {bottom: D.B}}}
        """
    )
    fires("port-nowhere", facility, "note", "D", "D.A", "D.C")
    quiet("port-nowhere", one(FED))


def test_equipment_of_which_nothing_is_wired():
    facility = one("1: {top: S.O, bottom: D.I}")
    fires("box-nowhere", facility, "warning", "X")
    quiet("box-nowhere", one(FED))
    quiet("port-nowhere", facility)


def test_a_port_at_two_jacks():
    # The file reader refuses this; a facility that a program makes may hold it.
    facility = one(FED)
    bay = facility.bays["PB"]
    points = {**bay.points, 3: BayPoint(top=Wire(output("S.O")))}
    twice = replace(facility, bays={"PB": replace(bay, points=points)})
    fires("port-twice", twice, "error", "S.O")
    quiet("port-twice", facility)


def test_the_smallest_sound_plant_gives_no_error_or_warning():
    facility = one("1: {top: S.O, bottom: D.I}, 2: {top: X.O, normal: none}")
    assert {f.severity for f in check(facility)} <= {"note"}
    assert found("doubled", facility) == []
