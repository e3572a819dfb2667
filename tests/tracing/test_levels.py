"""Levels against handbook values and the voltage divider, asked of whole plants."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import slinediag
from slinediag.model.facility import Cord, Plug
from slinediag.tracing.levels import ZERO_DBU, level_at, volts
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.trial import ask
from tests.builders import entry, jack, plant
from tests.strategies import facilities, trials

SMALL_PLANT = Path(__file__).parent / "small_plant.yaml"


def loaded(source, loads, output="", inputs=""):
    """A source of an impedance on PB.T1, and inputs of these impedances, all on one mult."""
    entries = ", ".join(f"I{n}: {{impedance: {z}{inputs}}}" for n, z in enumerate(loads, 1))
    points = "".join(
        f", {n + 1}: {{bottom: D.I{n}, normal: none}}" for n in range(1, len(loads) + 1)
    )
    jacks = ", ".join(["PB.T1", *(f"PB.B{n + 1}" for n in range(1, len(loads) + 1))])
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: {{O: {{impedance: {source}{output}}}}}}}
          D: {{name: Destination, inputs: {{{entries}}}}}
        bays:
          PB: {{name: Bay, positions: {len(loads) + 1}, points: {{1: {{top: S.O, normal: none}}{points}}}}}
        mults: {{M: [{jacks}]}}
        """
    )


def level_of(facility, port, failed=()):
    """The level at an input once some boxes have failed, not rounded."""
    answer = slinediag.ask(facility, failed=failed, every_input=True)
    return next(o.level_after for o in answer.inputs if o.input == entry(port))


# Voltage dividers worked out by hand; 600 into 600 and into 10 k also printed in handbooks.
@pytest.mark.parametrize(
    ("source", "loads", "loss"),
    [
        (600, [600], 6.0206),
        (600, [600, 600], 9.5424),
        (600, [10_000], 0.5061),
        (600, [20_000], 0.2567),
        *(
            (60, [10_000] * n, loss)
            for n, loss in [(1, 0.052), (2, 0.104), (5, 0.257), (10, 0.506)]
        ),
        (60, [10_000] * 20, 0.984),
        *((600, [10_000] * n, loss) for n, loss in [(2, 0.984), (5, 2.279), (10, 4.082)]),
        (600, [10_000] * 20, 6.848),
        (100, [1000], 0.8279),
        (200, [1000], 1.5836),
        # 1:4 loading, often misprinted as 2.5 dB.
        (250, [1000], 1.938),
    ],
)
def test_the_loss_of_a_source_into_its_loads(source, loads, loss):
    facility = loaded(source, loads)
    for number in range(1, len(loads) + 1):
        assert level_of(facility, f"D.I{number}") == pytest.approx(4 - loss, abs=0.0006)


def test_zero_dbu_is_one_milliwatt_in_600_ohm():
    # IEC 60268-2 and ITU-T practice, from memory; +4 dBu and 0 dBFS of two alignments worked out:
    # EBU R68, -18 dBFS = 0 dBu, and SMPTE RP 155, -20 dBFS = +4 dBu, both second-hand.
    watts = ZERO_DBU**2 / 600
    assert watts == pytest.approx(0.001)
    assert volts(0) == pytest.approx(0.774597, abs=1e-6)
    assert volts(4) == pytest.approx(1.22765, abs=1e-5)
    assert volts(18) == pytest.approx(6.153, abs=1e-3)
    assert volts(24) == pytest.approx(12.277, abs=1e-3)
    assert volts(-7.7815) == pytest.approx(0.316228, abs=1e-5)  # -10 dBV


def test_professional_onto_domestic_level_is_11_78_db_apart():
    # +4 dBu against -10 dBV: 11.7815 dB; 11.79 comes of rounding 0 dBu to 0.775 V.
    facility = loaded(100, [1e9], inputs=", level: -7.7815")
    tracer = tracer_of(facility)
    with tracer.lock:
        arrival = tracer.line_at_rest(0).arrival
    assert arrival.excess == pytest.approx(11.7815, abs=0.0001)


