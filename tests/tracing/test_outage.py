"""Outages whose answers follow from the documents by hand."""

from __future__ import annotations

import itertools

import pytest

import slinediag
from slinediag.address import Jack
from slinediag.problems import RequestError
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import read_failure
from slinediag.tracing.outage.jacks import JackChoice, foremost
from slinediag.tracing.outage.reasons import Reasons
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant

CHAIN = """
equipment:
  PLY: {name: Player, outputs: [L]}
  LIM: {name: Limiter, inputs: [L], outputs: [L], paths: straight, caution: peak limiting}
  XMIT: {name: Transmitter, label: LINK, priority: 1, inputs: [L]}
  MON: {name: Monitor, inputs: [L]}
bays:
  PB2:
    name: Programme
    positions: 4
    points:
      1: {top: PLY.L, bottom: LIM.L, normal: half}
      2: {top: LIM.L, bottom: XMIT.L, normal: full}
      3: {normal: none}
      4: {bottom: MON.L}
normals:
  - {from: PB2.T1, to: PB2.B4}
"""


def answer(sections, *failed, **options):
    facility = plant(sections)
    return outage(facility, read_failure(facility, failed), **options).to_dict()


def test_a_limiter_gone_round():
    found = answer(CHAIN, "LIM")
    assert found["failed"] == ["LIM"]
    (silenced,) = found["silenced"]
    assert silenced["input"] == "XMIT.L"
    assert silenced["priority"] == 1
    assert silenced["hears_before"] == ["PLY.L"]
    assert silenced["reason"] is None
    best = silenced["patches"][0]
    # The half-normal's source jack taps; the full-normal's destination jack breaks.
    assert best["cords"] == ["PB2.T1=PB2.B2"]
    assert best["pulls"] == best["harmed"] == []
    assert (best["fits"], best["full"]) == (True, True)
    assert best["cautions"] == ["LIM: peak limiting"]
    first, second = best["steps"]
    assert (first["put"], first["restores"], first["interrupts"]) == ("PB2.T1", [], [])
    assert {act["effect"] for act in first["acts"]} == {"taps"}
    assert (second["put"], second["restores"]) == ("PB2.B2", ["XMIT.L"])
    assert [act["effect"] for act in second["acts"]] == ["breaks"]
    assert "PLY L" in first["caution"]
    assert second["caution"] is None
    assert found["together"]["cords"] == ["PB2.T1=PB2.B2"]
    assert found["together"]["restores"] == ["XMIT.L"]


def test_taking_the_patch_out_once_it_is_mended():
    best = answer(CHAIN, "LIM")["silenced"][0]["patches"][0]
    # The far plug first: its normal closes, and the limiter feeds the transmitter again at once.
    assert [step["pull"] for step in best["steps_back"]] == ["PB2.B2", "PB2.T1"]
    assert best["steps_back"][0]["acts"] == [
        {"normal": "PB2.T2=PB2.B2", "kind": "full", "effect": "closes"}
    ]
    assert not any(step["interrupts"] for step in best["steps_back"])


def test_at_most_five_and_each_restores_by_ask():
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage(facility, read_failure(facility, ["LIM"]))
    for silenced in found.silenced:
        assert 1 <= len(silenced.patches) <= 5
        for patch in silenced.patches:
            trial = Trial(cords=patch.cords, pulled_cords=patch.pulls, failed=("LIM",))
            outcome = next(
                o
                for o in ask(facility, trial, every_input=True).inputs
                if o.input == silenced.input
            )
            assert outcome.hears_after == patch.hears
            assert len(outcome.feeds_after) == 1
            assert set(outcome.hears_after) <= set(silenced.hears_before)
            if patch.level_change is not None:
                change = outcome.level_after - outcome.level_before
                assert patch.level_change == pytest.approx(change, abs=0.006)


def test_a_cord_pulled_lets_the_normal_close():
    """A compressor in an insert by two cords: dead, it is enough to pull its return."""
    found = answer(
        """
        equipment:
          S: {name: Send, outputs: [O]}
          C: {name: Compressor, inputs: [I], outputs: [O], paths: straight}
          R: {name: Return, inputs: [I]}
        bays:
          PB:
            name: Bay
            positions: 2
            points:
              1: {top: S.O, bottom: R.I, normal: half}
              2: {top: C.O, bottom: C.I, normal: none}
        cords:
          - {from: PB.T1, to: PB.B2}
          - {from: PB.T2, to: PB.B1}
        """,
        "C",
    )
    best = found["silenced"][0]["patches"][0]
    assert (best["cords"], best["pulls"]) == ([], ["PB.T2=PB.B1"])
    assert best["steps"][0]["pull"] == "PB.B1"
    assert best["steps"][0]["restores"] == ["R.I"]


