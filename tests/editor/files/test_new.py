"""A new facility from a few pages: loads, checks clean, goes on by hand; by keyboard alone."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit

from slinediag.checks.check import check
from slinediag.editor.files.draft import (
    KINDS,
    Draft,
    DraftBay,
    DraftBox,
    DraftPoint,
    facility_of,
    file_name,
    file_of,
    in_order,
    mistakes,
    of_kind,
    read_ports,
)
from slinediag.editor.files.new_guide import PAGES, NewGuide
from slinediag.file.read import load, parse
from slinediag.model import edits
from slinediag.problems import RequestError
from tests import oracle
from tests.builders import entry, jack, output

STATION = (
    DraftBox("PLY1", "Player 1", "", "L R"),
    DraftBox("DESK", "Desk", "1-4", "L, R", "all"),
    DraftBox("LIM", "Limiter", "L R", "L R", "straight"),
    DraftBox("LINK", "Transmitter link", "L R", ""),
)
BAYS = (DraftBay("PB1", "Bay 1", "bantam", "24", "half", "Rack 1"),)


def test_a_chain_in_order_is_normaled_through_to_air():
    points = in_order(BAYS, STATION)
    assert [(p.position, p.top, p.bottom) for p in points] == [
        ("1", "PLY1.L", "DESK.1"),
        ("2", "PLY1.R", "DESK.2"),
        ("3", "", "DESK.3"),
        ("4", "", "DESK.4"),
        ("5", "DESK.L", "LIM.L"),
        ("6", "DESK.R", "LIM.R"),
        ("7", "LIM.L", "LINK.L"),
        ("8", "LIM.R", "LINK.R"),
    ]
    facility = facility_of(Draft("Harbour", "", BAYS, STATION, points))
    fed = oracle.feeds(facility, oracle.contact_graph(facility, oracle.at_rest(facility)))
    heard = oracle.hears(facility, fed)
    assert heard[entry("LINK.L")] == {output("PLY1.L"), output("PLY1.R")}
    grave = [f for f in check(facility) if f.severity in ("danger", "error")]
    assert grave == []


def test_the_file_loads_and_takes_an_edit_that_leaves_its_comments():
    draft = Draft("Harbour: one", "", BAYS, STATION, in_order(BAYS, STATION))
    data = file_of(draft, "/plant/harbour-one.yaml")
    document = parse(data, "harbour-one.yaml")
    assert document.facility == facility_of(draft)
    assert document.notes == ()
    text = data.decode()
    assert text.startswith("# Harbour: one\n")
    assert "slinediag check harbour-one.yaml" in text
    # Runs of positions are written as people write them.
    assert "1-2: {top: [PLY1.L, PLY1.R], bottom: [DESK.1, DESK.2]}" in text


def test_nothing_at_all_is_a_file_that_loads_and_says_how_to_go_on():
    data = file_of(Draft(), "new.yaml")
    assert parse(data, "new.yaml").facility.name == "New facility"
    uncommented = "".join(
        line.removeprefix("# ")
        for line in data.decode().splitlines(True)[4:]
        if "like this" not in line
    )
    shown = parse(uncommented.encode(), "shown.yaml").facility
    assert set(shown.equipment) == {"PLY1", "LINK"}


@pytest.mark.parametrize(
    ("draft", "where", "what"),
    [
        (Draft(bays=(DraftBay("1PB", "x"),)), "1PB", "cannot be the id"),
        (Draft(bays=(DraftBay("", "Wall"),)), "Wall", "has no id"),
        (Draft(bays=(DraftBay("PB1", "x", "", "200"),)), "PB1", "no number of positions"),
        (Draft(bays=BAYS, boxes=(DraftBox("PB1", "x"),)), "PB1", "stands twice"),
        (Draft(boxes=(DraftBox("A", "x", "L L"),)), "A", "L stands twice"),
        (Draft(boxes=(DraftBox("A", "x", "main left!"),)), "A", "“left!” cannot be a port"),
        (Draft(boxes=(DraftBox("A", "x", "L", "L R", "straight"),)), "A", "straight paths"),
        (Draft(bays=BAYS, points=(DraftPoint("PB1", "25", "A.L"),)), "PB1 25", "no such position"),
        (Draft(bays=BAYS, points=(DraftPoint("PB2", "1", "A.L"),)), "PB2 1", "no such bay"),
        (Draft(bays=BAYS, points=(DraftPoint("PB1", "1", "A.L"),)), "PB1 1", "no output A.L"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_with_its_place(draft, where, what):
    found = [p for p in mistakes(draft) if p.where == where and what in p.what]
    assert found
    assert found[0].hint
    with pytest.raises(RequestError):
        file_of(draft, "new.yaml")


def test_runs_of_ports():
    assert read_ports("1-3, AUX L") == ("1", "2", "3", "AUX", "L")
    assert read_ports("8-1") == ("8-1",)


def test_file_names_are_plain():
    assert file_name("Harbour Lane / Studio 2") == "harbour-lane-studio-2.yaml"
    assert file_name("Ü") == "new-facility.yaml"


words = st.text(alphabet="AB1-_ .,é:#\"'\n", max_size=6)


@given(
    st.builds(
        Draft,
        st.text(max_size=8),
        words,
        st.lists(st.builds(DraftBay, words, words, st.just(""), words, st.just("")), max_size=2).map(tuple),
        st.lists(st.builds(DraftBox, words, words, words, words), max_size=2).map(tuple),
        st.lists(st.builds(DraftPoint, words, words, words, words), max_size=2).map(tuple),
    )
)  # fmt: skip
def test_whatever_is_typed_ends_in_a_file_that_loads_or_in_words(draft):
    if mistakes(draft):
        with pytest.raises(RequestError):
            file_of(draft, "new.yaml")
        return
    with contextlib.suppress(RequestError):
        # Refused where a text holds what no paper can show.
        data = file_of(draft, "new.yaml")
        assert parse(data, "new.yaml").facility == facility_of(draft)


@given(st.lists(st.sampled_from(list(KINDS)), max_size=8))
def test_all_kinds_laid_out_in_order_check_without_error(kinds):
    boxes = []
    for kind in kinds:
        boxes.append(of_kind(kind, [box.id for box in boxes]))
    bays = (DraftBay("PB1", "Bay 1"), DraftBay("PB2", "Bay 2"))
    facility = facility_of(Draft("", "", bays, tuple(boxes), in_order(bays, boxes)))
    assert [f for f in check(facility) if f.severity in ("danger", "error")] == []


# ---- the pages, by keyboard alone


@pytest.fixture
def guide(qtbot):
    guide = NewGuide()
    qtbot.addWidget(guide)
    guide.show()
    qtbot.waitExposed(guide)
    with qtbot.waitActive(guide):
        guide.activateWindow()
    return guide


def type_in_cell(table, text):
    """Begin to type in the current cell, and end with Return."""
    QTest.keyClicks(table, text[0])
    editor = table.findChild(QLineEdit)
    QTest.keyClicks(editor, text[1:])
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()


def test_by_keyboard_to_a_file_that_is_opened(qtbot, guide, tmp_path):
    alt = Qt.KeyboardModifier.AltModifier

    def press(key, done):
        # A button that is pressed by its letter clicks a moment later.
        QTest.keyClick(guide, key, alt)
        qtbot.waitUntil(done, timeout=30_000)

    def on(page):
        return lambda: guide.steps.currentItem().text() == page

    path, made = tmp_path / "harbour.yaml", []
    guide.made.connect(made.append)
    QTest.keyClicks(guide.name, "Harbour")
    QTest.keyClick(guide.name, Qt.Key.Key_Return)
    assert guide.steps.currentItem().text() == "Bays"
    guide.bays.setCurrentCell(0, 3)
    type_in_cell(guide.bays, "24")
    assert guide.draft.bays[0].positions == "24"
    press(Qt.Key.Key_N, on("Equipment"))
    for count, kind in enumerate(("Stereo player", "Transmitter link"), 1):
        guide.kind.setFocus()
        QTest.keyClick(guide.kind, Qt.Key.Key_Home)
        for _ in range(list(KINDS).index(kind)):
            QTest.keyClick(guide.kind, Qt.Key.Key_Down)
        assert guide.kind.currentText() == kind
        press(Qt.Key.Key_A, lambda count=count: len(guide.draft.boxes) == count)
    assert [box.id for box in guide.draft.boxes] == ["PLY1", "LINK1"]
    press(Qt.Key.Key_N, on("First normals"))
    press(Qt.Key.Key_L, lambda: bool(guide.draft.points))
    assert guide.draft.points[0] == DraftPoint("PB1", "1", "PLY1.L", "LINK1.L")
    press(Qt.Key.Key_N, on("File"))
    assert "Harbour: 1 bay, 2 pieces of equipment, 2 positions in use" in guide.summary.text()
    assert guide.path.text().endswith("harbour.yaml")
    guide.path.selectAll()
    QTest.keyClicks(guide.path, str(path))
    press(Qt.Key.Key_M, lambda: bool(made))
    assert made == [str(path)]
    facility = load(path).facility
    assert facility.carriers[output("PLY1.R")] == jack("PB1.T2")
    assert facility.carriers[entry("LINK1.R")] == jack("PB1.B2")
    assert edits.with_cord(facility, (jack("PB1.T3"), jack("PB1.B4")))


def test_a_cell_of_choices_offers_them(guide):
    guide._go_to(1)
    guide.bays.setCurrentCell(0, 4)
    QTest.keyClick(guide.bays, Qt.Key.Key_F2)
    box = guide.bays.findChild(QComboBox)
    assert [box.itemText(n) for n in range(box.count())] == [
        "",
        "half",
        "full",
        "reverse-half",
        "parallel",
        "none",
    ]
    QTest.keyClicks(box, "full")
    QTest.keyClick(box, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert guide.draft.bays[0].normal == "full"


def test_a_mistake_is_told_leads_to_its_page_and_keeps_from_making(guide):
    guide.bays.item(0, 0).setText("1PB")
    assert "cannot be the id" in guide.notice.text()
    guide._go_to(len(PAGES) - 1)
    assert not guide.make.isEnabled()
    guide.wrong.setCurrentRow(0)
    QTest.keyClick(guide.wrong, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert guide.steps.currentItem().text() == "Bays"


def test_what_is_there_is_not_overwritten(guide, plant_file):
    before = plant_file.read_bytes()
    guide._go_to(len(PAGES) - 1)
    guide.path.setText(str(plant_file))
    guide.write()
    assert "is there already" in guide.notice.text()
    guide.path.setText(str(plant_file.parent / "nowhere" / "new.yaml"))
    guide.write()
    assert "is not there" in guide.notice.text()
    assert plant_file.read_bytes() == before
