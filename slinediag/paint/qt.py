"""Qt: a drawing on any QPainter, and as a PNG; lettered from the bundled fonts, unhinted.

Importing this module loads Qt, and raises RequestError where Qt or a library it needs is missing.
"""

from __future__ import annotations

import os
import unicodedata
from functools import cache
from math import sqrt
from typing import assert_never

from slinediag.drawing.marks import (
    Circle,
    Curve,
    Drawing,
    Group,
    Line,
    Mark,
    Rect,
    Shape,
    Style,
    Text,
    Weight,
)
from slinediag.drawing.styles import dash_lengths
from slinediag.geometry import Box, Point, to_mm
from slinediag.problems import RequestError, problem
from slinediag.resources import resource
from slinediag.text import font_size, metrics, printable

try:
    from PySide6.QtCore import QBuffer, QIODevice, QPointF, QRectF, Qt
    from PySide6.QtGui import (
        QBrush,
        QColor,
        QFont,
        QFontDatabase,
        QFontMetricsF,
        QImage,
        QPainter,
        QPainterPath,
        QPen,
        QPolygonF,
        QRawFont,
    )
    from PySide6.QtWidgets import QApplication
except ImportError as error:
    # The direct needs of PySide6-Essentials' QtGui, by Debian 12's names.
    packages = "libegl1 libgl1 libglib2.0-0 libfontconfig1 libxkbcommon0 libdbus-1-3"
    raise RequestError(
        [
            problem(
                "PNG, PDF and the editor",
                f"Qt cannot be loaded ({error})",
                f"On Debian: apt install {packages}; a chart as .svg needs none of them",
            )
        ]
    ) from error

FONT_FILES: dict[Weight, str] = {
    "regular": "fonts/LiberationSans-Regular.ttf",
    "bold": "fonts/LiberationSans-Bold.ttf",
}
LEFT_TO_RIGHT = "\u200e"
"""Unseen, before a text that Qt lays out: its lists run to the right whatever letter is first."""
RUN_LEFT = frozenset({"R", "AL", "AN"})
"""Classes of letters that run to the left (Unicode Standard Annex 9, table 4)."""
DPI = 200
# Where a sheet at DPI would be larger than this, the picture is coarser: about 400 MB of memory.
MOST_PIXELS = 100_000_000


