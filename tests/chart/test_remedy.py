"""What to do when something has failed: a chart under that trial tells the outage's patches."""

from __future__ import annotations

import shlex
from functools import cache

import pytest

from slinediag.chart.remedy import MOST_CORDS, NOTHING, NOTHING_MORE, remedy
from slinediag.chart.said import Remedy
from slinediag.cli.main import build_parser
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.output import chart_drawings
from slinediag.tracing.naming import read_trial
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.cost_words import cost_lines, mind_lines
from slinediag.tracing.outage.failure import Failure, outage_command, read_failure
from slinediag.tracing.outage.values import Outage
from slinediag.tracing.outage.words import outage_lines
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart import rules
from tests.chart.plants import station
from tests.chart.test_outages import CAUTIONED
from tests.tracing.test_outage_told import CHANGEOVER, ONE_JACK


@cache
def quillmoor() -> Facility:
    return load("samples/quillmoor.yaml").facility


def fails(box: str) -> Outage:
    return outage(quillmoor(), read_failure(quillmoor(), [box]))


def test_who_stays_silent_beside_the_others_is_said():
    """The player is on one jack; the cord there goes to the input of the higher priority."""
    facility = plant(ONE_JACK)
    told = remedy(outage(facility, read_failure(facility, ["DA"])))
    assert "STILL SILENT beside the others: SPEAKER L." in told.beside


def test_a_dead_limiter_is_gone_round_plug_by_plug():
    found = fails("LIMITER")
    told = remedy(found)
    first, second = told.steps[:2]
    assert first.startswith("Plug a 0.6 m cord into PB2 T13 (PGM DA 1L). Mind: the free plug")
    assert second == "The cord's other plug in PB2 B15 (LINK L): LINK L BACK."
    assert len(told.steps) == 8
    # What it costs, as the outage words it, from the caution filed with the box.
    assert [words[:35] for words in told.before] == ["Without LIMITER: peak limiting for "]
    assert not told.beside
    assert set(told.before) <= set(mind_lines(quillmoor(), found.together.by_hand))


def test_a_caution_is_read_before_the_first_plug_moves():
    (block, *_) = blocks(chart_drawings(plant(CAUTIONED), trial=Trial(failed=("LIM",)), **QUICK))
    assert block.startswith(
        "Do this • Without LIMITER: keeps the modulation legal. 1 Plug in PB T1"
    )
    assert block.count("keeps the modulation legal") == 1


QUICK = {"effort": "quick", "sheet": "one"}


def test_the_cords_told_bring_back_what_is_said_to_be_back():
    found = fails("LIMITER")
    told = remedy(found)
    cords = tuple(dict.fromkeys(step.cord for step in found.together.steps))
    assert len(cords) == MOST_CORDS
    answer = ask(quillmoor(), Trial(cords=cords, failed=("LIM",)))
    lost = [outcome.input for outcome in answer.inputs if outcome.change == "lost"]
    assert not lost
    assert sum("BACK" in step for step in told.steps) == len(found.silenced)


def test_more_cords_than_a_person_reads_off_a_chart_are_counted():
    found = fails("DESK")
    told = remedy(found)
    steps = found.together.by_hand.steps
    assert len(told.steps) == 2 * MOST_CORDS < len(steps)
    left = {port for step in steps[len(told.steps) :] for port in step.restores}
    command = "slinediag outage FILE --failed DESK"
    assert told.beside[0] == f"{len(left)} more inputs can be brought back, too: {command}"
    # The command takes no trial: what is tried has to stand in the file.
    (words, *_) = remedy(found, tried=True).beside
    assert words == f"With what is tried put into the file: {told.beside[0]}"
    # What the cords cost that are not told is not told.
    whole = cost_lines(found.facility, found.together.by_hand)
    assert any("CALL ED" in words for words in whole)
    assert not any("CALL ED" in words for words in (*told.before, *told.beside))


def test_who_suffers_of_patches_that_are_not_told_is_not_told():
    """Five recorders are dead, and a stand-in for the last is taken from the speaker."""
    numbers = range(1, MOST_CORDS + 2)
    last = numbers[-1]
    found = outage(
        facility := plant(
            "equipment:\n"
            f"  P: {{name: Programme, outputs: [{', '.join(map(str, numbers))}]}}\n"
            + "".join(
                f"  E{n}: {{name: Tuner {n}, outputs: [O]}}\n"
                f"  R{n}: {{name: Recorder {n}, priority: {n}, inputs: {{I: {{instead: [E{n}.O]}}}}}}\n"
                for n in numbers
            )
            + "  M: {name: Monitor, label: SPEAKER, inputs: [L]}\n"
            "bays:\n  PB:\n    name: Bay\n    positions: 12\n    points:\n"
            + "".join(f"      {n}: {{top: P.{n}, bottom: R{n}.I}}\n" for n in numbers)
            + "".join(f"      {n + 5}: {{top: E{n}.O, normal: none}}\n" for n in numbers[:-1])
            + f"      {last + 5}: {{top: E{last}.O, bottom: M.L, normal: full}}\n"
        ),
        read_failure(facility, ["P"]),
    )
    assert [each.input.equipment for each in found.together.by_hand.sufferers] == ["M"]
    told = remedy(found)
    assert len(told.steps) == 2 * MOST_CORDS
    assert told.beside[0].startswith("1 more input can be brought back")
    assert not any("SUFFERS" in words for words in told.beside)
    assert any("SUFFERS" in line for line in outage_lines(found))


