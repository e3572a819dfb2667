"""Outages on the wall: for each box on the way to a priority input, the patch that goes round it."""

from __future__ import annotations

import re
from functools import cache

import pytest

import slinediag
from slinediag.chart.outages import bypass_table, survey_table
from slinediag.cli.main import main
from slinediag.tracing.outage.answer import outage as outage_of
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.prepared import prepared_outages
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.phrases import port_name
from tests.builders import plant
from tests.tracing.test_outage_told import CHANGEOVER, ONE_JACK
from tests.tracing.test_outage_words import TOO_LOW

CHAIN = """
equipment:
  PLY: {name: Player, outputs: [L]}
  LIM: {name: Limiter, label: LIMITER, inputs: [L], outputs: [L], paths: straight}
  XMIT: {name: Link, inputs: [L], priority: 1}
  SPK: {name: Loudspeaker, inputs: [I]}
  DECK: {name: Deck, outputs: [O]}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: PLY.L, bottom: LIM.L}
      2: {top: LIM.L, bottom: XMIT.L}
      3: {top: DECK.O, bottom: SPK.I}
"""


@cache
def larkfen():
    return slinediag.load("samples/larkfen.yaml")


def test_only_boxes_on_the_way_to_a_priority_input_are_prepared_for():
    outages = prepared_outages(plant(CHAIN))
    assert [outage.failure.boxes for outage in outages] == [("PLY",), ("LIM",)]


def test_each_row_says_what_to_patch_or_that_there_is_no_patch():
    facility = plant(CHAIN)
    table = bypass_table(facility, prepared_outages(facility))
    # In natural order of their labels, not of their ids.
    assert table.rows == (
        ("LIMITER", "PB T1 to PB B2: XMIT L back."),
        ("PLY", "NO PATCH for XMIT L."),
    )


@pytest.mark.parametrize("sample", ["larkfen", "quillmoor"])
def test_of_a_box_without_a_row_it_is_said_that_no_input_of_a_priority_falls_silent(sample):
    """Each such box is taken as failed through ask, which knows nothing of outages."""
    facility = slinediag.load(f"samples/{sample}.yaml")
    table = bypass_table(facility, prepared_outages(facility))
    delay = "audio passes DELAY by its bypass, without what it does: seven seconds to cut what must"
    passing = {"DELAY": f"CAUTION: {delay} not go out."} if sample == "quillmoor" else {}
    assert {box: words for box, words in table.rows if words in passing.values()} == passing
    assert table.closing == (
        (
            "Any other",
            "No input of a priority falls silent but its own; what some of them hear may change.",
        ),
        ("Outage cards", "A paper of their own beside this chart: all patches, plug by plug."),
    )
    assert any("outage cards" in words for _, words in table.rows)
    told = {label for label, _ in table.rows}
    others = [b for b in facility.equipment.values() if not b.removed and b.printed not in told]
    assert len(others) > 5
    for box in others:
        for each in slinediag.ask(facility, failed=[box.id]).inputs:
            ranked = facility.facts(each.input).priority is not None
            assert each.hears_after or not ranked, (box.id, each.input)


def test_where_no_box_has_a_row_it_is_said_of_any():
    unranked = plant(CHAIN.replace(", priority: 1", ""))
    assert bypass_table(unranked, prepared_outages(unranked)).closing == ()
    fed_twice = plant(FED_TWICE)
    table = bypass_table(fed_twice, prepared_outages(fed_twice))
    assert table.rows == ()
    assert [label for label, _ in table.closing] == ["Any box"]


TWO_OF_ONE_BOX = """
equipment:
  DESK: {name: Desk, outputs: [PGM, AUX, CLEAN]}
  MIX: {name: Mixer, inputs: ["1", "2"], outputs: [O], paths: all}
  XMIT: {name: Transmitter, label: LINK, priority: 1, inputs: [I]}
bays:
  PB1:
    name: Sources
    positions: 6
    normal: half
    points:
      1-2: {top: [DESK.PGM, DESK.CLEAN], bottom: [MIX.1, MIX.2]}
      4: {top: MIX.O, bottom: XMIT.I}
"""


