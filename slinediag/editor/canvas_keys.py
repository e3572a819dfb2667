"""What keys and hands do on a drawing: one table for the drawing itself and for the help."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QKeyEvent

KEY_MOVE = 80
"""Pixels that an arrow moves the sheet."""


class Steered(Protocol):
    """A drawing as far as keys steer it."""

    def step(self, dx: int, dy: int) -> None:
        """Select what is next to the selection in a direction."""

    def move_by(self, dx: float, dy: float) -> None:
        """Move the sheet this many pixels to the right and down."""

    def zoom(self, steps: float) -> None:
        """Nearer, or farther where negative."""

    def fit(self) -> None:
        """See the whole sheet."""

    def fit_width(self) -> None:
        """See the whole width."""


Act = Callable[[Steered], None]
CTRL = Qt.KeyboardModifier.ControlModifier
KEYS: tuple[tuple[tuple[Qt.Key | QKeyCombination, ...], str, Act], ...] = (
    ((CTRL | Qt.Key.Key_Left,), "Select what is next to the left", lambda c: c.step(-1, 0)),
    ((CTRL | Qt.Key.Key_Right,), "Select what is next to the right", lambda c: c.step(1, 0)),
    ((CTRL | Qt.Key.Key_Up,), "Select what is next above", lambda c: c.step(0, -1)),
    ((CTRL | Qt.Key.Key_Down,), "Select what is next below", lambda c: c.step(0, 1)),
    ((Qt.Key.Key_Left,), "See what is farther left", lambda c: c.move_by(KEY_MOVE, 0)),
    ((Qt.Key.Key_Right,), "See what is farther right", lambda c: c.move_by(-KEY_MOVE, 0)),
    ((Qt.Key.Key_Up,), "See what is farther up", lambda c: c.move_by(0, KEY_MOVE)),
    ((Qt.Key.Key_Down,), "See what is farther down", lambda c: c.move_by(0, -KEY_MOVE)),
    ((Qt.Key.Key_Plus, Qt.Key.Key_Equal), "Nearer", lambda c: c.zoom(1)),
    ((Qt.Key.Key_Minus,), "Farther", lambda c: c.zoom(-1)),
    ((Qt.Key.Key_Home,), "Whole sheet", lambda c: c.fit()),
    ((Qt.Key.Key_End,), "Whole width", lambda c: c.fit_width()),
)
"""Keys on a drawing, what they do in words, and that itself."""
HANDS = (
    ("Wheel, or two fingers spread", "Nearer or farther, about the pointer"),
    ("Shift and wheel", "Across"),
    ("Drag the paper", "Move it"),
    ("Drag from jack to jack", "Try a cord"),
    ("Click", "Select a jack, line or box"),
    ("Double click", "Go near"),
)
"""What hands do on a drawing."""


def act_of(event: QKeyEvent) -> Act | None:
    """What a key does on a drawing; None where it does nothing there."""
    pressed = Qt.Key(event.key())
    asked = CTRL | pressed if event.modifiers() & CTRL else pressed
    return next((act for keys, _, act in KEYS if asked in keys), None)
