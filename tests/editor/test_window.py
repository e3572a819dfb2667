"""The window as a person uses it: panels, keys, finding, leaving a cord in, what is kept."""

from __future__ import annotations

import datetime

import pytest
from PySide6.QtCore import QDate, QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QAccessible, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QLineEdit,
    QWidget,
)

from slinediag.editor.things import Box, Net
from slinediag.editor.trial_panel import LeaveIn
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.geometry import Point
from slinediag.tracing.way import way_of
from slinediag.tracing.way_words import way_lines
from tests.builders import entry, jack

CTRL = Qt.KeyboardModifier.ControlModifier


def click(button):
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def turn_wheel(canvas, at, notches):
    event = QWheelEvent(
        QPointF(at),
        QPointF(canvas.mapToGlobal(at)),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas, event)


def test_a_typed_cord_is_put_in_by_label_or_address(window):
    QTest.keyClick(window, Qt.Key.Key_K, CTRL)
    field = window.trial.entry
    QTest.keyClicks(field, "DISC 2 L PB2.B1")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert window.workplace.trial.cords == ((jack("PB1.T3"), jack("PB2.B1")),)
    assert field.text() == ""


def test_a_typed_cord_that_is_none_says_how_to_write_one(window):
    field = window.trial.entry
    QTest.keyClicks(field, "PB1.T3 nowhere")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "PB1.T3 PB2.B7" in window.notice.text()
    assert window.workplace.trial.empty


def test_escape_twice_clears_the_trial(window):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.select(jack("PB1.T3"))
    # However slow the machine, the second press counts as soon after the first until it is over.
    window._escaped.setInterval(600_000)
    QTest.keyClick(window.canvas, Qt.Key.Key_Escape)
    assert window.workplace.selection is None
    assert not window.workplace.trial.empty
    window._escaped.stop()
    QTest.keyClick(window.canvas, Qt.Key.Key_Escape)
    assert not window.workplace.trial.empty
    QTest.keyClick(window.canvas, Qt.Key.Key_Escape)
    assert window.workplace.trial.empty


def test_a_click_shows_what_is_known_beside_the_chart(window, hand):
    window.canvas.fit()
    window.canvas.zoom(2)
    hand.click(jack("PB1.T1"))
    assert window.workplace.selection == jack("PB1.T1")
    title, *rest = way_lines(way_of(window.workplace.facility, jack("PB1.T1")))
    assert window.selected.head.text() == title
    assert window.selected.lines.lines == rest


def test_pointing_at_a_line_lights_its_whole_way(window):
    window.canvas.fit()
    chart = window.canvas.chart
    name = chart.net_of[jack("PB2.B1")]
    run = chart.nets[name].runs[0]
    middle = Point((run[0].x + run[1].x) // 2, (run[0].y + run[1].y) // 2)
    window.canvas.zoom(8, window.canvas.screen_point(middle))
    QTest.mouseMove(window.canvas, window.canvas.screen_point(middle).toPoint())
    assert isinstance(window.canvas.over, Net)
    lit = set(window.canvas.lit_over)
    # By hand: LINK L hears DISC 1 L through PB1 1 and the limiter.
    for stop in ("PB1.T1", "PB1.B1", "PB2.T1", "PB2.B1"):
        for lit_run in chart.nets[chart.net_of[jack(stop)]].runs:
            assert lit_run in lit


def test_the_wheel_zooms_about_the_pointer(window):
    canvas = window.canvas
    at = QPoint(300, 200)
    before, scale = canvas.on_sheet(QPointF(at)), canvas.view.scale
    turn_wheel(canvas, at, 4)
    after = canvas.on_sheet(QPointF(at))
    assert canvas.view.scale == pytest.approx(2 * scale)
    assert abs(after.x - before.x) <= 2
    assert abs(after.y - before.y) <= 2


def test_dragging_the_paper_moves_it(window):
    canvas = window.canvas
    corner = canvas.screen_point(Point(0, 0))
    at = (corner + QPointF(4, 4)).toPoint()
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(canvas, at + QPoint(60, 40))
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=at + QPoint(60, 40))
    moved = canvas.screen_point(Point(0, 0)) - corner
    assert (round(moved.x()), round(moved.y())) == (60, 40)
    QTest.keyClick(canvas, Qt.Key.Key_Home)
    assert canvas.view.sees(canvas.sheet, canvas.width(), canvas.height(), 0)