def test_of_a_box_of_which_only_some_outputs_are_heard_these_are_named():
    facility = plant(TWO_OF_ONE_BOX)
    row = dict(bypass_table(facility, prepared_outages(facility)).rows)["MIX"]
    (outcome,) = outage_of(facility, Failure(boxes=("MIX",))).together.by_hand.outcomes
    (heard,) = outcome.hears
    assert f"only {port_name(facility, heard)} heard" in row


def test_a_row_names_what_only_listens_and_is_silent_too():
    """A meter beside the link that is back: not taken for another fault."""
    metered = CHAIN.replace("  SPK:", "  METER: {name: Meter, inputs: [L]}\n  SPK:").replace(
        "4\n", "5\n", 1
    )
    facility = plant(
        f"{metered}      4: {{bottom: METER.L}}\nnormals: [{{from: PB.T2, to: PB.B4}}]\n"
    )
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert rows["LIMITER"] == "PB T1 to PB B2: XMIT L back. Silent, too: METER L."
    # The limiter's own input is silent when the player fails, and nobody listens there.
    assert rows["PLY"] == "NO PATCH for XMIT L. Silent, too: METER L."


FED_TWICE = """
equipment:
  A: {name: Player, outputs: [O]}
  B: {name: Player, outputs: [O]}
  X: {name: Link, inputs: [I], priority: 1}
bays:
  PB:
    name: Bay
    positions: 2
    points:
      1: {top: A.O, bottom: X.I, normal: parallel}
      2: {top: B.O, normal: none}
mults:
  M: [PB.T1, PB.T2]
"""

RANKED = """
equipment:
  A1: {name: Deck, outputs: [O]}
  A2: {name: Deck, outputs: [O]}
  A10: {name: Deck, outputs: [O]}
  Z: {name: Player, outputs: [O]}
  LOW: {name: Recorder, inputs: [I, J], priority: 2}
  HIGH: {name: Link, inputs: [I], priority: 1}
  SPK: {name: Loudspeaker, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1-4: {top: [A10.O, A2.O, Z.O, A1.O], bottom: [LOW.I, LOW.J, HIGH.I, SPK.I]}
"""


def test_rows_stand_by_name_as_one_looks_for_the_dead_box():
    facility = plant(RANKED)
    boxes = [label for label, _ in bypass_table(facility, prepared_outages(facility)).rows]
    assert boxes == ["A2", "A10", "Z"]
    every = [label for label, _ in survey_table(survey(facility)).rows]
    assert every[:5] == ["A1", "A2", "A10", "bay PB", "Z"]


def test_the_table_of_all_keeps_the_patches_of_the_boxes():
    facility = plant(CHAIN)
    prepared = prepared_outages(facility)
    rows = dict(survey_table(survey(facility), prepared).rows)
    assert rows["LIMITER"] == "XMIT L silent. PB T1 to PB B2: XMIT L back. A patch for it."
    assert rows["PLY"].endswith("NO PATCH.")
    for label, words in bypass_table(facility, prepared).rows:
        patch = words.partition("NO PATCH")[0].strip()
        assert patch in rows[label]


CAUTIONED = CHAIN.replace("label: LIMITER,", "label: LIMITER, caution: keeps the modulation legal,")


def test_a_patch_that_goes_round_a_box_with_a_caution_says_it_in_its_row():
    facility = plant(CAUTIONED)
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert rows["LIMITER"].startswith("CAUTION: keeps the modulation legal. PB ")


def test_each_row_has_every_caution_of_what_its_patches_leave_out():
    """Asked of a trial with the cords that a row names."""
    facility = slinediag.load("samples/quillmoor.yaml")
    outages = {
        facility.equipment[o.failure.boxes[0]].printed: o for o in prepared_outages(facility)
    }
    told = set()
    for label, words in bypass_table(facility, tuple(outages.values())).rows:
        if " back." not in words:
            continue
        dead = outages[label].failure.boxes
        cords = re.findall(r"(?:^|, )([^:,]+? to [^:,]+)", words.partition(" back.")[0])
        answer = slinediag.ask(facility, cords=[tuple(c.split(" to ")) for c in cords], failed=dead)
        for box in {round_.equipment for round_ in answer.gone_round}:
            known = facility.equipment[box]
            without = "" if (box,) == dead else f", without {known.printed}"
            assert f"CAUTION{without}: {known.caution}" in words, (label, box)
            told.add(label)
    assert len(told) > 1