def test_with_keep_cords_nothing_is_pulled():
    facility = slinediag.load("samples/larkfen.yaml")
    found = outage(facility, read_failure(facility, ["COMP"]), keep_cords=True)
    assert found.silenced
    assert not any(patch.pulls for s in found.silenced for patch in s.patches)


@pytest.mark.parametrize(
    ("held", "cure"),
    [
        ("cords: [{from: PB.T2, to: PB.B1}]", "Pulling the standing cord PB T2 to PB B1 would"),
        ("plugs: [PB.B1]", "Pulling the dummy plug from PB B1 would"),
    ],
)
def test_a_jack_that_is_held_is_said_to_be(held, cure):
    facility = plant(
        f"""
        equipment:
          A: {{name: A, outputs: [O]}}
          B: {{name: B, outputs: [O]}}
          X: {{name: X, inputs: {{I: {{instead: [A.O]}}}}}}
        bays:
          PB:
            name: Bay
            positions: 2
            points: {{1: {{top: A.O, bottom: X.I}}, 2: {{top: B.O, normal: none}}}}
        lines: {{}}
        {held}
        """
    )
    found = outage(facility, read_failure(facility, ["B"]), keep_cords=True)
    if "cords" in held:
        (silenced,) = found.silenced
        assert silenced.reason == "no free jack leads to the input"
        assert silenced.cure.startswith(cure)
    else:
        situation = Situation(facility, facility, ("B",))
        reasons = Reasons(situation, JackChoice(situation), True)
        assert reasons.of(0, 2)[1].startswith(cure)


TIED = """
equipment:
  A: {name: A, outputs: [O]}
  DA: {name: Splitter, inputs: [I], outputs: [P], paths: all}
  LOG: {name: Logger, priority: 2, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: A.O, bottom: DA.I}
      2: {top: DA.P, bottom: LOG.I, normal: parallel}
"""


def test_a_dead_output_on_a_parallel_normal_bars_every_patch():
    (silenced,) = answer(TIED, "DA")["silenced"]
    assert silenced["patches"] == []
    assert silenced["reason"] == "no 2 moves restore it"
    assert "A half-normal to PB B2 would let a plug there take it off." in silenced["cure"]
    # The advice is taken, and the plug that it speaks of put in.
    half = plant(TIED.replace("parallel", "half"))
    (plug,) = ask(half, Trial(plugs=(jack("PB.B2"),))).plugs
    assert [act.effect for act in plug.acts] == ["breaks"]


def test_no_source_reaches_a_jack():
    (silenced,) = answer(CHAIN.replace("  MON: ", "  MOM: ").replace("MON.L", "MOM.L"), "PLY")[
        "silenced"
    ][:1]
    assert silenced["reason"] == "no source reaches a jack"


def test_no_free_jack_leads_to_the_input():
    facility = plant(CHAIN.replace("bottom: XMIT.L", "bottom: {to: XMIT.L, cable: C1}"))
    found = outage(facility, read_failure(facility, cut=["C1"])).to_dict()
    assert found["silenced"][0]["reason"] == "no free jack leads to the input"


def test_a_stand_in_is_used_and_is_not_full():
    """With nothing else alive, what `instead` names restores; what it does not, never."""
    sections = """
    equipment:
      P: {name: Programme, outputs: [O]}
      E: {name: Emergency player, outputs: [O]}
      T: {name: Tone, outputs: [O]}
      X: {name: Transmitter, priority: 1, inputs: {I: {instead: [E.O]}}}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {top: P.O, bottom: X.I}
          2: {top: E.O, normal: none}
          3: {top: T.O, normal: none}
    """
    (silenced,) = answer(sections, "P")["silenced"]
    assert [patch["cords"] for patch in silenced["patches"]] == [["PB.T2=PB.B1"]]
    assert silenced["patches"][0]["full"] is False