def test_a_driven_output_loses_six_db_into_an_unbalanced_input():
    # Common practice: with one leg grounded half of the voltage between the legs is left.
    inputs = ", balanced: false"
    open_ended = 1e9
    driven = loaded(100, [open_ended], output=", drive: driven", inputs=inputs)
    floating = loaded(100, [open_ended], inputs=inputs)
    assert level_of(driven, "D.I1") == pytest.approx(4 - 6.0206, abs=0.0001)
    assert level_of(floating, "D.I1") == pytest.approx(4, abs=0.0001)
    balanced = loaded(100, [open_ended], output=", drive: driven")
    assert level_of(balanced, "D.I1") == pytest.approx(4, abs=0.0001)


MIXED = """
equipment:
  S: {name: Source, outputs: {O: {drive: driven}}}
  D: {name: Destinations, inputs: {B: {}, U: {balanced: false}}}
bays:
  PB:
    name: Bay
    positions: 2
    points: {1: {top: S.O, bottom: D.B}, 2: {bottom: D.U}}
"""


def test_an_unbalanced_input_grounds_the_leg_for_every_input_of_the_line():
    answer = slinediag.ask(plant(MIXED), cords=[("PB.T1", "PB.B2")], every_input=True)
    before, after = (
        {str(o.input): level for o in answer.inputs for level in [getattr(o, name)]}
        for name in ("level_before", "level_after")
    )
    assert before["D.U:in"] is None
    assert after["D.U:in"] == after["D.B:in"] == pytest.approx(4 - 0.0864 - 6.0206, abs=0.001)


def test_levels_of_the_small_plant_at_rest_are_those_of_one_and_two_loads():
    # 100 ohm into 20 k: 0.043 dB; into two of them, where a normal splits the cue: 0.086 dB.
    answer = slinediag.ask(slinediag.load(SMALL_PLANT), every_input=True).to_dict()
    levels = {row["input"]: row["level_after"] for row in answer["inputs"]}
    assert levels["XMIT.L"] == levels["DESK.1"] == levels["LIM.R:in"] == 3.96
    assert levels["MON.1"] == levels["MON.2"] == 3.91
    assert levels["DESK.M1"] == round(-50 - 20 * math.log10(2150 / 2000), 2)


TWO_SOURCES = """
equipment:
  A: {name: One source, outputs: [O]}
  B: {name: Other source, outputs: [O]}
  D: {name: Destination, inputs: [I, J]}
  R: {name: Gone, state: removed, inputs: {I: {impedance: 100}}}
bays:
  PB:
    name: Bay
    positions: 4
    points: {1: {top: A.O, bottom: D.I}, 2: {top: B.O}, 3: {bottom: D.J}, 4: {bottom: R.I}}
"""


def test_no_level_without_a_feed_with_two_or_of_failed_equipment():
    facility = plant(TWO_SOURCES)
    assert level_of(facility, "D.J") is None
    assert level_of(facility, "D.I", failed=["A"]) is None
    tied = slinediag.ask(facility, cords=[("PB.T1", "PB.T2")], failed=["B"])
    assert [o.level_after for o in tied.inputs if o.input == entry("D.I")] == [None]


def test_removed_equipment_loads_nothing_and_failed_equipment_still_does():
    facility = plant(TWO_SOURCES)
    with_removed = slinediag.ask(facility, cords=[("PB.T1", "PB.B4")], every_input=True)
    assert with_removed.inputs[0].level_after == with_removed.inputs[0].level_before
    split = slinediag.ask(facility, cords=[("PB.T1", "PB.B3")], failed=["D"], every_input=True)
    assert split.inputs[0].level_after == pytest.approx(4 - 20 * math.log10(1.01))


def test_a_swapped_wire_changes_no_level():
    facility = plant(TWO_SOURCES.replace("top: A.O", "top: {to: A.O, swapped: true}"))
    assert level_of(facility, "D.I") == level_of(plant(TWO_SOURCES), "D.I")


def tied_of(facility, cord, failed=()):
    answer = slinediag.ask(facility, cords=[cord], failed=failed)
    return answer.lines[0].after.tied


