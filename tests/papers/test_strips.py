"""Strips as they come out of a renderer that shares no code with slinediag: scale, cuts, words."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import resvg_py

from slinediag.chart.sheet import sheet_named
from slinediag.drawing.marks import Drawing, Group, Line, Mark, Rect, Text
from slinediag.drawing.query import text_box, text_boxes, walk
from slinediag.geometry import Box
from slinediag.model.labels import jack_label
from slinediag.paint.pdf import pdf
from slinediag.paint.svg import paint
from slinediag.papers.page import A4, EDGE, LEFT
from slinediag.papers.pieces import pieces_of
from slinediag.papers.strips import longest_on, strip_pages
from slinediag.papers.wording import word_bay
from slinediag.resources import resource
from tests.builders import plant
from tests.paint.rendering import decoded
from tests.papers.apart import hold_apart
from tests.papers.samples import sample

DPI = 254  # ten pixels to the millimetre


@pytest.fixture(scope="module")
def sheets() -> tuple[Drawing, ...]:
    return strip_pages(sample("quillmoor"))


@pytest.fixture(scope="module")
def printed(
    sheets: tuple[Drawing, ...],
    tmp_path_factory: pytest.TempPathFactory,
    request: pytest.FixtureRequest,
) -> Path:
    """The strips as a PDF."""
    request.getfixturevalue("qapp")
    path = tmp_path_factory.mktemp("strips") / "strips.pdf"
    path.write_bytes(pdf(sheets))
    return path


def words_in(printed: Path) -> list[list[tuple[str, float, float, float, float]]]:
    """By page what poppler reads, with left, top, right and bottom in micrometres."""
    command = ["pdftotext", "-bbox", str(printed), "-"]
    text = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    return [
        [
            (html.unescape(word), *(float(v) * 25_400 / 72 for v in corners))
            for *corners, word in re.findall(
                r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)<',
                page,
            )
        ]
        for page in text.split("<page ")[1:]
    ]


def rendered(drawing: Drawing) -> np.ndarray:
    fonts = str(resource("fonts/LiberationSans-Regular.ttf").parent)
    png = resvg_py.svg_to_bytes(
        svg_string=paint(drawing),
        dpi=DPI,
        background="#ffffff",
        skip_system_fonts=True,
        font_dirs=[fonts],
    )
    return decoded(bytes(png))


def groups(marks: tuple[Mark, ...], name: str) -> list[Group]:
    found = []
    for mark in marks:
        if isinstance(mark, Group):
            found += [mark] if name in mark.ref.classes else groups(mark.marks, name)
    return found


def leaves(marks: tuple[Mark, ...], kind: type) -> list:
    found = []
    for mark in marks:
        found += (
            leaves(mark.marks, kind)
            if isinstance(mark, Group)
            else [mark]
            if isinstance(mark, kind)
            else []
        )
    return found


def test_a_sheet_and_its_rule_are_true_to_size(sheets: tuple[Drawing, ...]) -> None:
    # ISO 216: A4 is 210 x 297 mm. The 100 mm rule must measure 100 mm within 0.5 mm (common practice).
    picture = rendered(sheets[0])
    assert picture.shape == (2100, 2970)
    rule = next(
        p.mark
        for p in walk(sheets[0])
        if isinstance(p.mark, Line) and p.mark.ref and "rule" in p.mark.ref.classes
    )
    (left, y), (right, _) = rule.runs[0]
    assert right - left == 100_000
    row = picture[y // 100 - 20, left // 100 - 30 : right // 100 + 30]  # just above: the end ticks
    dark = np.nonzero(row > 0.3)[0]
    assert (dark[-1] - dark[0]) / 10 == pytest.approx(100, abs=0.5)


def test_strips_cut_from_the_rendering_fit_the_panel(sheets: tuple[Drawing, ...]) -> None:
    facility = sample("quillmoor")
    wording = word_bay(facility, facility.bays["PB1"])
    picture = rendered(sheets[0])
    strips = groups(sheets[0].marks, "strip")
    assert len(strips) == 4
    lengths = {"T": 0.0, "B": 0.0}
    for strip in strips:
        cut = next(r for r in leaves(strip.marks, Rect) if r.ref and "cut" in r.ref.classes)
        # Along a line through the labels' middle the cut edges are the outermost ink.
        y = cut.box.y + cut.box.height // 2
        row = picture[y // 100, cut.box.x // 100 - 5 : cut.box.right // 100 + 6]
        dark = np.nonzero(row > 0.2)[0]
        length = (dark[-1] - dark[0]) / 10
        assert length == pytest.approx(cut.box.width / 1000, rel=0.005)
        lengths[dict(strip.ref.data)["row"]] += length
        assert cut.box.height == wording.panel.windows[0].box.height
    # 438.15 mm between the ears, on two pieces to a row.
    assert lengths["T"] == pytest.approx(438.15, rel=0.005)
    assert lengths["B"] == pytest.approx(438.15, rel=0.005)


def test_labels_are_in_their_cells_and_apart(sheets: tuple[Drawing, ...]) -> None:
    facility = sample("quillmoor")
    for sheet in sheets:
        for strip in groups(sheet.marks, "strip"):
            data = dict(strip.ref.data)
            panel = word_bay(facility, facility.bays[data["bay"]]).panel
            edges, first = panel.window(data["row"]).edges, int(data["first"])
            cut = next(r.box for r in leaves(strip.marks, Rect) if r.ref and "cut" in r.ref.classes)
            for label in groups(strip.marks, "label"):
                positions = [
                    int(j.rsplit(".", 1)[1][1:]) for j in dict(label.ref.data)["jacks"].split()
                ]
                left = cut.x + edges[positions[0] - 1] - edges[first - 1]
                right = cut.x + edges[positions[-1]] - edges[first - 1]
                for words in leaves(label.marks, Text):
                    assert left <= words.at.x - words.width / 2
                    assert words.at.x + words.width / 2 <= right
                    assert cut.y < words.at.y - words.height < words.at.y < cut.bottom


def test_no_text_lies_on_text_or_off_the_page(sheets: tuple[Drawing, ...]) -> None:
    inner = Box(LEFT, EDGE, A4.width - LEFT - EDGE, A4.height - 2 * EDGE)
    for sheet in (*sheets, *strip_pages(sample("larkfen"))):
        boxes = [box for _, box in text_boxes(sheet)]
        for n, box in enumerate(boxes):
            assert inner.contains(box)
            for other in boxes[n + 1 :]:
                assert not box.meets(other)


def test_pieces_cut_no_label_in_two() -> None:
    facility = sample("quillmoor")
    for bay in facility.bays.values():
        wording = word_bay(facility, bay)
        for row in bay.jack_rows:
            pieces = pieces_of(wording, row, longest_on(A4))
            assert [n for first, last in pieces for n in range(first, last + 1)] == list(
                range(1, bay.width + 1)
            )
            for lettered in wording.lettered:
                jacks = lettered.field.jacks
                if jacks[0].row == row:
                    assert any(
                        f <= jacks[0].position and jacks[-1].position <= t for f, t in pieces
                    )


def test_marks_of_normals_are_those_of_the_contact_table(sheets: tuple[Drawing, ...]) -> None:
    # PB1 1-4 full: a plug in either row breaks. PB1 5-32 half: above it taps, below it breaks;
    # PB1 17 above also feeds a half-normal on another bay, which taps as well.
    strips = {
        (dict(s.ref.data)["bay"], dict(s.ref.data)["row"], dict(s.ref.data)["first"]): s
        for sheet in sheets
        for s in groups(sheet.marks, "strip")
    }

    def count(strip: Group, name: str) -> int:
        marks = [m for m in strip.marks if getattr(m, "ref", None) and name in m.ref.classes]
        return len(marks)

    top, bottom = strips["PB1", "T", "1"], strips["PB1", "B", "1"]
    assert (count(top, "break-mark"), count(top, "tap-mark")) == (4, 20)
    assert (count(bottom, "break-mark"), count(bottom, "tap-mark")) == (24, 0)


def test_labels_come_out_high_enough_to_be_read_at_500_mm(sheets: tuple[Drawing, ...]) -> None:
    # 16 minutes of arc at 500 mm are 2.33 mm (ISO 9241-3, NUREG-0700 1.3.1-4).
    picture = rendered(sheets[0])
    measured = []
    for strip in groups(sheets[0].marks, "strip"):
        for label in groups(strip.marks, "label"):
            for words in leaves(label.marks, Text):
                left, right = words.at.x - words.width // 2, words.at.x + words.width // 2
                top, foot = words.at.y - words.height - 300, words.at.y + 300
                part = picture[top // 100 : foot // 100, left // 100 + 1 : right // 100]
                rows = np.nonzero((part > 0.4).any(axis=1))[0]
                measured.append((rows[-1] - rows[0] + 1) / 10)
    assert len(measured) > 60
    assert min(measured) >= 2.33


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler's pdftotext is not installed")
def test_poppler_finds_each_label_over_its_own_jack(
    sheets: tuple[Drawing, ...], printed: Path
) -> None:
    """Every cell of every strip, as another program reads it, against the label in the model."""
    facility = sample("quillmoor")
    seen = set()
    for sheet, found in zip(sheets, words_in(printed), strict=True):
        for strip in groups(sheet.marks, "strip"):
            data = dict(strip.ref.data)
            wording = word_bay(facility, facility.bays[data["bay"]])
            edges = wording.panel.window(data["row"]).edges
            full = {form: word for word, form in wording.key.items()}
            cut = next(r.box for r in leaves(strip.marks, Rect) if r.ref and "cut" in r.ref.classes)
            for lettered in wording.lettered:
                jacks = lettered.field.jacks
                first, last = jacks[0].position, jacks[-1].position
                if jacks[0].row != data["row"] or not (
                    int(data["first"]) <= first <= int(data["last"])
                ):
                    continue
                start = cut.x - edges[int(data["first"]) - 1]
                left, right = start + edges[first - 1], start + edges[last]
                # The bar with the groups' letters lies at the strip's outer edge, 3 mm of it, but
                # where a label of three lines has its room.
                bar = 0 if lettered.field.lines > 2 else 3_000
                top = cut.y + (bar if data["row"] == "T" else 0)
                foot = cut.bottom - (bar if data["row"] == "B" else 0)
                words = [
                    word for word, x0, y0, x1, y1 in found
                    if left < (x0 + x1) / 2 < right and top < (y0 + y1) / 2 < foot
                ]  # fmt: skip
                spelled = sorted(full.get(w, w) for w in " ".join(words).split())
                assert spelled == sorted(lettered.field.words)
                labels = {word for j in jacks for word in jack_label(facility, j).upper().split()}
                assert labels <= set(spelled) <= labels | {"IN", "OUT"}
                seen |= set(jacks)
    assert seen == {j for j in facility.jacks if jack_label(facility, j)}


@pytest.mark.skipif(not shutil.which("pdftoppm"), reason="poppler's pdftoppm is not installed")
def test_the_pdf_prints_the_rule_at_its_length(
    sheets: tuple[Drawing, ...], printed: Path, tmp_path: Path
) -> None:
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-png", "-singlefile", str(printed), str(tmp_path / "page")],
        check=True,
    )
    picture = decoded((tmp_path / "page.png").read_bytes())
    rule = next(
        p.mark
        for p in walk(sheets[0])
        if isinstance(p.mark, Line) and p.mark.ref and "rule" in p.mark.ref.classes
    )
    (left, y), (right, _) = rule.runs[0]
    row = picture[y // 100 - 20, left // 100 - 30 : right // 100 + 30]
    dark = np.nonzero(row > 0.3)[0]
    assert (dark[-1] - dark[0]) / 10 == pytest.approx(100, abs=0.5)


def test_a_strip_lies_whole_on_a_sheet_that_is_wide_enough() -> None:
    # 438.15 mm of strip: in pieces on A4 (297 mm) and A3 (420 mm), whole on A2 (594 mm; ISO 216).
    facility = sample("quillmoor")
    for name, pieces in (("A4", 2), ("A3", 2), ("A2", 1), ("A", 2), ("B", 2), ("C", 1)):
        paper = sheet_named(name)
        made = strip_pages(facility, paper)
        assert {(page.width, page.height) for page in made} == {(paper.width, paper.height)}
        found = [s for page in made for s in groups(page.marks, "strip")]
        assert sum(dict(s.ref.data)["bay"] == "PB1" for s in found) == 2 * pieces
        for page in made:
            hold_apart((page,))
            for strip in groups(page.marks, "strip"):
                cut = next(r for r in leaves(strip.marks, Rect) if r.ref and "cut" in r.ref.classes)
                assert LEFT < cut.box.x < cut.box.right < page.width - EDGE


def test_ends_that_join_bear_the_same_letter(sheets: tuple[Drawing, ...]) -> None:
    # Each row of PB1 is two pieces: the first ends and the second begins at A.
    joints = [
        p.mark for p in walk(sheets[0]) if any("joint" in ref.classes for ref in p.refs)
    ]  # fmt: skip
    cuts = [
        next(r.box for r in leaves(s.marks, Rect) if r.ref and "cut" in r.ref.classes)
        for s in groups(sheets[0].marks, "strip")
    ]
    assert [mark.text for mark in joints] == ["A"] * 4
    for number, (cut, mark) in enumerate(zip(cuts, joints, strict=True)):
        assert cut.y < mark.at.y < cut.bottom
        assert mark.at.x > cut.right if number % 2 == 0 else mark.at.x < cut.x


def test_a_label_of_three_words_takes_three_lines_and_the_bar_its_room() -> None:
    # PROD DSK PHNS at PB4 T21 has no room in two lines of 9.13 mm.
    facility = sample("quillmoor")
    assert not any(word_bay(facility, bay).misfits for bay in facility.bays.values())
    strip = next(
        s
        for page in strip_pages(facility)
        for s in groups(page.marks, "strip")
        if dict(s.ref.data) == {"bay": "PB4", "row": "T", "first": "1", "last": "24"}
    )
    label = next(
        found
        for found in groups(strip.marks, "label")
        if dict(found.ref.data)["jacks"] == "PB4.T21"
    )
    lines = leaves(label.marks, Text)
    assert [line.text for line in lines] == ["PROD", "DSK", "PHNS"]
    assert {line.height for line in lines} == {2_500}
    boxes = [text_box(line) for line in lines]
    bars = [r.box for r in leaves(strip.marks, Rect) if r.ref and "group" in r.ref.classes]
    assert not any(bar.meets(box) for bar in bars for box in boxes)


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler's pdftotext is not installed")
def test_poppler_measures_the_pitch_of_the_panel(printed: Path) -> None:
    # 438.15 mm (17.25 in) between the ears divided by 48 are 9.128 mm (calculated).
    words = words_in(printed)[0]
    # The first 24 is in the strip's name, "1 to 24", the second above its last cell.
    _, first, *_ = sorted(top for word, _, top, _, _ in words if word == "24")
    middle = {
        word: (left + right) / 2
        for word, left, top, right, _ in words
        if abs(top - first) < 500 and word.isdigit()
    }
    assert len(middle) == 24
    assert (middle["24"] - middle["1"]) / 23_000 == pytest.approx(438.15 / 48, rel=0.005)


def test_a_plant_without_bays_says_so() -> None:
    (page,) = strip_pages(plant("equipment: {A: {name: Box}}"))
    assert "No bays" in {mark.text for mark, _ in text_boxes(page)}


def test_a_bay_without_labels_keeps_its_colour_bar_and_its_marks() -> None:
    facility = plant("bays: {PB: {name: Bay, positions: 4, points: {1-2: {group: TIES}}}}")
    (page,) = strip_pages(facility)
    top, bottom = groups(page.marks, "strip")
    for strip, mark in ((top, "tap-mark"), (bottom, "break-mark")):
        found = [m.ref.classes for m in strip.marks if getattr(m, "ref", None)]
        assert found.count(("group",)) == 1
        assert found.count((mark,)) == 4


def test_the_key_of_a_bay_is_printed_below_its_strips() -> None:
    facility = sample("quillmoor")
    for page, bay in zip(strip_pages(facility), facility.bays.values(), strict=True):
        wording = word_bay(facility, bay)
        forms = {form: word for word, form in wording.key.items()}
        forms |= {form: word for form, word in wording.filed.items() if form not in wording.key}
        words = [mark for mark, _ in text_boxes(page)]
        for form, word in forms.items():
            # The last of them: a strip may have it in bold as well.
            short = [m for m in words if m.text == form and m.weight == "bold"][-1]
            beside = [m.text for m in words if m.at.y == short.at.y and m.at.x > short.at.x]
            assert beside[0] == word
