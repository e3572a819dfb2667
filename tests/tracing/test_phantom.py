"""Phantom: where it stands by the contact rules, what it must not meet, and when it is live.

The rules are those of IEC 61938 and of microphone makers' notes: 48 V on both legs of a line, a
microphone made for it stands it, an unbalanced port shorts a leg, and a plug that slides in
shorts it for a moment, so that it is switched off before anybody patches.
"""

from __future__ import annotations

import dataclasses

import networkx as nx
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import slinediag
from slinediag.model.equipment import Port, PortKeys
from slinediag.tracing.tracer import tracer_of
from slinediag.tracing.trial import ask
from slinediag.tracing.words import sentences
from tests import oracle
from tests.builders import plant
from tests.strategies import facilities, trials

STUDIO = """
equipment:
  MIC: {name: Condenser microphone, outputs: {O: {level: -50, impedance: 150, phantom: takes}}}
  RIB: {name: Ribbon microphone, outputs: {O: {level: -55, impedance: 300, phantom: harmed}}}
  PLY: {name: Player, outputs: {L: {}, U: {balanced: false}}}
  DESK:
    name: Desk
    defaults: {level: -50, impedance: 2000}
    inputs: {M1: {phantom: gives}, M2: {phantom: gives}, M3: {}}
  REC: {name: Recorder, inputs: {L: {}}}
bays:
  PB:
    name: Bay
    positions: 8
    points:
      1: {top: MIC.O, bottom: DESK.M1}
      2: {top: RIB.O, bottom: DESK.M3}
      3: {top: PLY.L, bottom: DESK.M2, normal: none}
      4: {top: PLY.U, bottom: REC.L, normal: none}
      5: {normal: none}
      6: {normal: none}
mults: {M: [PB.T5, PB.B5]}
"""


def asked(*cords, sections=STUDIO, **trial):
    return slinediag.ask(plant(sections), cords=[c.split("=") for c in cords], **trial)


def reaches(answer):
    """Port → what is wrong with phantom on it, who gives it, and whether the trial brings it."""
    return {
        answer.facility.spelled(r.port): (
            r.harm,
            [answer.facility.spelled(g) for g in r.givers],
            r.new,
        )
        for r in answer.phantom
    }


def live(answer):
    """The plugs that move where phantom stands: act, jack and who gives it."""
    spelled = answer.facility.spelled
    return [(p.act, str(p.jack), [spelled(g) for g in p.givers]) for p in answer.live]


def test_a_microphone_that_takes_it_is_no_harm_but_the_patch_is_live():
    answer = asked("PB.T1=PB.B3")
    assert reaches(answer) == {
        "DESK.M1": ("given twice", ["DESK.M2"], True),
        "DESK.M2": ("given twice", ["DESK.M1"], True),
    }
    assert live(answer) == [
        ("put", "PB.T1", ["DESK.M1"]),
        ("put", "PB.B3", ["DESK.M1", "DESK.M2"]),
    ]
    alone = asked("PB.T1=PB.B3", plugs=["PB.B1"])
    assert reaches(alone) == {}
    assert alone.harmless is False  # the microphone's own input falls silent


def test_a_ribbon_is_harmed():
    answer = asked("PB.T2=PB.B3")
    assert reaches(answer) == {"RIB.O": ("harmed", ["DESK.M2"], True), **M3_TOO}
    assert not answer.harmless
    (harmed,) = (r for r in answer.phantom if r.port.equipment == "RIB")
    assert harmed.severity == "danger"
    assert any(s.startswith("DANGER: 48 V phantom from DESK M2") for s in sentences(answer))


M3_TOO = {"DESK.M3": ("not taken", ["DESK.M2"], True)}


def test_an_unbalanced_port_shorts_a_leg():
    answer = asked("PB.T4=PB.B3")
    assert reaches(answer) == {"PLY.U": ("unbalanced", ["DESK.M2"], True)}
    assert answer.phantom[0].severity == "danger"
    assert not answer.harmless


def test_a_line_output_is_warned_of_and_spoils_harmless():
    answer = asked("PB.T3=PB.B3")
    assert reaches(answer) == {"PLY.L": ("not taken", ["DESK.M2"], True)}
    assert answer.phantom[0].severity == "warning"
    assert answer.inputs[0].change == "gained"
    assert not answer.harmless
    assert sentences(answer)[0] == "NOT HARMLESS. PHANTOM onto PLY L."


def test_a_microphone_onto_another_input_that_gives_is_harmless():
    sections = STUDIO.replace("1: {top: MIC.O, bottom: DESK.M1}", "1: {top: MIC.O}")
    answer = asked("PB.T1=PB.B3", sections=sections)
    assert reaches(answer) == {}
    assert answer.harmless
    assert live(answer) == [("put", "PB.B3", ["DESK.M2"])]