def test_what_hears_only_standby_is_as_good_as_silent():
    sections = """
    equipment:
      P: {name: Programme, outputs: [O]}
      A: {name: Alerts, outputs: {O: {standby: true}}}
      D: {name: Desk, inputs: ["1", "2"], outputs: [O], paths: all}
      X: {name: Transmitter, inputs: [I]}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {top: P.O, bottom: D.1}
          2: {top: A.O, bottom: D.2}
          3: {top: D.O, bottom: X.I}
    """
    found = answer(sections, "P")
    assert [s["input"] for s in found["silenced"]] == ["D.1", "X.I"]


def test_weakened_hears_less_and_still_something():
    sections = """
    equipment:
      P: {name: P, outputs: [O]}
      Q: {name: Q, outputs: [O]}
      D: {name: Desk, inputs: ["1", "2"], outputs: [O], paths: all}
      X: {name: End, inputs: [I]}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {top: P.O, bottom: D.1}
          2: {top: Q.O, bottom: D.2}
          3: {top: D.O, bottom: X.I}
    """
    assert answer(sections, "P")["weakened"] == [{"input": "X.I", "lost": ["P.O"]}]


def test_a_relay_that_joins_in_to_out_silences_nothing():
    found = answer(CHAIN.replace("paths: straight", "paths: straight, bypass: straight"), "LIM")
    assert found["silenced"] == found["weakened"] == []


def test_feedback_is_never_offered():
    """Only the desk's own output still carries the source, and it would feed that same desk."""
    sections = """
    equipment:
      S: {name: Source, outputs: [O, P]}
      W: {name: Amplifier, inputs: [I], outputs: [O], paths: straight}
      D: {name: Desk, inputs: {"1": {instead: [S.P]}, "2": {}}, outputs: [O], paths: all}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {top: W.O, bottom: D.1}
          2: {top: D.O, normal: none}
          3: {normal: none}
    lines:
      L: {from: S.O, to: W.I}
      M: {from: S.P, to: D.2}
    """
    (silenced,) = answer(sections, "W")["silenced"]
    assert (silenced["input"], silenced["patches"]) == ("D.1", [])
    assert silenced["reason"] == "no 2 moves restore it"


PHANTOM = """
equipment:
  M: {name: Microphone, outputs: {O: {level: -50, phantom: takes}}}
  P: {name: Player, outputs: {O: {level: -50}}}
  A: {name: Preamplifier, inputs: [I], outputs: [O], paths: straight}
  D: {name: Desk, priority: 1, inputs: {I: {phantom: gives, level: -50, instead: [P.O]}}}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: M.O, bottom: D.I, normal: half}
      2: {top: P.O, normal: none}
      3: {normal: none}
"""


def test_phantom_onto_a_port_that_does_not_take_it_is_never_offered():
    (silenced,) = answer(PHANTOM, "M")["silenced"]
    assert silenced["patches"] == []
    (silenced,) = answer(
        PHANTOM.replace("{O: {level: -50}}", "{O: {level: -50, phantom: takes}}"), "M"
    )["silenced"]
    assert [patch["cords"] for patch in silenced["patches"]] == [["PB.T2=PB.B1"]]
    assert any("phantom" in caution for caution in silenced["patches"][0]["cautions"])
    assert any("wait" in (step["caution"] or "") for step in silenced["patches"][0]["steps"])


def test_level_decides_between_patches():
    """12 dB is the mismatch allowed unless the file says otherwise: the quiet source comes last."""
    sections = """
    equipment:
      S: {name: Source, outputs: [O]}
      A: {name: Amplifier, inputs: [I], outputs: [O], paths: straight}
      B: {name: Pad, inputs: [I], outputs: {O: {level: -20}}, paths: straight}
      X: {name: End, inputs: [I]}
    bays:
      PB:
        name: Bay
        positions: 4
        points:
          1: {top: S.O, bottom: A.I}
          2: {top: A.O, bottom: X.I}
          3: {top: B.O, normal: none}
    mults:
      M: [PB.T4, PB.B4]
    normals:
      - {from: PB.T1, to: PB.B3}
    lines:
      L: {from: PB.B3, to: PB.T4}
    """
    sections = sections.replace(
        "3: {top: B.O, normal: none}", "3: {top: B.O, bottom: B.I}"
    ).replace("    lines:\n      L: {from: PB.B3, to: PB.T4}\n", "")
    (silenced,) = [s for s in answer(sections, "A")["silenced"] if s["input"] == "X.I"]
    fits = [patch["fits"] for patch in silenced["patches"]]
    assert fits == sorted(fits, reverse=True)
    quiet = next(p for p in silenced["patches"] if p["cords"] == ["PB.T3=PB.B2"])
    assert quiet["fits"] is False
    assert quiet["level_change"] == pytest.approx(-24, abs=0.1)


