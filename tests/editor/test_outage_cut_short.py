"""Where a search was cut short for inputs that have a patch, everything that tells an outage says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from slinediag.chart.outages import bypass_table, survey_table
from slinediag.chart.remedy import remedy
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.editor.outage_panel import answer_lines
from slinediag.papers.cards import card_pages
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.outage.values import Outage
from slinediag.tracing.outage.words import outage_lines
from tests.tracing.test_outage_told import answered

STANDING = """
equipment:
  P: {name: Programme, outputs: [1, 2]}
  DA: {name: Amplifier, inputs: [I], outputs: [1], paths: all}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: {L: {instead: [P.1]}}}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: P.1, bottom: X.L, normal: full}
      2: {top: P.2, bottom: DA.I, normal: full}
      3: {top: DA.1, normal: none}
cords: [{from: PB.T3, to: PB.B1}]
"""
"""The link is fed by a standing cord; pulling it, what is tried first, closes the normal again."""


def said_on_the_wall(found: Outage) -> list[str]:
    return [words for _, words in bypass_table(found.facility, [found]).rows]


def said_of_every_failure(found: Outage) -> list[str]:
    return [words for _, words in survey_table(survey(found.facility), [found]).rows]


def said_on_cards(found: Outage) -> list[str]:
    pages = card_pages(found.facility, outages=[found])
    return [" ".join(text for page in pages for text in texts(page.marks))]


def texts(marks: tuple[Mark, ...]) -> list[str]:
    """All that is written, in its order."""
    found = []
    for mark in marks:
        if isinstance(mark, Group):
            found += texts(mark.marks)
        elif isinstance(mark, Text):
            found.append(mark.text)
    return found


def said_on_a_chart_under_the_failure(found: Outage) -> list[str]:
    return [*remedy(found).beside]


def said_in_the_editor(found: Outage) -> list[str]:
    return [words for words, _ in answer_lines(found)]


@pytest.mark.parametrize("cut_short", [True, False])
@pytest.mark.parametrize(
    "said",
    [
        outage_lines,
        said_on_the_wall,
        said_of_every_failure,
        said_on_cards,
        said_on_a_chart_under_the_failure,
        said_in_the_editor,
    ],
)
def test_a_search_cut_short_is_said_of_inputs_that_have_a_patch(
    said: Callable[[Outage], list[str]], cut_short: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if cut_short:
        monkeypatch.setattr("slinediag.tracing.outage.search.WORK", 1)
    found = answered(STANDING, "DA")
    (silenced,) = found.silenced
    assert silenced.patches
    words = "NOT EVERY PAIR OF CORDS was tried for LINK L: there may be a better way."
    told = said(found)
    assert any(words in each for each in told) == cut_short
    assert ("NOT EVERY" in " ".join(told)) == cut_short


KEPT_ON_STANDBY = """
equipment:
  P: {name: Player, outputs: [O]}
  E: {name: Alert player, outputs: {O: {standby: true}}}
  D:
    name: Desk
    inputs: [R, M, N]
    outputs: [S, G]
    paths: {S: [N], G: [R]}
    bypass: {S: [M]}
  U: {name: Unit, inputs: [I], outputs: [O], paths: straight}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 5
    points:
      1: {top: E.O, bottom: D.M}
      2: {top: P.O, bottom: D.N}
      3: {top: D.S, bottom: U.I}
      4: {top: U.O, bottom: D.R}
      5: {top: D.G, bottom: X.L}
"""


@pytest.mark.parametrize(
    "said", [outage_lines, said_on_a_chart_under_the_failure, said_in_the_editor]
)
def test_of_what_leads_only_to_what_has_failed_it_is_said_alone_that_nothing_is_to_be_plugged(said):
    """The unit in the desk's insert hears the alert past the dead desk, and leads only to it."""
    found = answered(KEPT_ON_STANDBY, "D")
    (unit,) = (each for each in found.silenced if not each.missed)
    assert unit.hears_after
    silenced = tuple(replace(each, cut_short=True) for each in found.silenced)
    told = [line.strip() for line in said(replace(found, silenced=silenced))]
    assert "Nothing to plug for U I: it leads only to what has failed." in told
    assert not [line for line in told if "U I" in line and "on standby" in line]
    assert not [line for line in told if "U I" in line and "NOT EVERY" in line]