def test_it_stands_on_every_branch_of_a_mult():
    answer = asked("PB.B5=PB.B3", "PB.T5=PB.B4")
    assert reaches(answer) == {"REC.L": ("not taken", ["DESK.M2"], True)}
    assert live(answer) == [
        ("put", "PB.B3", ["DESK.M2"]),
        ("put", "PB.T5", ["DESK.M2"]),
        ("put", "PB.B4", ["DESK.M2"]),
    ]


def test_a_plug_that_breaks_its_normal_is_put_in_live():
    answer = asked(plugs=["PB.B1"])
    assert live(answer) == [("put", "PB.B1", ["DESK.M1"])]
    assert reaches(answer) == {}


def test_a_cord_pulled_is_live_at_both_its_ends():
    sections = STUDIO + "cords: [{from: PB.T3, to: PB.B3}]"
    answer = asked(sections=sections, pulls=[("PB.T3", "PB.B3")])
    assert live(answer) == [("pull", "PB.T3", ["DESK.M2"]), ("pull", "PB.B3", ["DESK.M2"])]
    assert reaches(answer) == {}


def test_a_dummy_plug_pulled_lets_phantom_through_its_normal():
    sections = STUDIO.replace("bottom: DESK.M3", "bottom: DESK.M2").replace(
        "3: {top: PLY.L, bottom: DESK.M2, normal: none}", "3: {top: PLY.L, normal: none}"
    )
    answer = asked(sections=sections + "plugs: [PB.B2]", pulls=["PB.B2"])
    assert reaches(answer) == {"RIB.O": ("harmed", ["DESK.M2"], True)}
    assert live(answer) == [("pull", "PB.B2", ["DESK.M2"])]
    assert not answer.harmless


def test_what_stands_at_rest_is_not_brought_by_the_trial():
    sections = STUDIO + "cords: [{from: PB.T3, to: PB.B3}]"
    answer = asked("PB.B5=PB.T6", sections=sections, plugs=[])
    assert answer.phantom == ()
    touched = asked(sections=sections, plugs=["PB.T4"])
    assert touched.phantom == ()
    tracer = tracer_of(touched.facility)
    assert [(str(r.port), r.harm, r.new) for r in tracer.phantom_at_rest] == [
        ("PLY.L:out", "not taken", False)
    ]


SPLITTER = """
equipment:
  MIC: {name: Condenser microphone, outputs: {O: {level: -50, phantom: takes}}}
  RIB: {name: Ribbon microphone, outputs: {O: {level: -55, phantom: harmed}}}
  SPL:
    name: Splitter
    inputs: {I: {phantom: takes}}
    outputs: {DIRECT: {phantom: passes}, ISO: {}}
    paths: all
  DESK: {name: Desk, inputs: {M1: {level: -50, phantom: gives}, M2: {level: -50, phantom: gives}}}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: MIC.O, bottom: SPL.I}
      2: {top: SPL.DIRECT, bottom: DESK.M1, normal: none}
      3: {top: SPL.ISO, bottom: DESK.M2, normal: none}
      4: {top: RIB.O}
"""


def test_it_passes_from_the_output_that_passes_to_the_microphone_behind():
    answer = asked("PB.T2=PB.B2", sections=SPLITTER)
    assert reaches(answer) == {}
    assert answer.harmless
    ribbon = asked("PB.T4=PB.B1", "PB.T2=PB.B2", sections=SPLITTER)
    assert reaches(ribbon) == {"RIB.O": ("harmed", ["DESK.M1"], True)}
    assert not ribbon.harmless


def test_a_patch_behind_a_splitter_is_live():
    sections = SPLITTER.replace("bottom: DESK.M1, normal: none", "bottom: DESK.M1")
    answer = asked("PB.T4=PB.B1", sections=sections)
    assert live(answer) == [("put", "PB.B1", ["DESK.M1"])]
    assert reaches(answer) == {"RIB.O": ("harmed", ["DESK.M1"], True)}


def test_an_output_that_does_not_pass_keeps_it_from_the_microphone():
    answer = asked("PB.T4=PB.B1", "PB.T3=PB.B3", sections=SPLITTER)
    assert reaches(answer) == {"SPL.ISO": ("not taken", ["DESK.M2"], True)}


def test_removed_equipment_gives_none_and_failed_equipment_still_may():
    removed = STUDIO.replace("    name: Desk\n", "    name: Desk\n    state: removed\n")
    assert asked("PB.T3=PB.B3", sections=removed).live == ()
    assert reaches(asked("PB.T3=PB.B3", failed=["DESK"])) == {
        "PLY.L": ("not taken", ["DESK.M2"], True)
    }