def test_a_level_that_does_not_fit_on_the_way_is_a_caution():
    """The amplifier's output keeps its nominal level, but 54 dB less goes into it."""
    sections = """
    equipment:
      P: {name: Programme, outputs: [O]}
      M: {name: Microphone, outputs: {O: {level: -50}}}
      A: {name: Amplifier, inputs: [I], outputs: [O], paths: straight}
      X: {name: End, inputs: {I: {instead: [M.O]}}}
    bays:
      PB:
        name: Bay
        positions: 3
        points:
          1: {top: P.O, bottom: A.I}
          2: {top: A.O, bottom: X.I}
          3: {top: M.O, normal: none}
    """
    (silenced,) = [s for s in answer(sections, "P")["silenced"] if s["input"] == "X.I"]
    patch = next(p for p in silenced["patches"] if p["cords"] == ["PB.T3=PB.B1"])
    assert patch["fits"]
    assert patch["cautions"] == ["level -54.0 dB at A I: set it there"]


def test_together_keeps_what_is_restored():
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage(facility, read_failure(facility, ["LIM"]))
    together = found.together
    trial = Trial(cords=together.cords, pulled_cords=together.pulls, failed=("LIM",))
    outcomes = {o.input: o for o in ask(facility, trial, every_input=True).inputs}
    for port in together.restores:
        assert outcomes[port].hears_after
        assert len(outcomes[port].feeds_after) == 1
    assert [str(port) for port in together.restores][:2] == ["XMIT.L:in", "XMIT.R:in"]
    ends = [jack for cord in together.cords for jack in cord]
    assert len(ends) == len(set(ends))


def test_steps_interrupt_least():
    """Tapping a source first and breaking last: the second plug alone changes what is heard."""
    for silenced in answer(CHAIN, "LIM")["silenced"]:
        for patch in silenced["patches"]:
            assert not any(step["interrupts"] for step in patch["steps"])


@pytest.mark.parametrize("moves", [0, 5])
def test_moves_are_one_to_four(moves):
    facility = plant(CHAIN)
    with pytest.raises(RequestError, match="1 to 4 moves"):
        outage(facility, read_failure(facility, ["LIM"]), moves=moves)


def test_one_move_offers_one_cord_or_one_pull():
    for silenced in answer(CHAIN, "LIM", moves=1)["silenced"]:
        assert all(len(p["cords"]) + len(p["pulls"]) == 1 for p in silenced["patches"])


def test_two_tie_lines_need_three_moves():
    """From room to room by two ties: no cord reaches, no two moves do, three do."""
    facility = plant(
        """
        racks:
          R1: {room: One}
          R2: {room: Two}
          R3: {room: Three}
        equipment:
          S: {name: Source, outputs: [O, P]}
          X: {name: End, inputs: [I]}
          W: {name: Way, inputs: [I], outputs: [O], paths: straight}
        bays:
          A: {name: A, place: R1, positions: 3, normal: none, points: {1: {top: S.O}, 2: {top: W.I}}}
          B: {name: B, place: R2, positions: 3, normal: none}
          C: {name: C, place: R3, positions: 3, normal: none, points: {1: {bottom: X.I}, 2: {top: W.O}}}
        normals:
          - {from: A.T1, to: A.T2}
          - {from: C.T2, to: C.B1}
        lines:
          T1: {from: A.B3, to: B.T1}
          T2: {from: B.B2, to: C.T3}
        """
    )
    failure = read_failure(facility, ["W"])
    two = outage(facility, failure)
    three = outage(facility, failure, moves=3)
    assert two.silenced[0].reason == "no 2 moves restore it"
    assert len(three.silenced[0].patches[0].cords) == 3
    assert "tie line" in (two.silenced[0].cure or "")


def test_survey_names_weak_points_by_priority():
    facility = slinediag.load("samples/larkfen.yaml")
    found = survey(facility)
    assert [row.failure.named[0] for row in found.rows if row.failure.bays] == [
        "bay FL",
        "bay LA",
        "bay LB",
    ]
    ranks = [(p.priority is None, p.priority or 0) for p in found.weak_points]
    assert ranks == sorted(ranks)
    for point in found.weak_points:
        assert point.reason
        assert point.cure