@pytest.mark.parametrize("sample", ["larkfen"])
def test_what_a_row_says_restores_does_so(sample):
    """Each patch of the wall's list, put in through ask on the failed plant, is heard."""
    facility = slinediag.load(f"samples/{sample}.yaml")
    for outage in prepared_outages(facility):
        together = outage.together
        answer = slinediag.ask(
            facility,
            cords=[(str(a), str(b)) for a, b in together.cords],
            pulls=[(str(a), str(b)) for a, b in together.pulls],
            failed=outage.failure.boxes,
        )
        lost = {each.input for each in answer.inputs if each.change == "lost"}
        assert together.restores
        assert not lost & set(together.restores)


def test_a_row_names_no_more_cords_than_one_reads_off_a_wall():
    facility = larkfen()
    (desk,) = bypass_table(facility, prepared_outages(facility)).rows
    cords, _, _ = desk[1].partition(":")
    assert len(cords.split(", ")) <= 4
    assert "outage cards" in desk[1]


def test_the_table_of_all_has_every_single_failure_once():
    facility = larkfen()
    found = survey(facility)
    rows = survey_table(found).rows
    silent = [row for row in found.rows if row.silenced]
    assert len(rows) == len(silent) + 1
    named = rows[-1][1]
    for row in found.rows:
        if not row.silenced:
            label = row.failure.named[0]
            box = facility.equipment.get(label)
            assert (box.printed if box else label) in named


def test_a_row_says_what_is_heard_where_that_is_a_part():
    """In the fewest names: what is heard or, where that is less, what is not."""
    facility = slinediag.load("samples/quillmoor.yaml")
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert "LINK R, LOGGER 2 and STREAM R back in part, only PLAYOUT AR heard;" in rows["DESK"]
    mixed = plant(MIXED)
    rows = dict(bypass_table(mixed, prepared_outages(mixed)).rows)
    assert rows["AMP"] == "PB T4 to PB B6: LINK L back in part, without TAPE 3."


def test_of_many_sources_the_strip_at_the_cord_tells_what_is_heard():
    """Twelve microphones by two mixers: what one of them sends is what a person finds there."""
    names = range(1, 13)
    mics = "".join(f"  M{n}: {{name: Microphone, label: MIC {n}, outputs: [O]}}\n" for n in names)
    tops = ", ".join(f"{n}: {{top: M{n}.O, bottom: {'S' if n < 7 else 'Z'}.I{n}}}" for n in names)
    ins = [", ".join(f"I{n}" for n in some) for some in (names[:6], names[6:])]
    facility = plant(
        f"""
equipment:
{mics}  S: {{name: Mixer, label: SUB, inputs: [{ins[0]}], outputs: [O], paths: all}}
  Z: {{name: Mixer, label: ZOOM, inputs: [{ins[1]}], outputs: [O], paths: all}}
  AMP: {{name: Mixer, label: AMP, inputs: [A, B], outputs: [O], paths: all}}
  X: {{name: Transmitter, label: LINK, inputs: [L], priority: 1}}
bays:
  PB:
    name: Bay
    positions: 15
    points: {{{tops}, 13: {{top: S.O, bottom: AMP.A}}, 14: {{top: Z.O, bottom: AMP.B}},
             15: {{top: AMP.O, bottom: X.L}}}}
"""
    )
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert rows["AMP"] == "PB T14 to PB B15: LINK L back in part, only what is at ZOOM O."


