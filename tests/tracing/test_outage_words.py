"""What a person reads under stress: what is silent, what to do plug by plug, what it costs."""

from __future__ import annotations

import slinediag
from slinediag.chart.outages import survey_table
from slinediag.cli.outage import wrapped
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import read_failure
from slinediag.tracing.outage.no_patch_words import TIED
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.outage.survey_words import survey_lines
from slinediag.tracing.outage.words import outage_lines
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from slinediag.tracing.words import sentences
from tests.builders import plant

CHAIN = """
equipment:
  PLY: {name: Player, label: DISC, outputs: [L]}
  EMG: {name: Emergency player, label: EMERG, outputs: {L: {level: -20}}}
  LIM: {name: Limiter, label: LIMITER, inputs: [L], outputs: [L], paths: straight, caution: peak limiting}
  XMIT: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [EMG.L]}}}
  MON: {name: Monitor, label: SPEAKER, inputs: [L]}
bays:
  PB2:
    name: Programme
    positions: 4
    points:
      1: {top: PLY.L, bottom: LIM.L, normal: half}
      2: {top: LIM.L, bottom: XMIT.L, normal: full}
      3: {top: EMG.L, normal: none}
      4: {bottom: MON.L}
normals:
  - {from: PB2.T1, to: PB2.B4}
"""


def lines(*failed, **options):
    facility = plant(CHAIN)
    return outage_lines(outage(facility, read_failure(facility, failed, **options)))


def check(found, *expected):
    """The expected lines stand in this order, others perhaps between them."""
    place = -1
    for text in expected:
        place = next((n for n in range(place + 1, len(found)) if text in found[n]), None)
        assert place is not None, f"{text!r} is missing, or stands too early, in\n" + "\n".join(
            found
        )


def test_silence_first_then_what_to_mind_then_what_to_do():
    check(
        lines("LIM"),
        "SILENT when LIMITER fails:",
        "priority 1: LINK L",
        "MIND FIRST:",
        "Without LIMITER: peak limiting.",
        "DO THIS:",
        "1. Plug in PB2 T1 (DISC L): taps the half-normal of PB2 1",
        "2. The cord's other plug in PB2 B2 (LINK L): LINK L BACK; breaks the full-normal of PB2 2",
        "OTHER WAYS",
        "LINK L: ",
        "ONCE IT IS MENDED:",
        "1. Pull the plug from PB2 B2 (LINK L): the full-normal of PB2 2 closes",
    )


def test_a_stand_in_goes_through_the_limiter_and_costs_are_said():
    check(
        lines("PLY"),
        "DO THIS:",
        "PB2 T3 (EMERG L)",
        "PB2 B1 (LIMITER L)",
        "WHAT IT COSTS:",
        "LIMITER L in: SUFFERS, EMERG L heard there.",
        "LINK L: only EMERG L heard there, instead of DISC L.",
        "NO PATCH:",
        "SPEAKER L: nothing that may be heard there is on a working jack.",
        "OTHER WAYS",
        "LINK L (EMERG L instead): ",
    )


TOO_LOW = """
equipment:
  P: {name: Programme, outputs: [O]}
  E: {name: Emergency player, label: EMERG, outputs: {L: {level: -20}}}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [E.L]}}}
bays:
  PB:
    name: Bay
    positions: 2
    points: {1: {top: P.O, bottom: X.L}, 2: {top: E.L, normal: none}}
"""
"""A player that may stand in at the transmitter, 24 dB below what this wants."""


def test_a_level_that_does_not_fit_is_said():
    facility = plant(TOO_LOW)
    check(
        outage_lines(outage(facility, read_failure(facility, ["P"]))),
        "MIND FIRST:",
        "LINK L: level -24.0 dB. Set it before it goes out, or put a preamplifier between.",
        "DO THIS:",
    )


def test_inputs_of_one_reason_share_a_line_and_moves_are_cords():
    facility = slinediag.load("samples/quillmoor.yaml")
    check(
        outage_lines(outage(facility, read_failure(facility, ["TUN"]))),
        "NO PATCH:",
        "LOGGER 3, LOGGER 4, OFF AIR DA L",
    )
    check(
        outage_lines(outage(facility, read_failure(facility, ["DA2"]))),
        "DO THIS:",
        "NO PATCH:",
        f"LOGGER 3 and LOGGER 4: {TIED}.",
        "ONCE IT IS MENDED:",
        "FOR THE WORKSHOP",
        "LOGGER 3 and LOGGER 4: Half-normals to PB3 B7 and PB3 B8 would let plugs there take them off",
    )