def test_the_answer_is_the_same_every_time():
    facility = plant(CHAIN)
    first = outage(facility, read_failure(facility, ["LIM"])).to_dict()
    again = outage(plant(CHAIN), read_failure(facility, ["LIM"])).to_dict()
    assert first == again


@pytest.mark.parametrize(("sides", "cord"), [("L", "PB2.T13=PB2.B15"), ("R", "PB2.T14=PB2.B16")])
def test_right_round_the_limiter_and_not_round_the_delay_as_well(sides, cord):
    """Common practice: patch round what is dead and leave all that works in the way."""
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage(facility, read_failure(facility, ["LIM"])).to_dict()
    (link,) = [s for s in found["silenced"] if s["input"] == f"XMIT.{sides}"]
    assert link["patches"][0]["cords"] == [cord]
    assert link["patches"][0]["cautions"][0].startswith("LIM: ")
    assert len(link["patches"][0]["cautions"]) == 1


def test_no_microphone_into_the_delay_where_a_player_does_as_well():
    """With the desk dead each source alone is as good as another, but for its level."""
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage(facility, read_failure(facility, ["DESK"])).to_dict()
    links = [s for s in found["silenced"] if s["input"].startswith("XMIT")]
    assert len(links) == 2
    for link in links:
        assert len(link["patches"]) == 5
        for patch in link["patches"]:
            assert not any("level" in caution for caution in patch["cautions"])
            assert not any("DLY" in caution for caution in patch["cautions"])
            (cord,) = patch["cords"]
            microphones = tuple(f"PB1.T{n}=" for n in range(1, 5))
            assert not cord.startswith(microphones)


def test_least_gone_round_comes_before_natural_order():
    """Two ways level in all else: the jack of the lower number loses the second box as well."""
    sections = """
    equipment:
      S: {name: Source, outputs: [O]}
      A: {name: First, inputs: [I], outputs: [O], paths: straight}
      B: {name: Second, inputs: [I], outputs: [O], paths: straight}
      X: {name: End, inputs: [I]}
    bays:
      PB:
        name: Bay
        positions: 3
        normal: half
        points:
          1: {top: S.O, bottom: A.I}
          2: {top: A.O, bottom: B.I}
          3: {top: B.O, bottom: X.I}
    """
    (silenced,) = answer(sections, "B")["silenced"]
    cords = [patch["cords"] for patch in silenced["patches"]]
    assert cords[:2] == [["PB.T2=PB.B3"], ["PB.T1=PB.B3"]]


def test_cures_where_the_input_is_on_no_bay_or_its_normal_cannot_be_opened():
    """A direct line has no jack at all; a dead output wired straight to the input's jack stays."""
    direct = plant(
        """
        equipment:
          A: {name: A, outputs: [O]}
          X: {name: X, inputs: [I]}
          Y: {name: Y, inputs: [I]}
          B: {name: B, outputs: [O], inputs: [I], paths: straight}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: A.O, bottom: B.I}}}
        lines:
          L: {from: B.O, to: X.I}
        """
    )
    (silenced,) = outage(direct, read_failure(direct, ["B"])).silenced
    assert silenced.reason == "no free jack leads to the input"
    assert silenced.cure == "Wiring it to a bay, below a half-normal, would cure it."


def test_two_bays_of_one_name_are_told_apart():
    facility = plant("bays: {A: {name: Bay, positions: 1}, B: {name: Bay, positions: 1}}")
    with pytest.raises(RequestError, match="2 bays bear this name"):
        read_failure(facility, failed_bays=["Bay"])


def test_of_ways_side_by_side_each_jack_stands_foremost_a_few_times():
    """What is left out comes into no answer: the best pairs of cords are the same without it."""
    jacks = [Jack("PB", row, n) for row in "TB" for n in range(1, 9)]
    ways = sorted(
        (100 * (abs(one.position - other.position) // 3), (one, other))
        for one in jacks[:8]
        for other in jacks[8:]
    )
    kept = foremost(ways, 7)
    assert len(kept) < len(ways)

    def best_pairs(of):
        pairs = (
            (one[0] + other[0], sorted((one[1], other[1])))
            for one, other in itertools.combinations(of, 2)
            if not set(one[1]) & set(other[1])
        )
        return sorted(pairs)[:5]

    assert best_pairs(kept) == best_pairs(ways)
