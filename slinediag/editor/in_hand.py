"""A cord in hand over a drawing, and what dropping it would do."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from slinediag.editor import canvas_ink as ink
from slinediag.editor.view import View
from slinediag.geometry import Point
from slinediag.problems import Problem
from slinediag.tracing.phantom_words import phantom_sentences
from slinediag.tracing.values import Answer
from slinediag.tracing.words import caution_sentences, plug_sentences, verdict

Weighed = Answer | tuple[Problem, ...]
"""What a cord would do, or why it cannot be."""


def paint_in_hand(
    view: View,
    ends: tuple[Point, Point | None],
    pointer: QPointF,
    weighed: Weighed | None,
    painter: QPainter,
    room: QRectF,
) -> None:
    """A cord from a jack to the pointer, its jacks ringed, with what dropping it there would do.

    ``ends``: the jack it comes from, and the one under the pointer where there is one.
    """
    start, end = ends
    harmful = weighed is not None and not (isinstance(weighed, Answer) and weighed.harmless)
    ink.dotted_jack(view, start, painter)
    if end is not None:
        ink.dotted_jack(view, end, painter)
    ink.cord_in_hand(view, start, pointer, painter, harmful=harmful)
    if weighed is not None:
        ink.words_beside(pointer, weighed_words(weighed), painter, room, harmful=harmful)


def weighed_words(weighed: Weighed) -> list[str]:
    """The first words on what a cord would do, or why it cannot be.

    The verdict, the dangers and cautions that it points to, and the two plugs.
    """
    if isinstance(weighed, Answer):
        return [
            verdict(weighed),
            *phantom_sentences(weighed),
            *caution_sentences(weighed),
            *plug_sentences(weighed)[-2:],
        ]
    return [problem.text() for problem in weighed]