MIXED = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  TAPE: {name: Recorder, label: TAPE, outputs: ["1", "2", "3"]}
  SUB: {name: Mixer, inputs: [A, B, C], outputs: [O], paths: all}
  AMP: {name: Mixer, label: AMP, inputs: [A, B], outputs: [O], paths: all}
  X: {name: Transmitter, label: LINK, inputs: [L], priority: 1}
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: MIC.O, bottom: SUB.A}
      2: {top: TAPE.1, bottom: SUB.B}
      3: {top: TAPE.2, bottom: SUB.C}
      4: {top: SUB.O, bottom: AMP.A}
      5: {top: TAPE.3, bottom: AMP.B}
      6: {top: AMP.O, bottom: X.L}
"""


def words_of(svg: str) -> str:
    return " ".join(re.findall(r"<text[^>]*>([^<]*)<", svg))


def test_a_wall_chart_lists_the_patches_and_a_quick_one_does_not(tmp_path):
    for effort, heading in (("thorough", True), ("quick", False)):
        path = tmp_path / f"{effort}.svg"
        assert main(["draw", "samples/larkfen.yaml", "-o", str(path), "--effort", effort]) == 0
        assert ("If a box fails" in words_of(path.read_text(encoding="utf-8"))) == heading


def test_the_table_of_all_goes_on_the_chart_on_request(tmp_path):
    path = tmp_path / "all.svg"
    arguments = ["draw", "samples/larkfen.yaml", "-o", str(path), "--effort", "quick", "--outages"]
    assert main(arguments) == 0
    words = words_of(path.read_text(encoding="utf-8"))
    assert "Every single failure" in words
    assert "FAR L back in part, only " in words
    assert "bay LB" in words
    assert "cable A2" in words


def test_a_png_has_the_pixels_that_are_asked_for(tmp_path):
    sizes = []
    for dpi in (25, 50):
        path = tmp_path / f"{dpi}.png"
        arguments = ["draw", "samples/larkfen.yaml", "-o", str(path), "--effort", "quick"]
        assert main([*arguments, "--dpi", str(dpi)]) == 0
        header = path.read_bytes()[16:24]
        sizes.append(int.from_bytes(header[:4], "big"))
    assert sizes[1] == pytest.approx(2 * sizes[0], abs=1)


@pytest.mark.parametrize("dpi", ["0", "100000", "many", "nan"])
def test_an_impossible_fineness_is_refused(dpi, tmp_path, capsys):
    path = tmp_path / "c.png"
    try:
        status = main(["draw", "samples/larkfen.yaml", "-o", str(path), "--dpi", dpi])
    except SystemExit as stopped:  # What is no number is refused as the arguments are read.
        status = stopped.code
    assert status == 2
    assert "dpi" in capsys.readouterr().err
    assert not path.exists()


def test_the_table_of_all_says_what_each_patch_is_worth():
    facility = larkfen()
    found = survey(facility)
    rows = dict(survey_table(found).rows)
    # The desk's returns have the recorder's tracks; each is fed with one of the many it heard.
    assert rows["TRACKS"].endswith(
        "A patch for each alone. Only in part: DESK TRACK 1, DESK TRACK 2, DESK TRACK 3 and 5 more."
    )
    assert rows["COMP"] == "DESK RTN 1 silent. A patch for it."
    for row in found.rows:
        for fallen in row.silenced:
            if fallen.remedy is None:
                continue
            answer = slinediag.ask(
                facility,
                cords=[tuple(map(str, cord)) for cord in fallen.remedy.cords],
                pulls=[tuple(map(str, cord)) for cord in fallen.remedy.pulls],
                failed=row.failure.boxes,
            )
            (then,) = [o for o in answer.inputs if o.input == fallen.input] or [None]
            less = then is not None and set(then.hears_before) - set(then.hears_after)
            assert bool(less) == (fallen.remedy.manner != "all")


def test_where_not_all_was_tried_the_wall_claims_no_more(monkeypatch):
    facility = plant(CHAIN)
    monkeypatch.setattr("slinediag.tracing.outage.search.WORK", 1)
    outages = prepared_outages(facility)
    for table in (bypass_table(facility, outages), survey_table(survey(facility), outages)):
        words = dict(table.rows)["LIMITER"]
        assert words.endswith("NO PATCH FOUND for XMIT L, but not every pair of cords was tried.")
    single = dict(survey_table(survey(facility, moves=1)).rows)["LIMITER"]
    assert single.endswith("NO PATCH FOUND for XMIT L, but not every cord was tried.")
    found = dict(survey_table(survey(facility)).rows)
    assert found["PLY"].endswith("NO PATCH.")  # no source is left, whatever is tried


def test_the_table_of_all_names_nobody_as_silent_beside_patches_it_does_not_name():
    facility = plant(ONE_JACK)
    rows = dict(survey_table(survey(facility), prepared_outages(facility)).rows)
    assert rows["DA"] == (
        "LINK L and SPEAKER L silent. PB T1 to PB B2: LINK L back. A patch for each alone."
    )
    ranked = plant(ONE_JACK.replace("SPEAKER,", "SPEAKER, priority: 2,"))
    prepared = prepared_outages(ranked)
    for table in (survey_table(survey(ranked), prepared), bypass_table(ranked, prepared)):
        assert "STILL SILENT beside the others: SPEAKER L." in dict(table.rows)["DA"]


def test_no_row_of_the_table_of_all_says_beside_whom_where_no_patch_is_named():
    facility = slinediag.load("samples/quillmoor.yaml")
    rows = dict(survey_table(survey(facility), prepared_outages(facility)).rows)
    assert rows["OFF AIR DA"].endswith("NO PATCH for LOGGER 3 and LOGGER 4.")
    for words in rows.values():
        assert " back" in words or "STILL SILENT" not in words


def test_a_row_of_the_table_of_all_promises_no_patch_to_what_leads_only_to_what_has_failed():
    """The voice processor's way back to the desk runs in the cable that fails."""
    facility = slinediag.load("samples/quillmoor.yaml")
    found = survey(facility)
    rows = dict(survey_table(found, prepared_outages(facility)).rows)
    assert rows["cable R1"] == (
        "DESK RTN 1 and DESK RTN 2 silent. A patch for each alone. Nothing to plug for "
        "VOICE PROC 1 in and VOICE PROC 2 in: they lead only to what has failed."
    )
    for row in found.rows:
        nowhere = [f.input for f in row.silenced if not f.missed]
        label = row.failure.named[0] if not row.failure.boxes else None
        if nowhere and label is not None:
            before, _, after = rows[label].partition("Nothing to plug for ")
            assert after.startswith(port_name(facility, nowhere[0]))
            assert not any(f"{port_name(facility, port)} " in before for port in nowhere)
    assert "Nothing to plug for" in rows["bay PB2"]