def test_nothing_falls_silent():
    facility = plant(CHAIN.replace("paths: straight", "paths: straight, bypass: straight"))
    found = outage_lines(outage(facility, read_failure(facility, ["LIM"])))
    assert found == [
        "Nothing falls silent when LIMITER fails.",
        "CAUTION: audio passes LIMITER by its bypass, without what it does: peak limiting.",
    ]


def test_a_box_that_audio_passes_by_its_bypass_is_told_with_what_it_no_longer_does():
    """Common practice: a relay round a limiter or a profanity delay keeps the station on the air,
    and what the box did for safety or the law is not done."""
    facility = plant(CHAIN.replace("paths: straight", "paths: straight, bypass: straight"))
    words = "CAUTION: audio passes LIMITER by its bypass, without what it does: peak limiting."
    assert words in sentences(ask(facility, Trial(failed=("LIM",))))
    assert words not in sentences(ask(facility, Trial()))
    assert f"When LIMITER fails: {words}" in survey_lines(survey(facility))
    assert words not in sentences(ask(plant(CHAIN), Trial(failed=("LIM",))))


def test_bays_places_and_cables_are_named_as_such():
    facility = plant(CHAIN.replace("bottom: XMIT.L", "bottom: {to: XMIT.L, cable: C1}"))
    cut = outage_lines(outage(facility, read_failure(facility, cut=["C1"])))
    bay = outage_lines(outage(facility, read_failure(facility, failed_bays=["PB2"])))
    assert cut[0] == "SILENT when cable C1 fails:"
    assert bay[0] == "SILENT when bay PB2 fails:"
    both = outage_lines(outage(facility, read_failure(facility, ["PLY"], failed_bays=["PB2"])))
    assert both[0] == "SILENT when DISC and bay PB2 fail:"
    check(cut, "NO PATCH:", "LINK L: no free jack leads there.", "WORKSHOP", "A spare pair")


def test_weak_points_come_first_with_their_cure():
    found = survey_lines(survey(plant(CHAIN)))
    check(
        found, "WEAK POINTS", "LINK L (priority 1), when bay PB2 fails", "FAILS", "LIM", "bay PB2"
    )
    assert "would cure it" in found[1]
    assert found[-1].startswith("Nothing falls silent when one of these fails: ")
    table = [line.split("  ")[0].strip() for line in found[found.index("") + 3 : -1]]
    # Boxes by their printed labels, then bays, then cables.
    assert table == ["DISC", "LIMITER", "bay PB2"]


INSERTED = """
equipment:
  D: {name: Desk, inputs: [R], outputs: [S]}
  U: {name: Unit, inputs: [I], outputs: [O], paths: straight}
bays:
  PB:
    name: Bay
    positions: 2
    points:
      1: {top: D.S, bottom: U.I}
      2: {top: U.O, bottom: D.R}
"""


def test_a_desk_that_silences_its_insert_alone_is_told_alike_for_itself_among_all_and_on_the_wall():
    facility = plant(INSERTED)
    nowhere = "Nothing to plug for U I: it leads only to what has failed."
    assert outage_lines(outage(facility, read_failure(facility, ["D"]))) == [
        "SILENT when D fails:",
        f"  {nowhere}",
    ]
    assert (
        "Nothing to plug when one of these fails, since what falls silent leads only to what has "
        "failed: D."
    ) in survey_lines(survey(facility))
    rows = dict(survey_table(survey(facility)).rows)
    assert rows["D"] == nowhere
    assert "D" not in rows.get("Nothing silent", "")


def test_a_plant_without_weak_points_says_so():
    facility = plant(
        """
        equipment:
          A: {name: A, outputs: [O]}
        """
    )
    assert survey_lines(survey(facility))[0].startswith("No weak point")


def test_costs_are_told_of_patches_that_only_stand_beside_others():
    """With its own source taken by another patch, an input gets a second best, and that is said."""
    facility = slinediag.load("samples/larkfen.yaml")
    found = outage(facility, read_failure(facility, ["REC"]))
    (track,) = (s for s in found.silenced if facility.spelled(s.input) == "CON.T6")
    assert not any({*patch.cords} <= {*found.together.cords} for patch in track.patches)
    check(outage_lines(found), "WHAT IT COSTS:", "DESK TRACK 6: only MIC 3 heard there.")


def test_the_cord_to_take_is_said_where_the_stock_is_filed():
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage(facility, read_failure(facility, ["LIM"]))
    check(outage_lines(found), "1. Plug a 0.6 m cord into PB2 T13", "2. The cord's other plug in")
    assert found.to_dict()["together"]["steps"][0]["length"] == 0.6


