"""Reached by the keyboard, seen where one is, and told to those who hear the screen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QAccessible, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox, QSlider, QTabBar, QToolButton, QWidget

from slinediag.editor.naming import thing_name
from slinediag.editor.stepping import next_towards
from slinediag.editor.things import Box, Net
from slinediag.geometry import Point
from tests.builders import entry, jack

CTRL = Qt.KeyboardModifier.ControlModifier
NAME = QAccessible.Text.Name


def told(widget):
    return QAccessible.queryAccessibleInterface(widget)


def below(face):
    """Every interface below one, itself included; things on a canvas are left to their own test."""
    yield face
    for number in range(face.childCount()):
        child = face.child(number)
        if child is not None and child.isValid() and child.object() is not None:
            yield from below(child)


SPOKEN = {
    QAccessible.Role.Button,
    QAccessible.Role.CheckBox,
    QAccessible.Role.ComboBox,
    QAccessible.Role.EditableText,
    QAccessible.Role.List,
    QAccessible.Role.Table,
    QAccessible.Role.SpinBox,
    QAccessible.Role.Slider,
    QAccessible.Role.PageTab,
    QAccessible.Role.Canvas,
    QAccessible.Role.ProgressBar,
    QAccessible.Role.Dialog,
}


def nameless(widget):
    for face in below(told(widget)):
        own = face.object()
        if face.role() in SPOKEN and isinstance(own, QWidget) and own.isVisible():
            within = own.parent()
            part = own.objectName().startswith("qt_") or type(within).__name__ in (
                "QLineEdit",
                "QSpinBox",
                "QDateEdit",
                "QComboBox",
                "QTabBar",
            )
            if not part and not face.text(NAME).strip():
                yield own


def test_everything_in_the_window_has_a_name_and_a_role(window):
    # WCAG 2 SC 4.1.2.
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.select(jack("PB1.T3"))
    for name in ("Selected", "Outage", "Findings"):
        window.panels[name].raise_()
        QApplication.processEvents()
        assert list(nameless(window)) == []
    for see in (window.middle.see_bays, window.middle.see_sheets, window.middle.see_chart):
        see()
        assert list(nameless(window)) == []


def test_everything_in_print_and_write_and_in_the_help_too(window, qtbot):
    papers = window.besides.paper()
    qtbot.waitUntil(lambda: bool(papers.preview.pages), timeout=30_000)
    assert list(nameless(papers)) == []
    guide = window.besides.help()
    for row in range(guide.contents.count()):
        guide.contents.setCurrentRow(row)
        assert list(nameless(guide)) == []
    assert list(nameless(window.besides.introduce())) == []


def test_each_thing_on_the_chart_is_told_by_its_name_and_place(window):
    canvas = window.canvas
    face = told(canvas)
    assert (face.role(), face.text(NAME)) == (QAccessible.Role.Canvas, "Chart")
    children = [face.child(n) for n in range(face.childCount())]
    things = canvas.told.things()
    chart = canvas.chart
    assert len(children) == len(things)
    assert {Box("LIM"), jack("PB1.T1"), entry("XMIT.L")} <= set(things)
    assert sum(isinstance(thing, Net) for thing in things) == len(chart.nets)
    for thing, child in zip(things, children, strict=True):
        assert child.text(NAME) == thing_name(window.workplace.facility, thing)
        assert child.role() != QAccessible.Role.NoRole
        assert face.indexOfChild(child) == things.index(thing)
        assert child.parent().text(NAME) == "Chart"
    at = children[things.index(jack("PB1.T3"))].rect()
    centre = canvas.mapToGlobal(canvas.screen_place(jack("PB1.T3")).toPoint())
    assert at.contains(centre)
    assert at.width() < canvas.width() / 4


def test_what_is_selected_is_told_as_such(window):
    window.workplace.select(Box("LIM"))
    face = told(window.canvas)
    chosen = face.focusChild()
    assert chosen.text(NAME).startswith("LIM")
    assert chosen.state().selected
    others = [face.child(n) for n in range(face.childCount())]
    assert sum(bool(child.state().selected) for child in others) == 1


def test_faces_and_sheets_are_told_too(window, qtbot):
    qtbot.waitUntil(lambda: window.bays.face is not None, timeout=30_000)
    names = [told(window.bays).child(n).text(NAME) for n in range(48)]
    assert "PB1 T1 (DISC 1 L)" in names
    window.middle.see_sheets()
    qtbot.waitUntil(lambda: window.sheets.sheets is not None, timeout=30_000)
    assert told(window.sheets).childCount() > 10


def test_the_arrows_with_control_go_from_thing_to_thing(window):
    canvas, chart = window.canvas, window.canvas.chart
    window.workplace.select(jack("PB1.T1"))
    QTest.keyClick(canvas, Qt.Key.Key_Right, CTRL)
    assert window.workplace.selection == jack("PB1.B1")
    QTest.keyClick(canvas, Qt.Key.Key_Left, CTRL)
    assert window.workplace.selection == jack("PB1.T1")
    QTest.keyClick(canvas, Qt.Key.Key_Down, CTRL)
    below_it = window.workplace.selection
    assert below_it != jack("PB1.T1")
    assert canvas.told._places[below_it].y > chart.jacks[jack("PB1.T1")].y
    window.workplace.select(None)
    QTest.keyClick(canvas, Qt.Key.Key_Up, CTRL)
    assert window.workplace.selection is not None
    assert canvas.view.sees(
        canvas.place(window.workplace.selection), canvas.width(), canvas.height(), 0
    )


@pytest.mark.parametrize(
    ("dx", "dy", "wanted"), [(1, 0, "right"), (-1, 0, None), (0, 1, "low"), (0, -1, "up")]
)
def test_the_next_thing_is_the_nearest_ahead(dx, dy, wanted):
    places = {
        "right": Point(10, 2),
        "far": Point(30, 0),
        "low": Point(1, 20),
        "aside": Point(9, 10),
        "up": Point(-3, -40),
        "here": Point(0, 0),
    }
    assert next_towards(places, Point(0, 0), dx, dy, but="here") == wanted


# ---- the keyboard's focus


def focus_order(window, start):
    """The widgets that Tab comes to, from one of them until it comes round."""
    window.activateWindow()
    order = []
    start.setFocus()
    now = start
    for _ in range(200):
        order.append(now)
        following = now
        while True:
            following = following.nextInFocusChain()
            usable = following.isVisible() and following.isEnabled()
            if usable and following.focusPolicy() & Qt.FocusPolicy.TabFocus:
                break
        now = following
        if now is start:
            return order
    raise AssertionError("Tab never comes round")


def test_tab_comes_to_every_control_once_from_the_bar_to_the_side(window):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.select(jack("PB2.T1"))
    QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    order = focus_order(window, window.find_field)
    assert len(order) == len(set(order))
    panel = window.trial
    for control in (
        window.find_field,
        window.canvas,
        panel.entry,
        panel.put_button,
        panel.tried,
        panel.out_button,
        panel.words,
        window.selected.plug_button,
        window.selected.lines,
        window.bar.widgetForAction(window.commands.chart),
    ):
        assert control in order, control
    within = [panel.entry, panel.put_button, panel.tried, panel.out_button, panel.words]
    places = [order.index(control) for control in within]
    assert places == sorted(places)


def test_focus_can_be_seen_on_every_control(window):
    # WCAG 2 SC 2.4.7, and the look itself: the picture of a control changes when it has the focus.
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.select(jack("PB2.T1"))
    QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
    assert_focus_is_seen(window, window.find_field)


def test_focus_can_be_seen_in_print_and_write(window, qtbot):
    papers = window.besides.paper()
    qtbot.waitUntil(lambda: bool(papers.preview.pages), timeout=30_000)
    papers.preview.see_real()
    assert_focus_is_seen(papers, papers.setup.papers)


def assert_focus_is_seen(window, start):
    for control in focus_order(window, start):
        control.clearFocus()
        QApplication.processEvents()
        without = picture(control)
        control.setFocus(Qt.FocusReason.TabFocusReason)
        QApplication.processEvents()
        assert control.hasFocus(), control
        # A tab shows it on itself, in the middle of the bar: any change will do.
        rim = 6 if not isinstance(control, QTabBar | QCheckBox | QSlider) else 10**6
        changed = differing(without, picture(control), rim)
        assert changed >= 40, (control, control.accessibleName(), changed)


def picture(control):
    return control.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)


def differing(one, other, rim):
    if one.size() != other.size():
        return 10**6
    return sum(
        one.pixel(x, y) != other.pixel(x, y)
        for x in range(one.width())
        for y in range(one.height())
        if x < rim or y < rim or x >= one.width() - rim or y >= one.height() - rim
    )


def test_the_bars_buttons_are_pressed_by_the_space_bar(window):
    button = window.bar.widgetForAction(window.commands.bays)
    assert isinstance(button, QToolButton)
    button.setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(button, Qt.Key.Key_Space)
    assert window.middle.shown_canvas is window.bays


def test_names_under_the_pointer_of_a_reader(window):
    canvas = window.canvas
    canvas.show_thing(jack("PB1.T3"))
    at = canvas.mapToGlobal(canvas.screen_place(jack("PB1.T3")).toPoint())
    found = told(canvas).childAt(at.x(), at.y())
    assert found.text(NAME) in ("PB1 T3 (DISC 2 L)",) or found.rect().contains(at)
    corner = canvas.mapToGlobal(QPoint(-50, -50))
    assert told(canvas).childAt(corner.x(), corner.y()) is None
