"""What files bear unseen: well formed, read back whole, and nothing hostile is followed."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader, PdfWriter

from slinediag.drawing.marks import Drawing, Line
from slinediag.geometry import Point
from slinediag.paint.bearing import (
    MOST,
    NAMESPACE,
    Unreadable,
    borne_by_svg,
    packed,
    together,
    unpacked,
)
from slinediag.paint.svg import paint

BEARS = (("version", "1"), ("chart", '{"names":["<a> & \\"b\\"","PB1:T3"]}'))
MARK = Line(((Point(1000, 1000), Point(9000, 1000)),))
SHEET = Drawing(50_000, 40_000, (MARK,), "Sheet <1>", "words", 1, BEARS)
OTHER = Drawing(50_000, 40_000, (MARK,), "Sheet 2", "", 2, (BEARS[0], ("sheet 2", "[1,2]")))


def written(path: Path, data: str | bytes) -> Path:
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def test_an_svg_gives_back_what_its_drawing_bears(tmp_path):
    text = borne_by_svg(written(tmp_path / "a.svg", paint(SHEET)))
    assert text == together([SHEET])
    assert json.loads(text) == {"version": 1, "chart": {"names": ['<a> & "b"', "PB1:T3"]}}


def test_it_stands_in_the_metadata_under_a_namespace_of_its_own():
    root = ElementTree.fromstring(paint(SHEET))
    (metadata,) = root.findall("{http://www.w3.org/2000/svg}metadata")
    (element,) = metadata
    assert element.tag == f"{{{NAMESPACE}}}standing"
    # SVG 1.1, 5.4 and 21: title and description first, metadata before what is drawn.
    assert [child.tag.partition("}")[2] for child in root][:3] == ["title", "desc", "metadata"]


def test_it_outlives_a_program_that_writes_the_svg_anew(tmp_path):
    """With another prefix and other white space round it, as XML allows."""
    again = ElementTree.tostring(ElementTree.fromstring(paint(SHEET)), encoding="utf-16")
    assert json.loads(borne_by_svg(written(tmp_path / "a.svg", again))) == json.loads(
        together([SHEET])
    )


def test_what_sheets_have_in_common_is_borne_once():
    assert json.loads(together([SHEET, OTHER])) == {
        "version": 1,
        "chart": {"names": ['<a> & "b"', "PB1:T3"]},
        "sheet 2": [1, 2],
    }
    assert together([Drawing(1, 1, (), "")]) == ""


def test_a_drawing_that_bears_nothing_has_no_metadata(tmp_path):
    plain = paint(Drawing(50_000, 40_000, (MARK,), "Plain"))
    assert "metadata" not in plain
    assert borne_by_svg(written(tmp_path / "a.svg", plain)) == ""


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no XML",
        "<svg><g></svg>",
        '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg>&b;</svg>',
        '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>',
    ],
)
def test_what_is_no_svg_or_declares_things_is_refused(text, tmp_path):
    with pytest.raises(Unreadable):
        borne_by_svg(written(tmp_path / "a.svg", text))


def test_an_svg_that_bears_far_too_much_is_refused(tmp_path):
    huge = f'<svg><standing xmlns="{NAMESPACE}">{"x" * (MOST + 1)}</standing></svg>'
    with pytest.raises(Unreadable):
        borne_by_svg(written(tmp_path / "a.svg", huge))


def test_what_is_packed_is_unpacked():
    text = together([SHEET]) * 100
    assert unpacked(packed(text)) == text
    assert len(packed(text)) < len(text) / 10


@pytest.mark.parametrize("text", ["", "?", "AAAA", packed("x")[:-8], packed("x" * (MOST + 1))])
def test_what_is_not_packed_or_swells_is_refused(text):
    with pytest.raises(Unreadable):
        unpacked(text)


def test_a_pdf_gives_back_what_its_drawings_bear(tmp_path):
    pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
    from slinediag.paint.binding import bind, borne_by_pdf
    from slinediag.paint.pdf import pdf

    text = together([SHEET, OTHER])
    document = bind(pdf([SHEET, OTHER]), title="Set", numbers=(1, 3), bears=text)
    assert document == bind(pdf([SHEET, OTHER]), title="Set", numbers=(1, 3), bears=text)
    path = written(tmp_path / "a.pdf", document)
    assert borne_by_pdf(path) == text
    # Pages are called by the numbers of their sheets (ISO 32000-1, 12.4.2).
    assert PdfReader(io.BytesIO(document)).page_labels == ["1", "3"]
    plain = written(tmp_path / "b.pdf", bind(pdf([SHEET]), title="Plain", numbers=(1,)))
    assert borne_by_pdf(plain) == ""
    if shutil.which("pdfinfo"):  # poppler
        told = subprocess.run(
            ["pdfinfo", "-custom", path], capture_output=True, text=True, check=True
        )
        entries = dict(line.split(":", 1) for line in told.stdout.splitlines())
        assert unpacked(entries["SlinediagStanding"].strip()) == text
        assert told.stderr == ""


@pytest.mark.parametrize(
    "data", [b"", b"%PDF-1.4\n%%EOF\n", b"%PDF-1.4\ntrailer << /Info 1 0 R >>\n" * 3, bytes(5000)]
)
def test_a_broken_pdf_is_refused(data, tmp_path):
    from slinediag.paint.binding import borne_by_pdf

    with pytest.raises(Unreadable):
        borne_by_pdf(written(tmp_path / "a.pdf", data))


def test_a_pdf_whose_entry_is_something_else_is_refused(tmp_path):
    from slinediag.paint.binding import ENTRY, borne_by_pdf

    writer = PdfWriter()
    writer.add_blank_page(10, 10)
    writer.add_metadata({ENTRY: "nothing packed"})
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(Unreadable):
        borne_by_pdf(written(tmp_path / "a.pdf", out.getvalue()))
