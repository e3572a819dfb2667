"""Where a chart's sheets lead: bookmarks by sheet and bay, flags to their mates, read from the PDF."""

from __future__ import annotations

import datetime
import io
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from slinediag.chart.chart import draw
from slinediag.chart.leads import Leads, chart_leads
from slinediag.drawing.marks import Drawing, Group, Line
from slinediag.drawing.query import groups_to_sheets, ink_box, text_boxes, walk
from slinediag.geometry import Box
from slinediag.output import draw_chart
from tests.chart import rules
from tests.chart.plants import chain, station

POINT = 72 / 25_400
"""Points to the micrometre: 72 to the inch (ISO 32000-1, 8.3.2.3)."""


@pytest.fixture(scope="module")
def sheets() -> tuple[Drawing, ...]:
    return draw(chain(30), sheet="A3", effort="quick")


@pytest.fixture(scope="module")
def leads(sheets: tuple[Drawing, ...]) -> Leads:
    return chart_leads(sheets, {"PB": "CHAIN"})


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    """The set as a PDF, dated."""
    request.getfixturevalue("qapp")
    facility = chain(30)
    dated = replace(facility, practice=replace(facility.practice, date=datetime.date(2026, 5, 18)))
    path = tmp_path_factory.mktemp("set") / "chain.pdf"
    draw_chart(dated, path, sheet="A3", effort="quick")
    return path


def flags(sheet: Drawing) -> list[Group]:
    return list(rules.groups(sheet.marks, "reference"))


def named(flag: Group) -> str:
    return rules.data_of(flag)["reference"]


def test_every_sheet_has_a_bookmark_and_every_bay_on_it(
    sheets: tuple[Drawing, ...], leads: Leads
) -> None:
    assert [mark.sheet for mark in leads.marks if mark.depth == 0] == list(range(len(sheets)))
    within = [mark for mark in leads.marks if mark.depth == 1]
    drawn = [n for n, sheet in enumerate(sheets) if list(rules.groups(sheet.marks, "point"))]
    assert [mark.sheet for mark in within] == drawn
    for mark in within:
        name, positions = mark.title.split("  ")
        assert name == "CHAIN"
        first = positions.removeprefix("from ")
        shown = [
            words.text for words, box in text_boxes(sheets[mark.sheet]) if mark.room.contains(box)
        ]
        assert f"PB {first}" in shown


def test_a_flag_leads_to_its_mate(sheets: tuple[Drawing, ...], leads: Leads) -> None:
    boxes = {(n, ink_box(flag)) for n, sheet in enumerate(sheets) for flag in flags(sheet)}
    led = [link for link in leads.links if (link.sheet, link.box) in boxes]
    assert all(link.room is not None for link in led)
    assert len(led) == sum(len(flags(sheet)) for sheet in sheets) > 0
    for link in led:
        (flag,) = (f for f in flags(sheets[link.sheet]) if ink_box(f) == link.box)
        shown = [f for f in flags(sheets[link.target]) if link.room.contains(ink_box(f))]
        assert named(flag) in map(named, shown)


def test_every_name_of_a_sheet_is_a_link(sheets: tuple[Drawing, ...], leads: Leads) -> None:
    assert len(leads.links) == sum(1 for s in sheets for _ in groups_to_sheets(s.marks))


def test_the_pdf_says_so_too(written: Path, sheets: tuple[Drawing, ...], leads: Leads) -> None:
    reader = PdfReader(io.BytesIO(written.read_bytes()))
    tops = [mark for mark in reader.outline if not isinstance(mark, list)]
    assert [reader.get_destination_page_number(mark) for mark in tops] == list(range(len(sheets)))
    found = [
        (n, annotation.get_object())
        for n, page in enumerate(reader.pages)
        for annotation in page.get("/Annots", ())
    ]
    assert len(found) == len(leads.links)
    for (page, annotation), link in zip(found, leads.links, strict=True):
        assert page == link.sheet
        height = sheets[page].height
        left, bottom, right, top = (float(value) for value in annotation["/Rect"])
        assert left == pytest.approx(link.box.x * POINT, abs=0.02)
        assert right == pytest.approx(link.box.right * POINT, abs=0.02)
        assert top == pytest.approx((height - link.box.y) * POINT, abs=0.6)
        assert bottom == pytest.approx((height - link.box.bottom) * POINT, abs=0.6)
        target = annotation["/Dest"][0]
        number = target if isinstance(target, int) else reader.get_page_number(target.get_object())
        assert number == link.target
    assert reader.metadata.creation_date == datetime.datetime(2026, 5, 18, tzinfo=datetime.UTC)


@pytest.mark.usefixtures("qapp")
def test_one_sheet_has_its_bays_as_bookmarks(tmp_path: Path) -> None:
    facility = station()
    for name in ("one.pdf", "two.pdf"):
        draw_chart(facility, tmp_path / name, sheet="one", effort="quick")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    (whole, bays) = PdfReader(tmp_path / "one.pdf").outline
    assert whole.title == "Test plant"
    assert [mark.title.split("  ")[0] for mark in bays] == ["PB1", "PB2"]


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is not installed")
def test_poppler_finds_the_words_of_every_sheet(written: Path, sheets: tuple[Drawing, ...]) -> None:
    for number, sheet in enumerate(sheets, 1):
        command = ["pdftotext", "-f", str(number), "-l", str(number), str(written), "-"]
        text = subprocess.run(command, capture_output=True, check=True).stdout.decode()
        words = {word for mark, _ in text_boxes(sheet) for word in mark.text.split()}
        assert words <= set(text.split())


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is not installed")
def test_zones_of_the_frame_are_a_rule_of_100_mm(
    written: Path, sheets: tuple[Drawing, ...]
) -> None:
    # ISO 5457:1999: fields of 50 mm from the centring marks, so that two of them are 100 mm. Their
    # numbers stand in their middles: poppler must find 3 and 5 that far apart, within 0.5 mm.
    command = ["pdftotext", "-f", "1", "-l", "1", "-bbox", str(written), "-"]
    boxes = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    found = {
        word: (float(left) + float(right)) / 2 / 72 * 25.4
        for left, top, right, word in re.findall(
            r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="[\d.]+">([35])<', boxes
        )
        if float(top) < 30
    }
    assert found["5"] - found["3"] == pytest.approx(100, abs=0.5)
    ticks = [
        p.mark
        for p in walk(sheets[0])
        if isinstance(p.mark, Line) and p.refs[0].classes == ("zones",)
    ]
    across = sorted({run[0].x for mark in ticks for run in mark.runs if run[0].x == run[1].x})
    assert across[3] - across[1] == 100_000
    assert Box(0, 0, sheets[0].width, sheets[0].height) == Box(0, 0, 420_000, 297_000)
