"""The bays from the front: to scale, cords and positions by hand, jumps both ways."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.face import face_of
from slinediag.editor.things import Box
from slinediag.model.edits import Position
from tests.builders import jack


@pytest.fixture
def bays(window, qtbot):
    qtbot.waitUntil(lambda: window.bays.face is not None, timeout=30_000)
    QTest.keyClick(window, Qt.Key.Key_F3)
    assert window.middle.shown_canvas is window.bays
    window.bays.fit()
    return window.bays


def strip(bays, position):
    """The pixel in the middle of a position's upper strip."""
    centre = bays.face.cells[position][0].centre
    return bays.screen_point(centre).toPoint()


def drag(canvas, start, end):
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(canvas, end)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=end)


def test_panels_are_to_scale(window):
    # 19 in panels are 482.6 mm wide: EIA-310-D, IEC 60297-3-100 (second-hand).
    face = face_of(window.workplace.facility)
    assert {box.width for box in face.panels.values()} == {482_600}
    # Positions of a bay stand at one pitch.
    xs = [face.jacks[jack(f"PB1.T{n}")].x for n in range(1, 13)]
    steps = {b - a for a, b in pairwise(xs)}
    assert max(steps) - min(steps) <= 1


def test_a_cord_from_jack_to_jack(window, bays):
    ends = jack("PB1.T3"), jack("PB2.B1")
    bays.zoom(3)
    bays.show_thing(ends[0])
    start, end = (bays.screen_place(j).toPoint() for j in ends)
    drag(bays, start, end)
    assert window.workplace.trial.cords == (ends,)


def test_a_click_selects_and_the_chart_shows_the_same(window, bays):
    one = jack("PB2.B1")
    QTest.mouseClick(bays, Qt.MouseButton.LeftButton, pos=bays.screen_place(one).toPoint())
    assert window.workplace.selection == one
    QTest.keyClick(window, Qt.Key.Key_F2)
    assert window.middle.shown_canvas is window.canvas
    assert window.canvas.rect().contains(window.canvas.screen_place(one).toPoint())
    QTest.mouseClick(window.selected.face_button, Qt.MouseButton.LeftButton)
    assert window.middle.shown_canvas is bays


def test_a_position_dragged_to_a_free_one_moves_in_one_step(window, bays):
    before = window.workplace.facility
    bays.zoom(2)
    drag(bays, strip(bays, Position("PB1", 3)), strip(bays, Position("PB1", 9)))
    points = window.workplace.facility.bays["PB1"].points
    assert 3 not in points
    assert str(points[9].top.to) == "PLY2.L:out"
    assert window.commands.undo.text() == "&Undo Move PB1 3 to PB1 9"
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.workplace.facility == before


def test_dropped_on_one_in_use_they_change_places(window, bays):
    bays.zoom(2)
    drag(bays, strip(bays, Position("PB1", 1)), strip(bays, Position("PB1", 3)))
    points = window.workplace.facility.bays["PB1"].points
    assert [str(points[n].top.to) for n in (1, 3)] == ["PLY2.L:out", "PLY1.L:out"]
    assert window.workplace.history.undoes == "Swap PB1 1 and PB1 3"


def test_escape_lets_a_position_go_where_it_was(window, bays):
    before = window.workplace.facility
    bays.zoom(2)
    QTest.mousePress(bays, Qt.MouseButton.LeftButton, pos=strip(bays, Position("PB1", 1)))
    QTest.mouseMove(bays, strip(bays, Position("PB1", 9)))
    QTest.keyClick(bays, Qt.Key.Key_Escape)
    QTest.mouseRelease(bays, Qt.MouseButton.LeftButton, pos=strip(bays, Position("PB1", 9)))
    assert window.workplace.facility is before


@pytest.mark.usefixtures("bays")
def test_by_keys_a_gap_is_made_and_a_position_moves_along(window):
    window.workplace.select(jack("PB1.B1"))
    QTest.keyClick(
        window,
        Qt.Key.Key_Insert,
        Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    points = window.workplace.facility.bays["PB1"].points
    assert sorted(points) == [2, 3, 4, 5]
    assert window.workplace.history.undoes == "Insert a gap at PB1 1"
    window.workplace.select(jack("PB1.T5"))
    QTest.keyClick(
        window,
        Qt.Key.Key_Right,
        Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    assert window.workplace.selection == jack("PB1.T6")
    assert 6 in window.workplace.facility.bays["PB1"].points


def test_equipment_is_shown_at_its_jacks(window, bays):
    window.workplace.select(Box("XMIT"), show=True)
    assert bays.place(Box("XMIT")) is not None
    for one in (jack("PB2.B1"), jack("PB2.B2")):
        assert bays.rect().contains(bays.screen_place(one).toPoint())