def test_what_falls_back_to_something_else_has_a_row_though_nothing_is_silent():
    facility = plant(CHANGEOVER)
    table = survey_table(survey(facility), prepared_outages(facility))
    assert dict(table.rows)["SW"] == "HEARS SOMETHING ELSE: LINK L: EMERG L instead of DISC L."
    assert "SW" not in table.rows[-1][1]


def test_a_level_that_does_not_fit_is_said_on_the_wall():
    facility = plant(TOO_LOW)
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert rows["P"] == (
        "CAUTION: level -24.0 dB at LINK L: set it. PB T2 to PB B1: LINK L back, but with EMERG L."
    )


def test_a_level_that_does_not_fit_is_said_once():
    """The limiter's input is restored with the link, so that its level is told as an input's."""
    facility = plant(
        """
        equipment:
          P: {name: Programme, outputs: [O]}
          E: {name: Emergency player, label: EMERG, outputs: {L: {level: -20}}}
          LIM: {name: Limiter, label: LIMITER, inputs: {I: {instead: [E.L]}}, outputs: [O], paths: straight}
          X: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [E.L]}}}
        bays:
          PB:
            name: Bay
            positions: 3
            points:
              1: {top: P.O, bottom: LIM.I}
              2: {top: LIM.O, bottom: X.L}
              3: {top: E.L, normal: none}
        """
    )
    rows = dict(bypass_table(facility, prepared_outages(facility)).rows)
    assert rows["P"] == (
        "CAUTION: level -24.0 dB at LIMITER I: set it. "
        "PB T3 to PB B1: LINK L back, but with EMERG L."
    )
