"""The 100 mm of every sheet's border, measured in what is painted, by poppler and by resvg.

ISO 5457:1980 (P, from memory): a metric reference graduation of at least 100 mm in steps of 10 mm,
about a centring mark, in the border close to the frame and no wider than 5 mm.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from itertools import pairwise

import numpy as np
import pytest

from slinediag.chart.chart import draw
from slinediag.chart.frame import frame
from slinediag.chart.sheet import ASME_SIZES, ISO_SIZES, Sheet, custom
from slinediag.drawing.marks import Drawing
from slinediag.paint.svg import paint
from tests.chart.plants import station

DPI = 254
"""Ten pixels to the millimetre."""
SHEETS = [*ISO_SIZES, *ASME_SIZES, custom(1_772_000, 752_000)]
DEPTH = 17
"""How far below the frame's middle it is measured, tenths of a millimetre."""


def bordered(sheet: Sheet) -> Drawing:
    """A sheet with nothing but its border."""
    return Drawing(sheet.width, sheet.height, frame(sheet)[0], sheet.name)


def assert_true_to_size(row: np.ndarray, sheet: Drawing) -> None:
    """Eleven ticks of at least half a millimetre, 10 mm apart, about the middle of the sheet.

    ``row``: darkness along the border at its foot, ten values to the millimetre.
    """
    dark = np.nonzero(row > 0.5)[0]
    ticks = [t for t in np.split(dark, np.nonzero(np.diff(dark) > 1)[0] + 1) if len(t) >= 4]
    middles = [(tick[0] + tick[-1] + 1) / 20 for tick in ticks]
    centre = sheet.width / 2000
    ours = [x for x in middles if abs(x - centre) < 51]
    assert len(ours) == 11, sheet.title
    assert ours[-1] - ours[0] == pytest.approx(100, abs=0.2), sheet.title
    assert [b - a for a, b in pairwise(ours)] == pytest.approx([10] * 10, abs=0.2), sheet.title
    assert (ours[0] + ours[-1]) / 2 == pytest.approx(centre, abs=0.2), sheet.title


def foot_row(sheet: Drawing) -> int:
    """The row of pixels that is measured, from the sheet's top: the border is 10 mm."""
    return sheet.height // 100 - 100 + DEPTH


@pytest.fixture
def measured(tmp_path):
    """A row of pixels of each page, as poppler paints a PDF of these sheets."""
    pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    if not shutil.which("pdftoppm"):
        pytest.skip("poppler's pdftoppm is not installed")
    from slinediag.paint.pdf import pdf

    def rows(sheets):
        path = tmp_path / "sheets.pdf"
        path.write_bytes(pdf(sheets))
        for number, sheet in enumerate(sheets, 1):
            page = ["-f", str(number), "-l", str(number), "-r", str(DPI), "-gray"]
            strip = ["-x", "0", "-y", str(foot_row(sheet)), "-W", str(sheet.width // 100)]
            made = subprocess.run(
                ["pdftoppm", *page, *strip, "-H", "1", str(path)], check=True, capture_output=True
            ).stdout
            head = re.match(rb"P5\s+(\d+)\s+1\s+255\s", made)
            assert head, made[:20]
            yield 1 - np.frombuffer(made[head.end() :], np.uint8) / 255

    return rows


def test_every_size_of_sheet_bears_it_in_print(measured):
    sheets = [bordered(sheet) for sheet in SHEETS]
    for sheet, row in zip(sheets, measured(sheets), strict=True):
        assert_true_to_size(row, sheet)


def test_every_sheet_of_a_set_bears_it_and_so_does_a_single_sheet(measured):
    sheets = [*draw(station(), sheet="A4"), *draw(station())]
    assert len(sheets) > 4
    for sheet, row in zip(sheets, measured(sheets), strict=True):
        assert_true_to_size(row, sheet)


def test_an_svg_bears_it_too():
    pytest.importorskip("resvg_py")
    from tests.paint.rendering import render

    sheet = bordered(ISO_SIZES[0])
    picture = render(paint(sheet), dpi=DPI)
    assert_true_to_size(picture.darkness[foot_row(sheet)], sheet)
