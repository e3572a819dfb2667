"""PDF against the rules of ISO 32000 that a reader leans on, and against its own pages."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from slinediag.drawing.marks import Drawing
from slinediag.paint.pdf import pdf
from tests.paint.sample import MACHINE_WITHOUT_FONTS, SAMPLE

ROOT = Path(__file__).resolve().parents[2]
A3 = Drawing(420_000, 297_000, SAMPLE.marks, "Chart & <notes>")


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """The one application that all tests share."""


def streams(document: bytes) -> list[bytes]:
    found = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", document, re.DOTALL)
    inflated = []
    for content in found:
        try:
            inflated.append(zlib.decompress(content))
        except zlib.error:
            inflated.append(content)
    return inflated


def test_one_page_to_a_sheet_true_to_size() -> None:
    document = pdf([SAMPLE, A3])
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", document)
    # A point is 1/72 inch (ISO 32000-1, 8.3.2.3); Qt rounds pages to whole points.
    sizes = [(float(w) * 25_400 / 72, float(h) * 25_400 / 72) for w, h in boxes]
    assert len(sizes) == 2
    for size, drawing in zip(sizes, (SAMPLE, A3), strict=True):
        assert size == pytest.approx((drawing.width, drawing.height), abs=180)


def test_cross_references_point_at_their_objects() -> None:
    # ISO 32000-1, 7.5.4: entry n is the byte offset of object n; 7.5.5: startxref that of the table.
    document = pdf([SAMPLE, A3])
    start = int(re.findall(rb"startxref\n(\d+) ?\n", document)[-1])
    assert document[start : start + 4] == b"xref"
    offsets = re.findall(rb"(\d{10}) 00000 n", document[start:])
    assert len(offsets) > 10
    for number, offset in enumerate(offsets, start=1):
        head = b"%d 0 obj" % number
        assert document[int(offset) : int(offset) + len(head)] == head


def test_fonts_are_embedded_and_text_is_text() -> None:
    document = pdf([SAMPLE])
    assert document.count(b"/FontFile2") == 2
    # Text-showing operators (ISO 32000-1, 9.4.3) in the page, and a map back to Unicode.
    assert any(b"Tj" in stream or b"TJ" in stream for stream in streams(document))
    assert b"/ToUnicode" in document


def test_no_time_and_no_chance_in_the_file(tmp_path: Path) -> None:
    bare = tmp_path / "fonts.conf"
    bare.write_text(MACHINE_WITHOUT_FONTS, encoding="utf-8")
    code = (
        "from tests.paint.sample import SAMPLE; from slinediag.paint.pdf import pdf; import sys\n"
        "sys.stdout.buffer.write(pdf([SAMPLE]))"
    )
    outcomes = {
        subprocess.run(
            [sys.executable, "-c", code],
            env=os.environ | settings,
            cwd=ROOT,
            capture_output=True,
            check=True,
        ).stdout
        for settings in (
            {"PYTHONHASHSEED": "1", "TZ": "UTC"},
            {"PYTHONHASHSEED": "2", "TZ": "Asia/Kolkata", "FONTCONFIG_FILE": str(bare)},
        )
    }
    assert outcomes == {pdf([SAMPLE])}
    (document,) = outcomes
    assert b"Date" not in document
    assert b"uuid" not in document


def test_a_title_is_escaped_in_the_metadata() -> None:
    assert b"Chart &amp; &lt;notes&gt;" in pdf([A3])