@pytest.mark.parametrize(
    ("text", "thing"),
    [
        ("LINK L", entry("XMIT.L")),
        ("PB1.T3", jack("PB1.T3")),
        ("PB1 T3", jack("PB1.T3")),
        ("S12/1", jack("PB2.T1")),
        ("Rack 1", Box("PLY1")),
        ("transmitter", Box("XMIT")),
        ("XMIT.R", entry("XMIT.R")),
    ],
)
def test_one_field_finds_labels_addresses_cables_and_places(window, text, thing):
    QTest.keyClick(window, Qt.Key.Key_F, CTRL)
    QTest.keyClicks(window.find_field, text)
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    assert window.workplace.selection == thing
    place = window.canvas.place(thing)
    assert window.canvas.view.sees(place, window.canvas.width(), window.canvas.height(), 0)


def test_a_result_that_was_chosen_is_found_again_by_the_next_return(window):
    QTest.keyClick(window, Qt.Key.Key_F, CTRL)
    QTest.keyClicks(window.find_field, "PB1.T3")
    popup = window.find_field.completer().popup()
    QTest.keyClick(popup, Qt.Key.Key_Down)
    QTest.keyClick(popup, Qt.Key.Key_Return)
    assert window.find_field.text() == "PB1 T3"
    window.workplace.select(None)
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    assert window.workplace.selection == jack("PB1.T3")


def test_the_field_is_free_for_the_next_cord_however_the_last_was_chosen(window, qtbot):
    QTest.keyClick(window, Qt.Key.Key_K, CTRL)
    QTest.keyClicks(window.trial.entry, "DISC 2 L LINK")
    popup = window.trial.entry.completer().popup()
    QTest.keyClick(popup, Qt.Key.Key_Down)
    QTest.keyClick(popup, Qt.Key.Key_Return)
    assert len(window.workplace.trial.cords) == 1
    qtbot.waitUntil(lambda: window.trial.entry.text() == "")


def test_a_short_list_of_offers_needs_no_scroll_bar(window, qtbot):
    QTest.keyClick(window, Qt.Key.Key_K, CTRL)
    QTest.keyClicks(window.trial.entry, "DISC 2 L LINK")
    popup = window.trial.entry.completer().popup()
    assert popup.model().rowCount() == 2
    qtbot.waitUntil(popup.isVisible)
    assert popup.verticalScrollBar().maximum() == 0


def test_what_the_chart_does_not_draw_is_shown_on_the_bays(window, qtbot):
    qtbot.waitUntil(lambda: window.bays.face is not None, timeout=30_000)
    window.find_field.setText("PB2.T11")
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    assert window.middle.shown_canvas is window.bays


def test_a_name_that_nothing_bears_is_told(window):
    window.find_field.setText("no such thing")
    QTest.keyClick(window.find_field, Qt.Key.Key_Return)
    assert "nothing bears this name" in window.notice.text()


def test_a_sentence_leads_to_what_it_speaks_of(window):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    words = window.trial.words
    row = next(n for n, line in enumerate(words.lines) if line.startswith("LINK L"))
    words.setCurrentRow(row)
    QTest.keyClick(words, Qt.Key.Key_Return)
    assert window.workplace.selection == entry("XMIT.L")


