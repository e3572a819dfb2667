"""Where a search was cut short for inputs that have a patch, everything that tells an outage says so."""

from __future__ import annotations

from collections.abc import Callable

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
