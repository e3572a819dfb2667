"""PNG by Qt, held against another renderer's picture of the same drawing's SVG."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from PySide6.QtWidgets import QApplication

from slinediag import text
from slinediag.drawing.marks import Drawing
from slinediag.drawing.query import text_box
from slinediag.geometry import Box, Point
from slinediag.paint import qt
from slinediag.paint.svg import paint
from slinediag.problems import RequestError
from tests.paint.rendering import Picture, decoded, grey, render
from tests.paint.sample import MACHINE_WITHOUT_FONTS, SAMPLE, words

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """The one application that all tests share."""


def test_picture_agrees_with_another_renderer() -> None:
    dpi = 254
    ours = decoded(qt.png(SAMPLE, dpi))
    theirs = render(paint(SAMPLE), dpi=dpi).darkness
    assert ours.shape == theirs.shape
    difference = np.abs(ours - theirs)
    # Edges may differ by a pixel's grey; nothing may be missing, moved or of another weight.
    assert difference.mean() < 0.002
    assert (difference > 0.5).mean() < 0.0005
    assert theirs.mean() > 0.03


@pytest.mark.parametrize(
    ("width", "height", "dpi"),
    [(420_000, 297_000, 100), (297_000, 210_000, 150), (279_400, 215_900, 72)],
)
def test_size_is_that_of_the_sheet_at_its_dpi(width: int, height: int, dpi: int) -> None:
    image = QImage.fromData(qt.png(Drawing(width, height, (), ""), dpi))
    assert image.width() == round(width / 25_400 * dpi)
    assert image.height() == round(height / 25_400 * dpi)
    assert image.dotsPerMeterX() == image.dotsPerMeterY() == round(dpi * 1000 / 25.4)


def test_very_large_sheets_are_made_coarser_not_refused() -> None:
    image = QImage.fromData(qt.png(Drawing(4_000_000, 2_000_000, (), "")))
    assert image.width() * image.height() <= 1.01 * qt.MOST_PIXELS
    assert image.width() == pytest.approx(2 * image.height(), abs=2)


def test_a_picture_that_cannot_be_made_is_refused() -> None:
    with pytest.raises(RequestError, match="too large"):
        qt.png(Drawing(10_000_000, 10_000_000, (), ""), 10_000)


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize(
    "line", ["PB1 12", "WAVE To AVA", "Ångström", "LIM.L:out", "漢字 12", "אב 12"]
)
def test_text_lies_in_its_room(line: str, anchor: str) -> None:
    mark = words(line, Point(60_000, 20_000), height=5_000, anchor=anchor)
    found = Picture(decoded(qt.png(Drawing(120_000, 40_000, (mark,), ""), 508)), 50).ink_box()
    room = text_box(mark)
    assert room.x - 100 <= found.x
    assert found.right <= room.right + 100
    assert found.bottom > 19_000


@pytest.mark.parametrize("live", [False, True])
@pytest.mark.parametrize("line", ["MIC 1, EQ", "מיקרופון 1", "מיק 1, MIC 2–6, EQ", "MIC, מיק 1"])
def test_a_line_reads_as_another_renderer_letters_it(line: str, live: bool) -> None:
    # Hebrew runs to the left in a list that runs to the right (Unicode Standard Annex 9).
    drawing = Drawing(120_000, 30_000, (words(line, Point(10_000, 20_000), height=10_000),), "")
    image = QImage(600, 150, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.scale(5, 5)
    qt.paint(drawing, painter, live_text=live)
    painter.end()
    ours = grey(image)
    theirs = render(paint(drawing), dpi=127).darkness
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).sum() < 0.25 * theirs.sum()


@pytest.mark.parametrize("weight", ["regular", "bold"])
@pytest.mark.parametrize("line", ["PB1 12", "AVATAR", "Ω µ é ß ŷ", "Жук", "→ ≤ “x” – …"])
def test_bundled_widths_are_what_qt_measures(line: str, weight: text.Weight) -> None:
    em = 2048
    measured = QFontMetricsF(qt._font(weight)).horizontalAdvance(line)
    assert text.width(line, 1409_000, weight) == pytest.approx(measured / em * 2048_000, rel=1e-4)


def test_text_is_held_to_the_width_its_mark_says() -> None:
    mark = words("MASTER 12", Point(10_000, 20_000), height=5_000)
    narrow = type(mark)(mark.at, mark.text, mark.height, mark.width // 2)
    found = Picture(decoded(qt.png(Drawing(120_000, 40_000, (narrow,), ""), 508)), 50).ink_box()
    assert Box(10_000, 15_000, mark.width // 2, 5_000).grown(150).contains(found)


def test_no_display_no_fonts_and_the_same_bytes(tmp_path: Path) -> None:
    fonts = tmp_path / "fonts.conf"
    fonts.write_text(MACHINE_WITHOUT_FONTS, encoding="utf-8")
    code = (
        "from tests.paint.sample import SAMPLE; from slinediag.paint.qt import png; import sys\n"
        "sys.stdout.buffer.write(png(SAMPLE, 100))"
    )
    display = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    bare = {key: value for key, value in os.environ.items() if key not in display}
    outcomes = [
        subprocess.run(
            [sys.executable, "-c", code],
            env=bare | settings,
            cwd=ROOT,
            capture_output=True,
            check=True,
        ).stdout
        for settings in (
            {"PYTHONHASHSEED": "1"},
            {"PYTHONHASHSEED": "2", "FONTCONFIG_FILE": str(fonts)},
        )
    ]
    assert outcomes[0][:8] == b"\x89PNG\r\n\x1a\n"
    assert outcomes[0] == outcomes[1] == qt.png(SAMPLE, 100)


@pytest.mark.parametrize("module", ["qt", "pdf"])
def test_without_qt_a_person_is_told_what_to_install(module: str) -> None:
    code = (
        "import sys; sys.modules['PySide6.QtGui'] = None\n"
        "from slinediag.problems import RequestError\n"
        f"try:\n    import slinediag.paint.{module}\n"
        "except RequestError as error:\n    print(error)"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True, text=True
    ).stdout
    assert "apt install libegl1" in told
    assert ".svg needs none" in told
