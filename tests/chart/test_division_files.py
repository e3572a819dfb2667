"""A set as files: names, links from sheet to sheet, pages, bookmarks, heights from a distance."""

from __future__ import annotations

import io
import math
import re

import pytest
from pypdf import PdfReader

import slinediag
from slinediag.cli.main import main
from slinediag.file.write import save
from tests.chart.plants import STATION
from tests.chart.plants import station as a_station

pytest.importorskip("PySide6.QtGui", exc_type=ImportError)


@pytest.fixture(scope="module")
def station():
    return a_station()


def test_a_set_is_a_file_a_sheet_and_links_lead_between_them(station, tmp_path):
    paths = slinediag.draw(station, tmp_path / "c h.svg", sheet="A4", effort="quick")
    names = [f"c h-{n}.svg" for n in range(1, len(paths) + 1)]
    assert paths == [str(tmp_path / name) for name in names]
    led = set()
    for path in paths:
        with open(path, encoding="utf-8") as file:
            led |= set(re.findall(r'<a [^>]*xlink:href="([^"]*)"', file.read()))
    # A file name in a link is percent-encoded (RFC 3986).
    assert led
    assert led <= {name.replace(" ", "%20") for name in names}


def test_a_pdf_holds_all_sheets_with_bookmarks_and_links(station, tmp_path):
    paths = slinediag.draw(station, tmp_path / "chart.pdf", sheet="A4", effort="quick")
    assert paths == [str(tmp_path / "chart.pdf")]
    data = (tmp_path / "chart.pdf").read_bytes()
    pages = PdfReader(io.BytesIO(data)).pages
    # A4 by ISO 216 in points of 1/72 inch.
    for page in pages:
        assert float(page.mediabox.width) == pytest.approx(297 / 25.4 * 72, abs=0.5)
        assert float(page.mediabox.height) == pytest.approx(210 / 25.4 * 72, abs=0.5)
    outline = PdfReader(io.BytesIO(data)).outline
    assert sum(not isinstance(mark, list) for mark in outline) == len(pages)
    assert any("/Annots" in page for page in pages)
    slinediag.draw(station, tmp_path / "again.pdf", sheet="A4", effort="quick")
    assert (tmp_path / "again.pdf").read_bytes() == data


def test_heights_follow_the_reading_distance(station, tmp_path):
    paths = slinediag.draw(station, tmp_path / "far.svg", sheet="A2", effort="quick", read_at=1000)
    # 16 minutes of arc at 1 m are 4.65 mm (ISO 9241-3).
    least = 2 * 1000 * math.tan(math.radians(16 / 60) / 2)
    assert least == pytest.approx(4.65, abs=0.01)
    heights = []
    for path in paths:
        with open(path, encoding="utf-8") as file:
            chart = re.search(r'<g class="chart">.*', file.read(), re.DOTALL)
        if chart:
            labels = re.findall(r'class="strip"[^>]*font-size="([\d.]+)"', chart[0])
            heights += [float(size) for size in labels]
    assert heights
    # Liberation Sans' capitals are 0.729 of its em high (its OS/2 table, from memory).
    assert min(heights) * 0.729 >= least - 0.05


def test_the_command_says_every_file(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    head = "slinediag: 1\nfacility: {name: Test plant}\n"
    save(tmp_path / "plant.yaml", (head + STATION).encode())
    assert main(["draw", "plant.yaml", "--sheet", "A4", "--effort", "quick"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "Chart: plant-1.svg"
    assert len(said) == len(list(tmp_path.glob("plant-*.svg"))) > 2


def test_a_distance_that_is_none_is_refused(capsys):
    assert main(["draw", "samples/larkfen.yaml", "--read-at", "-5"]) == 2
    assert "millimetres" in capsys.readouterr().err