def test_the_answer_in_plain_values():
    got = asked("PB.T3=PB.B3").to_dict()["cautions"]
    assert got == [
        {
            "caution": "phantom not taken",
            "severity": "warning",
            "at": "PLY.L",
            "given_by": ["DESK.M2"],
            "new": True,
        },
        {
            "caution": "phantom live",
            "severity": "caution",
            "at": "PB.B3",
            "act": "put",
            "cord": "PB.T3=PB.B3",
            "given_by": ["DESK.M2"],
        },
    ]


def test_the_caution_says_off_wait_then_patch():
    (caution,) = (s for s in sentences(asked("PB.T3=PB.B3")) if s.startswith("CAUTION"))
    assert "put in PB B3" in caution
    assert caution.index("Switch phantom off at DESK M2") < caution.index("wait")
    assert caution.endswith("then patch.")


# ---- against components of single contacts

PHANTOMS = st.sampled_from([None, None, "gives", "gives", "takes", "harmed", "passes"])


@st.composite
def powered_facilities(draw):
    """Random facilities whose ports give, take, pass or suffer phantom, some unbalanced."""

    def powered(port):
        found = draw(PHANTOMS)
        if port.side == "out" and found == "gives":
            found = "takes"
        balanced = draw(st.sampled_from([None, None, None, False]))
        keys = dataclasses.replace(port.keys, phantom=found, balanced=balanced)
        return Port(port.id, port.side, keys)

    facility = draw(facilities())
    equipment = {
        name: dataclasses.replace(
            box,
            outputs=tuple(map(powered, box.outputs)),
            inputs=tuple(map(powered, box.inputs)),
        )
        for name, box in facility.equipment.items()
    }
    return dataclasses.replace(facility, equipment=equipment)


def keys_of(facility, port) -> PortKeys:
    box = facility.equipment[port[0]]
    ports = box.outputs if port[2] == "out" else box.inputs
    return next(p.keys for p in ports if p.id == port[1])


def all_ports(facility):
    return [
        (box.id, port.id, port.side)
        for box in facility.equipment.values()
        for port in (*box.outputs, *box.inputs)
    ]


def givers_of_all(facility, state):
    """Port → the inputs whose phantom stands on it: reachability over contacts and paths."""
    graph = nx.DiGraph(oracle.contact_graph(facility, state))
    for box in facility.equipment.values():
        for i, o in box.ways:
            here, there = (box.id, i, "in"), (box.id, o, "out")
            if "passes" in (keys_of(facility, here).phantom, keys_of(facility, there).phantom):
                for sign in "+-":
                    graph.add_edges_from(((*there, sign), (*here, far)) for far in "+-")
    givers = [
        p
        for p in all_ports(facility)
        if keys_of(facility, p).phantom == "gives" and facility.equipment[p[0]].state != "removed"
    ]
    found = {port: set() for port in all_ports(facility)}
    for giver in givers:
        reached = {giver}
        for sign in "+-":
            reached |= {c[:3] for c in nx.descendants(graph, (*giver, sign)) if c[-1] in "+-"}
        for port in reached & found.keys():
            found[port].add(giver)
    return found


def harms(facility, state):
    """Port → what is wrong with phantom on it."""
    givers = givers_of_all(facility, state)
    found = {}
    for port, mine in givers.items():
        keys, others = keys_of(facility, port), mine - {port}
        box = facility.equipment[port[0]]
        behind = [(box.id, o, "out") for i, o in box.ways if port == (box.id, i, "in")]
        hands_on = any(
            givers[o] and "passes" in (keys.phantom, keys_of(facility, o).phantom) for o in behind
        )
        if not others or box.state == "removed":
            continue
        if keys.phantom == "harmed":
            found[port] = "harmed"
        elif keys.balanced is False:
            found[port] = "unbalanced"
        elif keys.phantom == "gives":
            found[port] = "given twice"
        elif keys.phantom is None and not hands_on:
            found[port] = "not taken"
    return found


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_phantom_stands_where_contacts_and_paths_carry_it(data):
    facility = data.draw(powered_facilities())
    trial = data.draw(trials(facility))
    rest = harms(facility, oracle.at_rest(facility))
    after = harms(facility, oracle.with_trial(facility, trial))
    answer = ask(facility, trial)
    assert {tuple(r.port): r.harm for r in tracer_of(facility).phantom_at_rest} == rest
    got = {tuple(r.port): r.harm for r in answer.phantom}
    assert got.items() <= after.items()
    new = {tuple(r.port) for r in answer.phantom if r.new}
    assert new == after.keys() - rest.keys()
    onto = any(keys_of(facility, port).phantom != "takes" for port in new)
    heard = oracle.changes(facility, trial).values()
    harmed = any(row[0] in ("doubled", "lost", "altered") for row in heard)
    feedback = any(oracle.cord_outcome(facility, trial, cord)[1] for cord in trial.cords)
    assert answer.harmless == (not (onto or harmed or feedback))
