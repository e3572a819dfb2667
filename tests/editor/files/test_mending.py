"""A file with mistakes opens to its list of mistakes with the text, and is mended there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QTextCursor
from PySide6.QtTest import QTest

from slinediag.editor import looks
from slinediag.editor.files.mending import MendingWindow
from slinediag.editor.files.mending_text import MendedText
from slinediag.editor.files.numbered_text import LIT
from slinediag.editor.files.reading import read
from slinediag.editor.running import Windows
from slinediag.editor.window import Window
from slinediag.file.read import load
from tests.editor.files.conftest import press
from tests.editor.plant import PLANT

CTRL = Qt.KeyboardModifier.ControlModifier
BAD = PLANT.replace("PLY1.L, PLY1.R", "PLY1.L, PLY9.R").replace("normal: full", "normal: fulll", 1)
"""Mistakes in lines 15 and 21 of the file."""


@pytest.fixture
def bad_file(plant_file):
    plant_file.write_text(BAD, encoding="utf-8")
    return plant_file


@pytest.fixture
def windows(qtbot, monkeypatch):
    monkeypatch.setattr(Window, "may_leave", lambda _self: True)
    monkeypatch.setattr(Window, "introduce_if_new", lambda _self: None)
    monkeypatch.setattr(MendingWindow, "may_leave", lambda _self: True)
    made = Windows()
    yield made
    for window in list(made.open):
        window.close()
    qtbot.waitUntil(lambda: not made.open, timeout=30_000)


@pytest.fixture
def mending(qtbot, windows, bad_file):
    window = windows.show(read(str(bad_file)))
    qtbot.waitExposed(window)
    return window


def mend(window, old, new):
    """Type over a piece of the text."""
    at = window.text.text.index(old)
    cursor = QTextCursor(window.text.document())
    cursor.setPosition(at)
    cursor.setPosition(at + len(old), QTextCursor.MoveMode.KeepAnchor)
    window.text.setTextCursor(cursor)
    QTest.keyClicks(window.text, new)


def test_each_mistake_is_listed_with_its_line_and_the_place_is_lit(mending):
    assert isinstance(mending, MendingWindow)
    assert "2 mistakes" in mending.head.text()
    lines = mending.mistakes.lines
    assert [line.split(":")[0] for line in lines] == ["Line 15", "Line 21"]
    assert "PLY9" in lines[0]
    assert "fulll" in lines[1]
    assert set(mending.text.marked) == {15, 21}
    assert [
        n for n, line in enumerate(BAD.splitlines(), 1) if "PLY9" in line or "fulll" in line
    ] == [15, 21]
    lit = {s.cursor.blockNumber() + 1 for s in mending.text.extraSelections()}
    assert {15, 21} <= lit
    assert not mending.open_action.isEnabled()


def test_by_keyboard_from_list_to_place(mending):
    mending.mistakes.setFocus()
    mending.mistakes.setCurrentRow(1)
    QTest.keyClick(mending.mistakes, Qt.Key.Key_Return)
    assert mending.text.textCursor().blockNumber() + 1 == 21
    assert mending.text.hasFocus()
    QTest.keyClick(mending, Qt.Key.Key_F8, Qt.KeyboardModifier.ShiftModifier)
    assert mending.text.textCursor().blockNumber() + 1 == 15
    QTest.keyClick(mending, Qt.Key.Key_F8)
    assert mending.text.textCursor().blockNumber() + 1 == 21


def test_mended_as_one_types_then_opened_as_a_facility(qtbot, mending, windows, bad_file):
    mend(mending, "PLY9", "PLY1")
    qtbot.waitUntil(lambda: "1 mistake " in mending.head.text(), timeout=30_000)
    mend(mending, "fulll", "full")
    qtbot.waitUntil(mending.open_action.isEnabled, timeout=30_000)
    assert "no mistakes" in mending.head.text()
    assert bad_file.read_text(encoding="utf-8") == BAD
    QTest.keyClick(mending, Qt.Key.Key_Return, CTRL)
    (window,) = [w for w in windows.open if isinstance(w, Window)]
    assert window.workplace.facility == load(bad_file).facility
    assert bad_file.read_text(encoding="utf-8") == PLANT
    assert window.files.access.isHidden()
    qtbot.waitUntil(lambda: windows.open == [window], timeout=30_000)


def test_saved_half_mended_only_what_was_typed_is_other(mending, bad_file):
    odd = BAD.replace("Disc player 2", "Disc\u00a0player 2").replace("\n", "\r\n")
    bad_file.write_bytes(b"\xef\xbb\xbf" + odd.encode())
    mending._take_theirs()
    mend(mending, "PLY9", "PLY1")
    QTest.keyClick(mending, Qt.Key.Key_S, CTRL)
    wanted = odd.replace("PLY9", "PLY1")
    assert bad_file.read_bytes() == b"\xef\xbb\xbf" + wanted.encode()
    assert not mending.isWindowModified()


def test_text_of_a_killed_process_is_taken_back(qtbot, windows, bad_file):
    work = MendedText(str(bad_file), bad_file.read_bytes())
    work.change(BAD.replace("PLY9", "PLY1"))
    assert work.settle(30)
    # As a killed process leaves it.
    work._keeper.end(remove=False)
    work._lock.release()
    window = windows.show(read(str(bad_file)))
    assert "Unsaved work on the text" in window.bar.words.text()
    press(window.bar, "Bring it back")
    assert window.text.text == BAD.replace("PLY9", "PLY1")
    assert window.isWindowModified()
    qtbot.waitUntil(lambda: "1 mistake " in window.head.text(), timeout=30_000)
    names = [path.name for path in bad_file.parent.glob(".plant.yaml.unsaved*")]
    assert names == [".plant.yaml.unsaved-2"]


def test_changed_on_the_disk_meanwhile_it_is_not_overwritten(mending, bad_file):
    theirs = BAD.replace("Small plant", "Other plant")
    bad_file.write_text(theirs, encoding="utf-8")
    mend(mending, "PLY9", "PLY1")
    QTest.keyClick(mending, Qt.Key.Key_S, CTRL)
    assert bad_file.read_text(encoding="utf-8") == theirs
    assert "changed on the disk" in mending.bar.words.text()
    press(mending.bar, "Take the text from the disk")
    assert mending.text.text == theirs
    QTest.keyClick(mending.text, Qt.Key.Key_Z, CTRL)
    assert "PLY1.R" in mending.text.text


def test_opened_from_a_window_it_gets_one_of_its_own(qtbot, windows, plant_file, tmp_path):
    window = windows.show(read(str(plant_file)))
    before = window.workplace.facility
    bad = tmp_path / "bad.yaml"
    bad.write_text(BAD, encoding="utf-8")
    window.open(str(bad))
    qtbot.waitUntil(lambda: len(windows.open) == 2, timeout=30_000)
    assert window.workplace.facility is before
    assert windows.open[1].work.name == str(bad)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"slinediag: 1\nfacility: {name: Stra\xdfe}\n", "the byte DF (hexadecimal) is not UTF-8"),
        (b"slinediag: 1\n\x00\x01\x02", "control character"),
        (b"\xff\xfes\x00", "UTF-16"),
        (b"# " + b"x" * 4 * 1024 * 1024, "larger than 4 MiB"),
        (None, "this is a folder"),
        ("", "there is no such file"),
    ],
)
def test_what_is_no_text_is_told_and_what_is_open_stays(
    qtbot, windows, plant_file, tmp_path, data, words
):
    window = windows.show(read(str(plant_file)))
    before = window.workplace.facility
    path = tmp_path / "other.yaml"
    if data is None:
        path.mkdir()
    elif data:
        path.write_bytes(data)
    window.open(str(path))
    qtbot.waitUntil(lambda: words in window.notice.text(), timeout=30_000)
    assert "other.yaml" in window.notice.text()
    assert window.workplace.facility is before


@pytest.mark.parametrize("ink", [looks.LIGHT, looks.DARK])
def test_text_on_lit_lines_can_be_read(ink):
    """WCAG 2.2, 1.4.3: text at least 4.5 : 1 on its ground; the formula as published there."""

    def luminance(colour):
        shares = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in colour]
        return 0.2126 * shares[0] + 0.7152 * shares[1] + 0.0722 * shares[2]

    def parts(name):
        return [int(name[n : n + 2], 16) / 255 for n in (1, 3, 5)]

    share = 2 * LIT / 255
    ground = [
        share * over + (1 - share) * under
        for over, under in zip(parts(ink.danger), parts(ink.field), strict=True)
    ]
    light, dark = sorted((luminance(parts(ink.text)), luminance(ground)), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 4.5
