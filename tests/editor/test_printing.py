"""Print and write: pages seen to scale, the same files as the command writes, paper true to size."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from PySide6.QtCore import QSizeF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest

from slinediag.cli.main import main
from slinediag.damage import NO_FAILURE
from slinediag.drawing.marks import Drawing, Text
from slinediag.editor.printing.making import Doing, Page, make_pages
from slinediag.editor.printing.press import misfit
from slinediag.editor.printing.wanted import TITLES, Wanted
from slinediag.editor.things import Box
from slinediag.editor.trials import Item
from slinediag.file.read import load
from slinediag.output import chart_drawings
from slinediag.paint.pdf import pdf
from slinediag.papers.kinds import KINDS
from tests.builders import entry, jack

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def papers(window, qtbot):
    """The dialog, opened by its keys."""
    QTest.keyClick(window, Qt.Key.Key_P, CTRL)
    dialog = window.besides.papers
    qtbot.waitUntil(lambda: bool(dialog.preview.pages), timeout=30_000)
    return dialog


def choose(papers, qtbot, what):
    """Go down the list with the keys until this paper is chosen."""
    QTest.keyClick(papers.setup.papers, Qt.Key.Key_Home)
    for _ in range(list(TITLES).index(what)):
        QTest.keyClick(papers.setup.papers, Qt.Key.Key_Down)
    assert papers.setup.what == what
    qtbot.waitUntil(lambda: not papers._pause.isActive() and not papers.making.busy, timeout=30_000)


def click(button):
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def write(papers, qtbot, path):
    papers.target.path.setFocus()
    papers.target.path.selectAll()
    QTest.keyClick(papers.target.path, Qt.Key.Key_Delete)
    QTest.keyClicks(papers.target.path, str(path))
    click(papers.write_button)
    qtbot.waitUntil(lambda: not papers.writing.busy, timeout=30_000)


def words_on(marks):
    for mark in marks:
        if isinstance(mark, Text):
            yield mark.text
        yield from words_on(getattr(mark, "marks", ()))


@pytest.mark.parametrize("ending", ["svg", "pdf", "png", "gv"])
def test_a_chart_is_written_as_the_command_writes_it(papers, qtbot, plant_file, tmp_path, ending):
    ours, theirs = tmp_path / f"ours.{ending}", tmp_path / f"theirs.{ending}"
    write(papers, qtbot, ours)
    assert papers.words.text() == f"Written: {ours}"
    assert main(["draw", str(plant_file), "-o", str(theirs)]) == 0
    assert ours.read_bytes() == theirs.read_bytes()


def test_a_picture_is_as_fine_as_is_asked(papers, qtbot, plant_file, tmp_path):
    ours, theirs = tmp_path / "ours.png", tmp_path / "theirs.png"
    assert not papers.target.fineness.isVisible()
    papers.target.format.setCurrentIndex(papers.target.format.findData(".png"))
    assert papers.target.fineness.isVisible()
    papers.target.fineness.setValue(50)
    write(papers, qtbot, ours)
    assert main(["draw", str(plant_file), "-o", str(theirs), "--dpi", "50"]) == 0
    assert ours.read_bytes() == theirs.read_bytes()


def test_sheet_distance_and_trial_go_into_the_chart(window, papers, qtbot, plant_file, tmp_path):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    assert papers.setup.chart.tried.isChecked()
    papers.setup.chart.sheet.setCurrentIndex(papers.setup.chart.sheet.findData("A2"))
    papers.setup.chart.read_at.setValue(1000)
    click(papers.setup.chart.thorough)
    ours, theirs = tmp_path / "ours.svg", tmp_path / "theirs.svg"
    write(papers, qtbot, ours)
    command = ["draw", str(plant_file), "-o", str(theirs), "--sheet", "A2", "--read-at", "1000"]
    assert main([*command, "--effort", "quick", "--cord", "PB1.T3=PB2.B1"]) == 0
    assert ours.read_bytes() == theirs.read_bytes()


def test_failed_bays_and_cut_cables_go_into_the_chart(window, papers, qtbot, plant_file, tmp_path):
    chart = papers.setup.chart
    window.workplace.put(Item("cable", "S12"))
    assert chart.tried.isChecked()
    assert chart.tried.text() == "With what has failed, and the trial that is on"
    assert not chart.before.isEnabled()
    click(chart.thorough)
    ours, theirs = tmp_path / "ours.svg", tmp_path / "theirs.svg"
    write(papers, qtbot, ours)
    command = ["draw", str(plant_file), "-o", str(theirs), "--effort", "quick"]
    assert main([*command, "--cut", "S12"]) == 0
    assert ours.read_bytes() == theirs.read_bytes()
    assert "Cable S12 cut" in theirs.read_text(encoding="utf-8")
    chart.tried.click()
    assert papers.setup.wanted.failure == NO_FAILURE
    window.workplace.clear_trial()
    assert not chart.tried.isEnabled()


def test_a_part_folded_before_and_after_go_into_the_chart(
    window, papers, qtbot, plant_file, tmp_path
):
    chart = papers.setup.chart
    window.workplace.select(entry("XMIT.L"))
    chart.part.setCurrentIndex(chart.part.findText("Around LINK L"))
    chart.fold.setCurrentIndex(chart.fold.findText("Always"))
    ours, theirs = tmp_path / "ours.svg", tmp_path / "theirs.svg"
    write(papers, qtbot, ours)
    command = ["draw", str(plant_file), "-o", str(theirs)]
    assert main([*command, "--around", "XMIT.L", "--fold"]) == 0
    assert ours.read_bytes() == theirs.read_bytes()
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    chart.part.setCurrentIndex(0)
    chart.before.click()
    write(papers, qtbot, ours)
    assert main([*command, "--fold", "--cord", "PB1.T3=PB2.B1", "--before"]) == 0
    assert ours.read_bytes() == theirs.read_bytes()


def test_strips_are_written_on_the_sheet_that_is_chosen(papers, qtbot, plant_file, tmp_path):
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    choose(papers, qtbot, "strips")
    papers.setup.chart.sheet.setCurrentIndex(papers.setup.chart.sheet.findData("A2"))
    write(papers, qtbot, ours)
    assert (
        main(["paper", str(plant_file), "--kind", "strips", "-o", str(theirs), "--sheet", "A2"])
        == 0
    )
    made = {path.name: path.read_bytes() for path in theirs.iterdir()}
    assert {path.name: path.read_bytes() for path in ours.iterdir()} == made


@pytest.mark.parametrize("what", ["strips", "order"])
def test_papers_are_written_as_the_command_writes_them(papers, qtbot, plant_file, tmp_path, what):
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    choose(papers, qtbot, what)
    write(papers, qtbot, ours)
    assert main(["paper", str(plant_file), "--kind", what, "-o", str(theirs)]) == 0
    made = {path.name: path.read_bytes() for path in theirs.iterdir()}
    assert len(made) > 1
    assert {path.name: path.read_bytes() for path in ours.iterdir()} == made


def test_a_workbook_has_no_pages_and_is_written(papers, qtbot, plant_file, tmp_path):
    choose(papers, qtbot, "workbook")
    assert not papers.preview.pages
    assert not papers.print_button.isEnabled()
    ours, theirs = tmp_path / "ours.xlsx", tmp_path / "theirs.xlsx"
    write(papers, qtbot, ours)
    assert main(["export", str(plant_file), "-o", str(theirs)]) == 0
    assert ours.read_bytes() == theirs.read_bytes()


def test_changes_since_an_older_file_are_clouded(papers, qtbot, plant_file, tmp_path):
    old = tmp_path / "old.yaml"
    old.write_text(plant_file.read_text().replace("bottom: XMIT.L,", ""), encoding="utf-8")
    choose(papers, qtbot, "changes")
    assert papers.setup.against.text() == "Against the file as it was saved."
    papers.setup.compare_with(str(old))
    ours, theirs = tmp_path / "ours.svg", tmp_path / "theirs.svg"
    write(papers, qtbot, ours)
    assert main(["compare", str(old), str(plant_file), "--chart", str(theirs)]) in (0, 1)
    assert ours.read_bytes() == theirs.read_bytes()
    assert 'class="cloud"' in ours.read_text(encoding="utf-8")
    papers.setup.compare_with(str(tmp_path / "nowhere.yaml"))
    assert "nowhere.yaml" in papers.words.text()


def test_what_is_seen_is_what_is_written(papers, plant_file):
    facility = load(plant_file).facility
    shown = tuple(page.drawing for page in papers.preview.pages)
    assert shown == chart_drawings(facility, outages="bypasses")


def test_pages_turn_by_keys_and_buttons(papers, qtbot, plant_file):
    choose(papers, qtbot, "strips")
    sheets = KINDS["strips"].sheets(load(plant_file).facility)
    preview = papers.preview
    assert [page.drawing for page in preview.pages] == list(sheets)
    assert papers.number.text() == f"1 of {len(sheets)}"
    QTest.keyClick(preview, Qt.Key.Key_PageDown)
    assert preview.index == min(1, len(sheets) - 1)
    click(papers.back_button)
    assert preview.index == 0
    assert not papers.back_button.isEnabled()
    assert preview.accessibleDescription().startswith(f"Page 1 of {len(sheets)}, 297 by 210 mm")


def test_real_size_is_true_to_the_screen_and_can_be_put_right(papers):
    preview = papers.preview
    click(papers.real_button)
    to_the_mm = preview.screen().physicalDotsPerInchX() / 25.4
    assert preview.view.scale == pytest.approx(to_the_mm)
    assert preview.rule_length == pytest.approx(100 * to_the_mm)
    assert papers.rule.isVisible()
    papers.rule.setValue(1100)
    assert preview.view.scale == pytest.approx(1.1 * to_the_mm)
    assert preview.rule_length == pytest.approx(110 * to_the_mm)
    click(papers.whole_button)
    drawing = preview.pages[0].drawing
    assert drawing.width / 1000 * preview.view.scale <= preview.width()
    assert not papers.rule.isVisible()


def test_a_refusal_is_told_in_words_and_the_own_file_stays(papers, qtbot, plant_file, tmp_path):
    before = plant_file.read_bytes()
    write(papers, qtbot, plant_file)
    assert "this is the facility file itself" in papers.words.text()
    assert plant_file.read_bytes() == before
    write(papers, qtbot, tmp_path / "chart.doc")
    assert "Known endings" in papers.words.text()
    write(papers, qtbot, "")
    assert papers.words.text() == "Say where to: a name for the file or folder."


def test_what_would_be_replaced_is_said_first(papers, tmp_path):
    there = tmp_path / "there.svg"
    there.write_text("old", encoding="utf-8")
    papers.target.path.clear()
    QTest.keyClicks(papers.target.path, str(there))
    assert papers.target.note.text() == "there.svg is there already and will be replaced."
    assert papers.write_button.text() == "Replace"


def test_long_work_tells_how_far_it_is_and_is_stopped(papers, qtbot, other_processes):
    del other_processes
    papers.setup.chart.thorough.click()
    qtbot.waitUntil(lambda: papers.making.busy, timeout=30_000)
    assert papers.stop_button.isVisible()
    assert not papers.print_button.isEnabled()
    QTest.keyClick(papers, Qt.Key.Key_Escape)
    assert papers.isVisible()
    assert papers.words.text() == "Stopped."
    assert not papers.making.busy
    assert papers.making.process is None
    told = []
    papers.making.answered.connect(lambda _number, value: told.append(value))
    papers.make()
    click(papers.close_button)
    assert not papers.isVisible()
    assert not papers.making.busy
    papers.open_on()
    qtbot.waitUntil(lambda: bool(papers.preview.pages) and not papers.making.busy, timeout=60_000)
    assert isinstance(told[0], Doing)
    assert isinstance(told[-1][0], Page)


def test_sheets_too_small_are_refused_as_values():
    made = list(
        make_pages(load_sample(), Wanted("chart", sheet="A4", effort="quick", read_at=4000))
    )
    assert len(made) == 1
    assert "sheet" in made[0].problems[0].text().lower()


def test_remedies_are_what_can_be_chosen_here_and_name_the_place(papers, qtbot, tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    choose(papers, qtbot, "order")
    write(papers, qtbot, tmp_path / "file" / "folder")
    words = papers.words.text()
    assert str(tmp_path / "file" / "folder") in words
    assert "cannot make this folder" in words
    assert "-o" not in words.split()


def load_sample():
    return load(Path(__file__).resolve().parents[2] / "samples" / "larkfen.yaml").facility


# ---- paper


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler is not installed")
def test_printed_pages_are_true_to_size(papers, qtbot, tmp_path):
    # Poppler says where each word stands on the paper, in points of 1/72 inch.
    choose(papers, qtbot, "strips")
    pages = [page.drawing for page in papers.preview.pages]
    printed, written = tmp_path / "printed.pdf", tmp_path / "written.pdf"
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(printed))
    papers.print_on(printer)
    qtbot.waitUntil(lambda: not papers.press.busy, timeout=30_000)
    count = len(pages)
    assert papers.words.text().startswith(f"{count} page")
    written.write_bytes(pdf(pages))
    one, other = word_places(printed), word_places(written)
    assert len(one) > 20
    assert [word for word, *_ in one] == [word for word, *_ in other]
    for (_, *place), (_, *wanted) in zip(one, other, strict=True):
        assert place == pytest.approx(wanted, abs=0.5)


def word_places(path):
    done = subprocess.run(
        ["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True
    )
    found = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)"[^>]*>([^<]*)<', done.stdout)
    return sorted((word, float(x), float(y)) for x, y, word in found)


def test_a_printer_without_such_paper_is_told_and_not_used():
    a4, a3 = QSizeF(210, 297), QSizeF(297, 420)
    lying = Drawing(420_000, 297_000, (), "Chart")
    assert misfit("Desk", [a4, a3], [lying]) is None
    assert misfit("Desk", [], [lying]) is None
    refused = misfit("Desk", [a4], [lying])
    assert refused.text() == (
        "Desk: it has no paper of 420 × 297 mm. "
        "Choose another sheet, or write a PDF and have it printed at 100 %"
    )


# ---- the clipboard


@pytest.fixture(autouse=True)
def _emptied():
    """Qt's offscreen clipboard outlives Python, and what lies on it must not."""
    yield
    QGuiApplication.clipboard().clear()