def test_dummy_plugs_pulls_and_failures_from_what_is_selected(window):
    workplace, panel = window.workplace, window.selected
    workplace.select(jack("PB2.B1"))
    click(panel.plug_button)
    workplace.select(jack("PB1.T4"))
    assert not panel.plug_button.isEnabled()
    click(panel.pull_button)
    workplace.select(Box("LIM"))
    click(panel.fail_button)
    assert window.trial.tried.lines == [
        "LIM failed",
        "Pull PB1 T4 (DISC 2 R) to PB2 B8",
        "Dummy plug in PB2 B1 (LINK L)",
    ]
    window.trial.tried.setCurrentRow(1)
    click(window.trial.out_button)
    assert workplace.trial.pulled_cords == ()
    click(window.trial.clear_button)
    assert workplace.trial.empty


def test_a_cord_left_in_is_one_step_of_the_history(window, qtbot):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.trial.tried.setCurrentRow(0)
    click(window.trial.leave_button)
    dialog = window.trial.findChild(LeaveIn)
    QTest.keyClicks(dialog.note, "loan")
    dialog.date.setDate(QDate(2026, 5, 1))
    click(dialog.accept_button)
    cord = window.workplace.facility.cords[-1]
    assert (str(cord), cord.note, cord.since) == (
        "PB1.T3=PB2.B1",
        "loan",
        datetime.date(2026, 5, 1),
    )
    assert window.workplace.trial.empty
    assert window.isWindowModified()
    qtbot.waitUntil(
        lambda: frozenset((jack("PB1.T3"), jack("PB2.B1"))) in window.canvas.chart.cords,
        timeout=30_000,
    )
    click(window.bar.widgetForAction(window.commands.undo))
    assert len(window.workplace.facility.cords) == 1
    assert not window.isWindowModified()


def controls(window):
    kinds = (QAbstractButton, QLineEdit, QAbstractItemView, QAbstractSpinBox)
    found = [w for w in window.findChildren(QWidget) if isinstance(w, kinds)]
    found += [window.canvas, window.bays]
    # Qt's own parts of larger controls, which these name for it.
    return [w for w in found if not w.objectName().startswith("qt_")]


def test_every_control_has_a_name_a_role_and_takes_the_keyboard(window):
    # WCAG 2 SC 4.1.2 (name, role, value) and 2.1.1 (keyboard).
    for control in controls(window):
        if control.parent() is not None and isinstance(control.parent(), QLineEdit):
            continue
        face = QAccessible.queryAccessibleInterface(control)
        name = face.text(QAccessible.Text.Name)
        if type(control).__name__.startswith(("QHeader", "QTableCorner", "QComboBoxPrivate")):
            continue
        assert name.strip(), f"{control} has no name"
        assert face.role() != QAccessible.Role.NoRole
        own = (
            isinstance(control, QAbstractButton) and control.focusPolicy() == Qt.FocusPolicy.NoFocus
        )
        in_menu = any(a for a in window.bar.actions() if window.bar.widgetForAction(a) is control)
        assert not own or in_menu, f"{control} ({name}) is out of the keyboard's reach"


def test_every_command_of_the_bar_has_its_keys_in_a_menu(window):
    for action in window.bar.actions():
        if action.text() and not action.isSeparator():
            assert action.shortcut().toString(), action.text()
            assert any(action in menu.actions() for menu in window.menus.values())


def test_no_two_commands_have_the_same_keys(window):
    keys = [
        shortcut.toString()
        for menu in window.menus.values()
        for action in menu.actions()
        for shortcut in action.shortcuts()
    ]
    assert len(keys) == len(set(keys))


def test_it_fits_a_screen_of_1280_by_720(window):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.select(jack("PB1.T3"))
    QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    hint = window.minimumSizeHint()
    assert (hint.width() <= 1280, hint.height() <= 720) == (True, True), hint


def test_how_the_window_stood_is_kept(window, qtbot, plant_file):
    # No larger than the screen of Qt's offscreen platform, 800 by 800.
    window.resize(780, 720)
    window.panels["Findings"].hide()
    window.close()
    again = Window(Workplace(load(plant_file)))
    again.may_leave = lambda: True
    qtbot.addWidget(again)
    assert (again.width(), again.height()) == (780, 720)
    assert again.panels["Findings"].isHidden()