def test_the_command_that_is_told_answers_for_what_has_failed():
    """Read as a shell reads it, with the names that have blanks in them."""
    failure = Failure(("DA1", "DESK"), ("PB1",), ("Master control",), ("S12/3",))
    program, *asked = shlex.split(outage_command(quillmoor(), failure))
    assert program == "slinediag"
    args = build_parser(asked).parse_args(asked)
    assert args.file == "FILE"
    assert (args.failed, args.failed_bay, args.failed_place, args.cut) == (
        ["PGM DA", "DESK"],
        ["PB1"],
        ["Master control"],
        ["S12/3"],
    )


def test_what_has_no_patch_is_said():
    told = remedy(fails("MIC 1"))
    assert not told.steps
    (words,) = told.beside
    assert words.startswith("NO PATCH: DESK MIC 1, DESK RTN 1 and VOICE PROC 1 in: ")


def test_where_nothing_is_silent_there_is_nothing_to_do():
    assert remedy(fails("DELAY")) == Remedy((), (NOTHING,))


def blocks(pages) -> list[str]:
    """What is said under the heading, page by page."""
    return [rules.block_words(page, "remedy") for page in pages]


def pages(**asked):
    return chart_drawings(station(), effort="quick", **asked)


@pytest.mark.parametrize("sheet", ["A4", "auto"])
def test_it_stands_on_the_first_page(sheet):
    first, *others = blocks(pages(trial=Trial(failed=("LIM",)), sheet=sheet))
    assert first.startswith("Do this • Without LIM: ")
    assert ". 1 Plug in " in first
    steps = remedy(outage(station(), Failure(boxes=("LIM",)))).steps
    assert len(steps) > 2
    for number, step in enumerate(steps, 1):
        assert f"{number} {step}" in first
    assert not any(others)


def test_a_cord_that_is_tried_already_is_not_told_again():
    found = outage(station(), Failure(boxes=("LIM",)))
    (cord, *_) = found.together.cords
    trial = Trial(cords=(cord,), failed=("LIM",))
    tried = blocks(pages(trial=trial))[0]
    back = found.together.steps[1].restores
    assert back
    for port in back:
        label = station().facts(port).label
        assert f"{label} BACK" in blocks(pages(trial=Trial(failed=("LIM",))))[0]
        assert tried.startswith("Do this ")
        assert f"{label} BACK" not in tried


def test_without_a_failure_nothing_is_to_be_done():
    trial = read_trial(station(), [("PB1.T1", "PB2.B3")], [], [], [])
    assert not any(blocks(pages(trial=trial)))


def test_a_failed_bay_has_it_too():
    failure = Failure(bays=("PB1",))
    first = blocks(pages(failure=failure))[0]
    assert first.startswith("Do this ")
    told = remedy(outage(station(), failure))
    assert told.beside
    for words in (*told.steps, *told.beside):
        assert words in first


def test_what_a_trial_silences_itself_is_not_denied():
    """The trial pulls the phones' only source; the failure of a box apart from that adds nothing."""
    facility = plant(APART)
    trial = Trial(plugs=(jack("PB.B1"),), failed=("DECK",))
    (page,) = chart_drawings(facility, trial=trial, effort="quick", sheet="one")
    block = rules.block_words(page, "remedy")
    assert NOTHING_MORE in block
    assert NOTHING not in block
    assert "PHONES" in rules.block_words(page, "words")
    (page,) = chart_drawings(facility, trial=Trial(failed=("DECK",)), effort="quick", sheet="one")
    assert NOTHING in rules.block_words(page, "remedy")


APART = """
equipment:
  P: {name: Player, outputs: [O]}
  PH: {name: Headphone amplifier, label: PHONES, priority: 1, inputs: [I]}
  DECK: {name: Deck, outputs: [O]}
bays:
  PB: {name: Bay, positions: 2, points: {1: {top: P.O, bottom: PH.I}, 2: {top: DECK.O}}}
"""


def test_with_nothing_silent_it_says_what_falls_back_to_what():
    facility = plant(CHANGEOVER)
    told = remedy(outage(facility, read_failure(facility, ["SW"])))
    assert told.beside == (NOTHING, "HEARS SOMETHING ELSE: LINK L: EMERG L instead of DISC L.")