def copied(window, qtbot, key):
    QTest.keyClick(window, key, CTRL | Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: not window.besides.copying.room.busy, timeout=30_000)
    return QGuiApplication.clipboard().mimeData()


def test_the_chart_is_copied_with_its_trial_as_svg_and_picture(window, qtbot):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    data = copied(window, qtbot, Qt.Key.Key_C)
    svg = bytes(data.data("image/svg+xml").data()).decode()
    drawing = window.canvas.chart.drawing
    assert f'width="{drawing.width / 1000:g}mm"' in svg
    assert 'class="cord trial"' in svg
    picture = data.imageData()
    assert picture.width() / picture.height() == pytest.approx(
        drawing.width / drawing.height, abs=0.01
    )
    assert bytes(data.data("image/png").data()).startswith(b"\x89PNG")
    assert window.notice.text() == "Chart copied, as SVG and as a picture."
    assert window.notice.property("danger") is False


def test_the_selected_part_is_copied_alone(window, qtbot):
    QTest.keyClick(window, Qt.Key.Key_X, CTRL | Qt.KeyboardModifier.AltModifier)
    assert "Select a jack" in window.notice.text()
    window.workplace.select(Box("XMIT"))
    data = copied(window, qtbot, Qt.Key.Key_X)
    svg = bytes(data.data("image/svg+xml").data()).decode()
    # The transmitter link and the lines at it; the players are not on these.
    assert ">LINK<" in svg
    assert ">DISC 1<" not in svg
    width = float(re.search(r'width="([\d.]+)mm"', svg)[1])
    assert width < window.canvas.chart.drawing.width / 1000 / 2


def test_the_field_of_the_path_is_whole_where_there_is_one_kind_of_file(papers, qtbot):
    papers.resize(1120, 680)
    choose(papers, qtbot, "strips")
    qtbot.waitUntil(lambda: papers.target.path.height() >= papers.target.path.sizeHint().height())
