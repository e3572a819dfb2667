"""Findings beside the chart: those of slinediag check, each with its place, accepted in words."""

from __future__ import annotations

import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.checks.check import check
from slinediag.checks.finding import Finding
from slinediag.editor.findings_panel import Accept, look_over, telling_places
from slinediag.tracing.way import way_of


@pytest.fixture
def panel(window, qtbot):
    panel = window.findings
    window.panels["Findings"].raise_()
    qtbot.waitUntil(lambda: bool(panel.findings), timeout=30_000)
    return panel


def test_they_are_those_of_the_command_worst_first(window, panel):
    found = check(window.workplace.facility, datetime.date.today())
    assert sorted(map(str, panel.findings)) == sorted(map(str, found))
    order = ["danger", "error", "warning", "note"]
    places = [order.index(finding.severity) for finding in panel.findings]
    assert places == sorted(places)


def test_a_click_goes_to_its_place(window, panel):
    row = next(
        n for n, f in enumerate(panel.findings) if "PB1.T4" in f.where or "PB2.B8" in f.where
    )
    item = panel.lines.item(row)
    panel.lines.scrollToItem(item)
    at = panel.lines.visualItemRect(item).center()
    QTest.mouseClick(panel.lines.viewport(), Qt.MouseButton.LeftButton, pos=at)
    where = panel.findings[row].where[0]
    # A bay is gone to at its first jack.
    assert str(window.workplace.selection) in (where, f"{where}.T1")
    assert way_of(window.workplace.facility, window.workplace.selection)


def test_accepted_with_a_reason_it_is_gone_and_one_step_brings_it_back(window, panel, qtbot):
    finding = panel.findings[0]
    panel.lines.setCurrentRow(0)
    QTest.mouseClick(panel.accept_button, Qt.MouseButton.LeftButton)
    dialog = panel.findChild(Accept)
    assert not dialog.accept_button.isEnabled()
    QTest.keyClicks(dialog.reason, "known and harmless")
    QTest.mouseClick(dialog.accept_button, Qt.MouseButton.LeftButton)
    entry = window.workplace.facility.practice.accept[-1]
    assert (entry.rule, entry.reason) == (finding.rule, "known and harmless")
    after = look_over(window.workplace.facility, datetime.date.today())
    assert next(f for f in after if (f.rule, f.where) == (finding.rule, finding.where)).accepted
    qtbot.waitUntil(lambda: panel.findings == after, timeout=30_000)
    assert len(panel.lines.lines) == sum(f.accepted is None for f in after)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert not window.workplace.facility.practice.accept


def test_an_entry_names_no_more_places_than_it_needs():
    def finding(*where):
        return Finding("shield-loop", "warning", where, "", "", "")

    one, other = finding("PB1", "PB1.T1"), finding("PB1", "PB1.T2")
    assert telling_places(one, (one,)) == ("PB1",)
    assert telling_places(one, (one, other)) == ("PB1", "PB1.T1")
