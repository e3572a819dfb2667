"""Nearer and farther with fingers, and what is seen from how far."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QNativeGestureEvent, QPainter, QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from slinediag.drawing.marks import Text
from slinediag.editor.far_names import NAMES_FROM
from slinediag.editor.tiles import seen_from
from slinediag.editor.view import View

AT = QPointF(300, 200)


def pinch(canvas, value):
    """A step of two fingers on a touchpad, as the platform reports it."""
    event = QNativeGestureEvent(
        Qt.NativeGestureType.ZoomNativeGesture,
        QPointingDevice.primaryPointingDevice(),
        2,
        AT,
        AT,
        QPointF(canvas.mapToGlobal(AT.toPoint())),
        value,
        QPointF(),
    )
    assert QApplication.sendEvent(canvas, event)


def test_a_pinch_on_a_touchpad_zooms_about_the_fingers(window):
    canvas = window.canvas
    here, scale = canvas.on_sheet(AT), canvas.view.scale
    pinch(canvas, 0.25)
    pinch(canvas, 0.2)
    assert canvas.view.scale == pytest.approx(scale * 1.25 * 1.2)
    after = canvas.on_sheet(AT)
    assert abs(after.x - here.x) <= 3
    assert abs(after.y - here.y) <= 3
    pinch(canvas, -0.5)
    assert canvas.view.scale == pytest.approx(scale * 1.25 * 1.2 / 2)


def test_two_fingers_on_the_screen_zoom_and_drop_no_cord(window):
    canvas = window.canvas
    canvas.fit()
    scale = canvas.view.scale
    screen = QTest.createTouchDevice()
    middle = canvas.rect().center()
    before = canvas.on_sheet(QPointF(middle))
    spread = [40, 60, 90, 130, 160]
    touch = QTest.touchEvent(canvas, screen)
    touch.press(0, middle - QPoint(spread[0], 0), canvas)
    touch.press(1, middle + QPoint(spread[0], 0), canvas)
    touch.commit()
    for half in spread[1:]:
        touch = QTest.touchEvent(canvas, screen)
        touch.move(0, middle - QPoint(half, 0), canvas)
        touch.move(1, middle + QPoint(half, 0), canvas)
        touch.commit()
    touch = QTest.touchEvent(canvas, screen)
    touch.release(0, middle - QPoint(spread[-1], 0), canvas)
    touch.release(1, middle + QPoint(spread[-1], 0), canvas)
    touch.commit()
    assert canvas.view.scale > 1.5 * scale
    after = canvas.on_sheet(QPointF(middle))
    assert abs(after.x - before.x) < 6_000
    assert window.workplace.trial.empty


def words_seen(canvas, scale):
    marks = seen_from(scale, (placed.mark for placed in canvas.chart.spread.placed))
    return {mark.text for mark in marks if isinstance(mark, Text)}


def test_strips_are_read_near_and_names_of_boxes_from_afar(window):
    canvas = window.canvas
    near, far = words_seen(canvas, 4.0), words_seen(canvas, 0.4)
    # DISC 2 L is printed on the strip of PB1 T3, LINK on its box.
    assert {"DISC 2 L", "PB1 3", "LINK"} <= near
    assert "DISC 2 L" not in far
    painted = []

    class Heard(QPainter):
        def drawText(self, *arguments):  # noqa: N802 (Qt's name)
            painted.append(arguments[-1])
            super().drawText(*arguments)

    image = QImage(canvas.size(), QImage.Format.Format_RGB32)
    for view in (View(0.4), View(NAMES_FROM * 1.1)):
        painted.clear()
        painter = Heard(image)
        canvas._names.paint(view, painter, QRectF(canvas.rect()))
        painter.end()
        assert ("LINK" in painted) == (view.scale < NAMES_FROM)