def paint(drawing: Drawing, painter: QPainter, *, live_text: bool = False) -> None:
    """The drawing on a painter whose units are millimetres on the sheet.

    Text is painted as outlines, alike on every machine; live text, for a PDF, can be searched
    and copied. A QApplication must exist.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for mark in drawing.marks:
        _paint(mark, painter, live_text)


def png(drawing: Drawing, dpi: int | None = None) -> bytes:
    """The drawing as a PNG on white paper.

    ``dpi`` is pixels to the inch, which the file says, so that it prints true to size; unless
    said 200, or fewer where the sheet is very large. RequestError where no picture of that size
    can be made.
    """
    application()
    dpi = dpi or _usual_dpi(drawing)
    width, height = (max(1, round(size * dpi / 25_400)) for size in (drawing.width, drawing.height))
    image = QImage(width, height, QImage.Format.Format_RGB32)
    if image.isNull():
        what = f"a picture of {width} × {height} pixels is too large"
        raise RequestError([problem("PNG", what, "Ask for fewer dots to the inch, or for .svg")])
    image.fill(Qt.GlobalColor.white)
    image.setDotsPerMeterX(round(dpi / 0.0254))
    image.setDotsPerMeterY(round(dpi / 0.0254))
    painter = QPainter(image)
    painter.scale(dpi / 25.4, dpi / 25.4)
    paint(drawing, painter)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]
    return bytes(buffer.data().data())


def _usual_dpi(drawing: Drawing) -> int:
    square_inches = drawing.width * drawing.height / 25_400**2
    return max(1, min(DPI, int(sqrt(MOST_PIXELS / max(square_inches, 1.0)))))


def prefer_bundled_fonts() -> None:
    """Hide the machine's own copy of the bundled fonts, of another release perhaps, from Qt.

    To be called before a QApplication is made; a fontconfig file that someone named stays.
    """
    os.environ.setdefault("FONTCONFIG_FILE", str(resource("fonts/fonts.conf")))


@cache
def application() -> QApplication:
    """The running application, or one that needs no display; kept, as Qt wants one for fonts."""
    running = QApplication.instance()
    if isinstance(running, QApplication):
        return running
    prefer_bundled_fonts()
    return QApplication(["slinediag", "-platform", "offscreen"])


def _paint(mark: Mark, painter: QPainter, live_text: bool) -> None:
    match mark:
        case Line():
            _ink(painter, mark.style)
            painter.drawPath(_line_path(mark))
        case Rect():
            _ink(painter, mark.style)
            radius = to_mm(mark.radius)
            painter.drawRoundedRect(_rectangle(mark.box), radius, radius)
        case Circle():
            _ink(painter, mark.style)
            painter.drawEllipse(_place(mark.centre), to_mm(mark.radius), to_mm(mark.radius))
        case Shape():
            _ink(painter, mark.style)
            painter.drawPolygon(QPolygonF([_place(corner) for corner in mark.corners]))
        case Curve():
            _ink(painter, mark.style)
            painter.drawPath(_curve_path(mark))
        case Text():
            _letter(painter, mark, live_text)
        case Group():
            for inner in mark.marks:
                _paint(inner, painter, live_text)
        case _:
            assert_never(mark)


def _ink(painter: QPainter, style: Style) -> None:
    """Pen and brush for a style, as SVG has them: mitred corners unless the ends are round."""
    painter.setBrush(QColor(style.fill) if style.fill else Qt.BrushStyle.NoBrush)
    if style.stroke is None:
        painter.setPen(Qt.PenStyle.NoPen)
        return
    pen = QPen(QBrush(QColor(style.stroke)), to_mm(style.width))
    rounded = style.end == "round"
    pen.setCapStyle(Qt.PenCapStyle.RoundCap if rounded else Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin if rounded else Qt.PenJoinStyle.SvgMiterJoin)
    pen.setMiterLimit(4)  # SVG's own
    if dashes := dash_lengths(style):
        pen.setDashPattern([length / style.width for length in dashes])
    painter.setPen(pen)


def _place(point: Point) -> QPointF:
    return QPointF(to_mm(point.x), to_mm(point.y))


def _rectangle(box: Box) -> QRectF:
    return QRectF(to_mm(box.x), to_mm(box.y), to_mm(box.width), to_mm(box.height))


def _line_path(mark: Line) -> QPainterPath:
    path = QPainterPath()
    for first, *others in mark.runs:
        path.moveTo(_place(first))
        for corner in others:
            path.lineTo(_place(corner))
    return path


def _curve_path(mark: Curve) -> QPainterPath:
    path = QPainterPath(_place(mark.start))
    for first, second, end in mark.pieces:
        path.cubicTo(_place(first), _place(second), _place(end))
    return path


def _letter(painter: QPainter, mark: Text, live: bool) -> None:
    """A text, stretched or drawn together to exactly its measured width."""
    words = printable(mark.text)
    natural = _natural_width(words, mark.weight)
    if natural <= 0 or mark.width <= 0:
        return
    left = {"start": 0, "middle": mark.width / 2, "end": mark.width}[mark.anchor]
    painter.save()
    painter.translate(QPointF((mark.at.x - left) / 1000, to_mm(mark.at.y)))
    painter.scale(to_mm(mark.width) / natural, to_mm(font_size(mark.height)) / metrics().em)
    if live:
        painter.setPen(QColor(mark.colour))
        painter.setFont(_font(mark.weight))
        painter.setLayoutDirection(Qt.LayoutDirection.LeftToRight)
        painter.drawText(QPointF(0, 0), words)
    else:
        painter.fillPath(_outlines(words, mark.weight), QBrush(QColor(mark.colour)))
    painter.restore()


def _bundled(words: str, weight: Weight) -> bool:
    """Whether the bundled font has every character of a text, and each stands right of the last."""
    face = metrics().face(weight)
    return all(c in face and unicodedata.bidirectional(c) not in RUN_LEFT for c in words)


def _natural_width(words: str, weight: Weight) -> float:
    """The width of a text in font units, unkerned."""
    if _bundled(words, weight):
        face = metrics().face(weight)
        return sum(face[character].advance for character in words)
    return QFontMetricsF(_font(weight)).horizontalAdvance(words)


def _outlines(words: str, weight: Weight) -> QPainterPath:
    """A text's outlines in font units, from its baseline's start.

    Where a character is not in the bundled font or runs to the left, the whole text is left to Qt,
    which finds what is missing in a font of the machine: the one case in which pictures may differ.
    """
    path = QPainterPath()
    if not _bundled(words, weight):
        path.addText(0, 0, _font(weight), LEFT_TO_RIGHT + words)
        return path
    face = metrics().face(weight)
    start = 0
    for character in words:
        path.addPath(_outline(character, weight).translated(start, 0))
        start += face[character].advance
    return path


@cache
def _outline(character: str, weight: Weight) -> QPainterPath:
    font = _raw_font(weight)
    path = QPainterPath()
    for glyph in font.glyphIndexesForString(character):
        path.addPath(font.pathForGlyph(glyph))
    return path


@cache
def _raw_font(weight: Weight) -> QRawFont:
    """The bundled font itself, at one font unit to the pixel."""
    application()
    file = str(resource(FONT_FILES[weight]))
    return QRawFont(file, metrics().em, QFont.HintingPreference.PreferNoHinting)


@cache
def _families() -> tuple[str, ...]:
    """The names under which Qt has the bundled fonts.

    Added by their bytes and always in one order: neither the place of installation nor which
    weight is used first may show in the order of fonts in a PDF.
    """
    application()
    files = (resource(name).read_bytes() for name in FONT_FILES.values())
    added = [QFontDatabase.addApplicationFontFromData(data) for data in files]
    return tuple(dict.fromkeys(n for i in added for n in QFontDatabase.applicationFontFamilies(i)))


@cache
def _font(weight: Weight) -> QFont:
    """The bundled font as Qt's text layout takes it, at one font unit to the pixel."""
    font = QFont(_families())
    font.setBold(weight == "bold")
    font.setPixelSize(metrics().em)
    font.setKerning(False)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font