def test_lines_are_wrapped_between_jacks_and_words():
    line = "  12. " + "PB2 T1 to PB2 B14; or " * 12
    pieces = wrapped(line)
    assert len(pieces) > 2
    assert " ".join(piece.strip() for piece in pieces) == line.strip()
    assert all(
        len(piece) <= 100 and not piece.startswith(("      T", "      B")) for piece in pieces
    )
    assert all(piece.startswith(" " * 6) for piece in pieces[1:])
    assert wrapped("") == [""]


def test_weak_points_of_one_failure_and_reason_share_a_line():
    """Under one bay all inputs wired to it alone; the jacks of what is tied are named together."""
    found = survey_lines(survey(slinediag.load("samples/quillmoor.yaml")))
    points = found[: found.index("")]
    (bay,) = (line for line in points if "when bay PB2 fails: no free jack" in line)
    assert bay.startswith("  LINK L and LINK R (priority 1), LOGGER 1 and LOGGER 2 (priority 2), ")
    assert "PRESS (priority 8), when bay PB2 fails" in bay
    (tied,) = (line for line in points if "when PGM DA or cable R3 fails" in line)
    assert "LOGGER 1 and LOGGER 2" in tied
    assert "Half-normals to PB2 B21 and PB2 B22 would let plugs there take them off." in tied


def test_the_table_tells_what_is_back_as_it_was_from_what_is_back_in_part():
    found = survey_lines(survey(slinediag.load("samples/larkfen.yaml")))
    rows = {line[:10].strip(): line.split() for line in found[found.index("") + 3 :]}
    # Of the desk's 15 silent inputs two lead only to it; all others are fed by part of the tracks.
    assert rows["DESK"] == ["DESK", "13", "0", "13", "\N{EN DASH}"]
    assert rows["EFFECT"] == ["EFFECT", "2", "2", "0", "\N{EN DASH}"]


def test_what_a_plug_brings_back_is_named_by_priority():
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage_lines(outage(facility, read_failure(facility, ["DA1"])))
    check(found, "DO THIS:", "(LIMITER L): LINK L, LIMITER L in and METER L BACK;")


def test_inputs_that_have_the_same_other_ways_share_a_line():
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage_lines(outage(facility, read_failure(facility, ["DESK"])))
    ways = found[found.index("OTHER WAYS, the best first:") + 1 :]
    assert ways[0].startswith("  LINK L, LOGGER 1, STREAM L, PRESS, ")
    assert len({line.partition(": ")[2] for line in ways if " to PB2 B9 (" in line}) == len(
        [line for line in ways if " to PB2 B9 (" in line]
    )


def test_advice_for_the_workshop_comes_last_and_of_inputs_of_a_priority_alone():
    facility = slinediag.load("samples/quillmoor.yaml")
    tied = outage_lines(outage(facility, read_failure(facility, ["DA1"])))
    assert tied[-2:-1] == ["FOR THE WORKSHOP, another day:"]
    assert not any("half-normal to" in line.lower() for line in tied[: tied.index("DO THIS:")])
    spared = outage_lines(outage(facility, read_failure(facility, ["MIC1"])))
    assert not any("WORKSHOP" in line for line in spared)
    found = plant(ONE_SOURCE)
    assert any(
        "WORKSHOP" in line for line in outage_lines(outage(found, read_failure(found, ["A"])))
    )


ONE_SOURCE = """
equipment:
  A: {name: Player, outputs: [O]}
  B: {name: Monitor, inputs: [I]}
bays:
  PB: {name: Bay, positions: 1, points: {1: {top: A.O, bottom: B.I}}}
"""
"""A facility without priorities."""


def test_what_is_to_be_noted_of_all_other_ways_is_said_once():
    facility = slinediag.load("samples/larkfen.yaml")
    found = outage_lines(outage(facility, read_failure(facility, ["REC"])))
    ways = found[found.index("OTHER WAYS, the best first:") + 1 :]
    assert ways[0] == (
        "  DESK TRACK 1 (not all it heard): LB T4 to LB B9; or LB T2 to LB B9; or LB T3 to LB B9; "
        "or LA T8 to LB B9"
    )
    facility = slinediag.load("samples/quillmoor.yaml")
    found = outage_lines(outage(facility, read_failure(facility, ["DA1"])))
    # Where some ways have a note and others none, each has its own.
    check(found, "OTHER WAYS", "LINK L: PB2 T9 to PB2 B13; or PB2 T11 to PB2 B15; or PB2 T9 to")
    assert any("PB2 T29 to PB2 B13 (DESK AUD L instead)" in line for line in found)
    # One has a note more.
    assert any("; or PB2 T3 to PB2 B2 (level -24.0 dB)" in line for line in lines("PLY"))