def test_two_equal_outputs_tied_halve_each_other():
    # Published application notes on passive combining: an equal pair tied loses 6.02 dB.
    inputs = "D: {name: Destination, inputs: {I: {impedance: 1000000000}, J: {}}}"
    facility = plant(TWO_SOURCES.replace("D: {name: Destination, inputs: [I, J]}", inputs))
    one, other = tied_of(facility, ("PB.T1", "PB.T2"))
    assert one.loss == other.loss == pytest.approx(6.0206, abs=0.0001)
    assert one.level == pytest.approx(4 - 6.0206, abs=0.0001)
    # Full level, 24 dBu, is 12.277 V; through 100 and 100 ohm 61.4 mA flow.
    assert one.current == pytest.approx(61.385, abs=0.01)


def test_a_dead_output_sends_nothing_and_loads_the_other():
    one, other = tied_of(plant(TWO_SOURCES), ("PB.T1", "PB.T2"), failed=["B"])
    assert (other.level, other.loss, other.current) == (None, None, None)
    assert one.loss == pytest.approx(20 * math.log10(1 + 100 / (100 * 20_000 / 20_100)))


@pytest.mark.parametrize(
    ("output", "inputs", "headroom"),
    [("", "", 20), (", max: 20", "", 16), ("", ", max: 20", 16), ("", ", level: -10, max: 0", -4)],
)
def test_headroom_ends_where_the_first_of_output_and_input_clips(output, inputs, headroom):
    facility = loaded(0.001, [1e9], output=output, inputs=inputs)
    tracer = tracer_of(facility)
    with tracer.lock:
        arrival = tracer.line_at_rest(0).arrival
    assert arrival.headroom == pytest.approx(headroom, abs=0.0001)


def test_the_level_holds_for_the_circuit_as_it_stands():
    facility = plant(TWO_SOURCES)
    tracer = tracer_of(facility)
    circuit = tracer.circuit
    number = circuit.input_number[entry("D.J")]
    ends = jack("PB.T1"), jack("PB.B3")
    with tracer.lock:
        for end in ends:
            circuit.plug_in(end)
        circuit.join_cord(*ends)
        level = level_at(circuit, number, circuit.feeds(number), frozenset())
        dead = level_at(circuit, number, circuit.feeds(number), frozenset({0}))
        circuit.part_cord(*ends)
        for end in ends:
            circuit.plug_out(end)
    assert level == pytest.approx(4 - 20 * math.log10(1 + 100 / 10_000))
    assert dead is None


# ---- a trial, and a file in which it is filed


@st.composite
def loaded_facilities(draw):
    """Random facilities whose ports have impedances of their own, some unbalanced or driven."""

    def loaded_port(port):
        keys = dataclasses.replace(
            port.keys,
            impedance=draw(st.sampled_from([None, 50.0, 600.0, 10_000.0])),
            balanced=draw(st.sampled_from([None, None, False])),
            drive=draw(st.sampled_from([None, "driven"])),
        )
        return dataclasses.replace(port, keys=keys)

    facility = draw(facilities())
    equipment = {
        name: dataclasses.replace(
            box,
            outputs=tuple(map(loaded_port, box.outputs)),
            inputs=tuple(map(loaded_port, box.inputs)),
        )
        for name, box in facility.equipment.items()
    }
    return dataclasses.replace(facility, equipment=equipment)


def with_filed(facility, trial):
    """The facility with the cords and dummy plugs of a trial left in, and those it pulls gone."""
    cords = [c for c in facility.cords if (c.source, c.target) not in trial.pulled_cords]
    plugs = [p for p in facility.plugs if p.jack not in trial.pulled_plugs]
    return dataclasses.replace(
        facility,
        cords=(*cords, *(Cord(*cord) for cord in trial.cords)),
        plugs=(*plugs, *(Plug(at) for at in trial.plugs)),
    )


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_trial_leaves_the_levels_that_a_file_with_it_has_at_rest(data):
    facility = data.draw(loaded_facilities())
    trial = dataclasses.replace(data.draw(trials(facility)), failed=())
    answer = ask(facility, trial, every_input=True)
    filed = Tracer(with_filed(facility, trial))
    assert tuple(o.level_after for o in answer.inputs) == filed.levels
    changed = {line.after.input: line.after for line in answer.lines}
    for number, port in enumerate(filed.circuit.inputs):
        rest = filed.line_at_rest(number)
        after = changed.get(port) or tracer_of(facility).line_at_rest(number)
        assert (after.arrival, after.tied) == (rest.arrival, rest.tied)
        assert after.unbalanced == rest.unbalanced
