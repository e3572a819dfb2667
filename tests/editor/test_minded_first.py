"""What can hurt or harm is told before the first plug moves, by everything that tells an outage."""

from __future__ import annotations

import pytest

from slinediag.chart.outages import bypass_table
from slinediag.chart.remedy import remedy
from slinediag.editor.outage_panel import answer_lines
from slinediag.papers.cards import card_pages
from slinediag.tracing.outage.values import Outage
from slinediag.tracing.outage.words import outage_lines
from tests.editor.test_outage_cut_short import texts
from tests.tracing.test_outage_told import answered

SPARE = """
equipment:
  M: {name: Microphone, label: MIC, outputs: {O: {level: -50, phantom: takes}}}
  N: {name: Microphone, label: SPARE, outputs: {O: {level: -50, phantom: takes}}}
  D: {name: Desk, label: DESK, priority: 1, inputs: {I: {phantom: gives, level: -50, instead: [N.O]}}}
  E: {name: Limiter, label: LIMITER, inputs: [I], outputs: [O], paths: straight, caution: too loud without}
  P: {name: Player, label: PLAYER, outputs: [O]}
  X: {name: Link, label: LINK, priority: 2, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1: {top: M.O, bottom: D.I}
      2: {top: N.O, normal: none}
      3: {top: P.O, bottom: E.I}
      4: {top: E.O, bottom: X.L}
"""
"""A spare microphone for an input that gives phantom power, and a limiter with a caution."""

PHANTOM = "phantom power from DESK I: switch it off, wait, then move the plug"


def of_the_command(found: Outage) -> str:
    return "\n".join(outage_lines(found))


def of_the_wall(found: Outage) -> str:
    ((_, words),) = bypass_table(found.facility, [found]).rows
    return words


def of_a_card(found: Outage) -> str:
    pages = card_pages(found.facility, outages=[found])
    words = " ".join(text for page in pages for text in texts(page.marks))
    return words[words.index("First, ") :]


def of_a_chart(found: Outage) -> str:
    told = remedy(found)
    return "\n".join((*told.before, *told.steps))


@pytest.mark.parametrize(
    ("failed", "caution", "step"),
    [("MIC", PHANTOM, "PB T2"), ("LIMITER", "too loud without", "PB T3")],
)
@pytest.mark.parametrize("told", [of_the_command, of_the_wall, of_a_card, of_a_chart])
def test_a_caution_stands_before_the_first_plug(told, failed, caution, step):
    words = told(answered(SPARE, failed))
    first = min(
        words.index(begun) for begun in (f"Plug in {step}", f"{step} to PB") if begun in words
    )
    assert caution in words[:first].replace("\n", " ")


@pytest.mark.parametrize(("failed", "caution"), [("MIC", PHANTOM), ("LIMITER", "too loud without")])
def test_the_editor_tells_it_before_the_patches_are_told_apart(failed, caution):
    lines = [words.strip() for words, _ in answer_lines(answered(SPARE, failed))]
    assert lines[0].startswith("All together")
    assert lines[1].startswith("MIND FIRST: ")
    assert caution in lines[1]


def test_a_patch_without_such_a_thing_has_no_such_section():
    words = of_the_command(answered(SPARE.replace(", caution: too loud without", ""), "LIMITER"))
    assert "MIND FIRST" not in words
