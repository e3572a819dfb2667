"""The file on the disk is never overwritten unasked, and what becomes of it is told."""

from __future__ import annotations

import os

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.files.locking import FileLock
from slinediag.editor.files.recovery_bar import ASIDE, DISCARD, LATER, TAKE
from slinediag.file.read import load
from slinediag.model import edits
from tests.builders import jack
from tests.editor.files.conftest import press
from tests.editor.files.test_recovery import gap


def replaced(path, old, new):
    """Let another program write the file anew, as editors do: beside it, then in its place."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    other = path.with_suffix(".new")
    other.write_text(text.replace(old, new), encoding="utf-8")
    os.replace(other, path)


def asked(qtbot, window, words):
    bar = window.files.disk
    qtbot.waitUntil(lambda: not bar.isHidden() and words in bar.words.text(), timeout=30_000)
    return bar


def test_a_change_on_the_disk_is_told_in_the_trades_words_and_taken(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    bar = asked(qtbot, window, "was changed on the disk: 1 change.")
    assert bar.lines.lines == ["label only: equipment PLY1: label: “DISC 1” to “CD 1”"]
    press(bar, "Take it from the disk")
    workplace = window.workplace
    assert workplace.facility == load(plant_file).facility
    assert not workplace.history.unsaved
    assert bar.isHidden()
    workplace.undo()
    assert workplace.facility.equipment["PLY1"].label == "DISC 1"
    assert workplace.history.unsaved
    assert workplace.save()


def test_both_changed_they_are_merged_with_both_texts_comments(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    workplace = window.workplace
    workplace.change("Cord", edits.with_cord(workplace.facility, (jack("PB2.T9"), jack("PB2.T10"))))
    replaced(plant_file, "# what plays", "# what plays\n# and more")
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    bar = asked(qtbot, window, "You have 1 change here")
    press(bar, "Merge both")
    assert workplace.facility.equipment["PLY1"].label == "CD 1"
    assert len(workplace.facility.cords) == 2
    assert workplace.save()
    assert "# and more" in plant_file.read_text(encoding="utf-8")
    saved = load(plant_file).facility
    assert (saved.equipment["PLY1"].label, len(saved.cords)) == ("CD 1", 2)
    workplace.undo()
    assert workplace.facility.equipment["PLY1"].label == "DISC 1"


@pytest.mark.parametrize(("side", "label"), [(0, "HERE"), (1, "THERE")])
def test_where_both_changed_the_same_one_chooses(qtbot, plant_file, open_window, side, label):
    window = open_window(plant_file)
    workplace = window.workplace
    replaced(plant_file, "label: DISC 1", "label: HERE")
    workplace.open(plant_file)
    there = workplace.facility
    replaced(plant_file, "label: HERE", "label: DISC 1")
    workplace.open(plant_file)
    workplace.change("Label", there)
    replaced(plant_file, "label: DISC 1", "label: THERE")
    bar = asked(qtbot, window, "choose what shall stand")
    ((path, box),) = bar.choices.boxes.items()
    assert path == ("equipment", "PLY1", "label")
    assert [box.itemText(n) for n in (0, 1)] == ["here: HERE", "on the disk: THERE"]
    box.setCurrentIndex(side)
    press(bar, "Merge both")
    assert workplace.facility.equipment["PLY1"].label == label


def test_kept_what_is_open_takes_the_files_place_when_it_is_saved(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    before = plant_file.read_bytes()
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    bar = asked(qtbot, window, "Nothing was changed here")
    press(bar, "Keep what is open")
    assert "CD 1" in plant_file.read_text(encoding="utf-8")
    assert window.workplace.history.unsaved
    assert window.files.work.settle(30)
    assert window.files.work.path
    assert window.save()
    assert plant_file.read_bytes() == before


def test_saving_looks_first_also_where_nothing_told_of_the_change(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    window.files.watch._watcher.blockSignals(True)
    gap(window.workplace)
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    theirs = plant_file.read_bytes()
    assert not window.save()
    assert plant_file.read_bytes() == theirs
    assert "changed on disk since it was opened" in window.notice.text()
    asked(qtbot, window, "You have")


def test_other_comments_only_are_taken_in_and_told(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    replaced(plant_file, "# what plays", "# what plays, and where")
    qtbot.waitUntil(lambda: "comments or layout only" in window.notice.text(), timeout=30_000)
    gap(window.workplace)
    assert window.save()
    assert "# what plays, and where" in plant_file.read_text(encoding="utf-8")


def test_mistakes_on_the_disk_are_told_and_what_is_open_stays(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    replaced(plant_file, "PLY1.L", "PLY9.L")
    bar = asked(qtbot, window, "now has 1 mistake.")
    assert "PLY9" in bar.lines.lines[0]
    assert "PLY1" in window.workplace.facility.equipment


def test_a_vanished_file_is_told_and_not_written_again_unasked(
    qtbot, plant_file, open_window, monkeypatch
):
    window = open_window(plant_file)
    gap(window.workplace)
    plant_file.unlink()
    bar = asked(qtbot, window, "is not there any more")
    assert not window.save()
    assert not plant_file.exists()
    monkeypatch.setattr(
        "slinediag.editor.window.QFileDialog.getSaveFileName",
        lambda *_: (str(plant_file), ""),
    )
    press(bar, "Save as …")
    assert load(plant_file).facility == window.workplace.facility
    qtbot.waitUntil(bar.isHidden, timeout=30_000)


def test_a_vanished_folder_is_told(qtbot, plant_file, open_window, tmp_path):
    folder = tmp_path / "drive"
    folder.mkdir()
    file = folder / "plant.yaml"
    file.write_bytes(plant_file.read_bytes())
    window = open_window(file)
    folder.rename(tmp_path / "away")
    asked(qtbot, window, "The folder of plant.yaml is not there any more")
    assert not window.save()
    assert "not there any more" in window.notice.text()
    (tmp_path / "away").rename(folder)
    window.files.watch.look()
    assert window.files.disk.isHidden()


def test_a_read_only_file_is_not_replaced(plant_file, open_window):
    plant_file.chmod(0o444)
    window = open_window(plant_file)
    assert "plant.yaml is read-only" in window.files.access.words.text()
    before = plant_file.read_bytes()
    gap(window.workplace)
    assert not window.save()
    assert "read-only" in window.notice.text()
    assert plant_file.read_bytes() == before


def test_a_file_open_in_another_window_is_told_and_not_written(plant_file, open_window, state):
    first, second = open_window(plant_file), open_window(plant_file)
    assert first.files.access.isHidden()
    bar = second.files.access
    assert f"process {os.getpid()}" in bar.words.text()
    gap(second.workplace)
    assert not second.save()
    assert "open in another window" in second.notice.text()
    assert second.files.work.settle(30)
    assert list(state.glob("plant.yaml.*.unsaved"))
    first.close()
    press(bar, "Look again")
    assert bar.isHidden()
    assert second.save()


def test_a_lock_whose_process_has_ended_counts_for_nothing(plant_file):
    child = os.fork()
    if not child:
        held = FileLock(str(plant_file))
        os._exit(0 if held.take() is None else 1)
    os.waitpid(child, 0)
    assert (plant_file.parent / ".plant.yaml.open").exists()
    lock = FileLock(str(plant_file))
    assert lock.take() is None
    assert lock.held
    lock.release()


def test_a_lock_of_another_machine_is_told_and_can_be_taken_over(plant_file, open_window):
    (plant_file.parent / ".plant.yaml.open").write_text("4711\nslinediag\nstudio-2\n\n\n")
    window = open_window(plant_file)
    bar = window.files.access
    assert "a window on studio-2 (process 4711)" in bar.words.text()
    press(bar, "It is closed there: take it over")
    assert bar.isHidden()
    gap(window.workplace)
    assert window.save()


def test_saved_under_another_name_one_stays_where_one_is(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    qtbot.waitUntil(lambda: window.canvas.chart is not None, timeout=30_000)
    window.canvas.zoom(5)
    view = window.canvas.view
    assert window.workplace.save(plant_file.with_name("copy.yaml"))
    assert not (plant_file.parent / ".plant.yaml.open").exists()
    assert (plant_file.parent / ".copy.yaml.open").exists()
    chart = window.canvas.chart
    gap(window.workplace)
    qtbot.waitUntil(lambda: window.canvas.chart is not chart, timeout=30_000)
    assert window.canvas.view == view
    assert window.files.work.settle(30)
    assert (plant_file.parent / ".copy.yaml.unsaved").exists()


def test_a_file_that_is_open_elsewhere_is_not_saved_over(plant_file, open_window, tmp_path):
    other = tmp_path / "other.yaml"
    other.write_bytes(plant_file.read_bytes())
    before = other.read_bytes()
    open_window(other)
    window = open_window(plant_file)
    gap(window.workplace)
    assert not window.workplace.save(other)
    assert "this file is open in another window" in window.notice.text()
    assert other.read_bytes() == before


def test_a_key_leads_to_the_question_and_back(qtbot, plant_file, open_window):
    plant_file.chmod(0o444)
    window = open_window(plant_file)
    with qtbot.waitActive(window):
        window.activateWindow()
    QTest.keyClick(window, Qt.Key.Key_F6)
    bar = window.files.access
    assert bar.buttons["Save as …"].hasFocus()
    press(bar, "All right")
    assert bar.isHidden()


def test_no_letter_of_a_bar_is_one_of_a_menu(plant_file, open_window):
    window = open_window(plant_file)
    menus = {action.text()[action.text().index("&") + 1] for action in window.menuBar().actions()}
    words = [TAKE, ASIDE, DISCARD, LATER, "Take it f&rom the disk", "&Keep", "&Merge both"]
    assert not menus & {word[word.index("&") + 1].upper() for word in words}


def test_the_same_change_on_both_sides_leaves_nothing_to_save(qtbot, plant_file, open_window):
    window = open_window(plant_file)
    workplace = window.workplace
    before = plant_file.read_bytes()
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    theirs = load(plant_file).facility
    plant_file.write_bytes(before)
    workplace.change("Label", theirs)
    replaced(plant_file, "label: DISC 1", "label: CD 1")
    press(asked(qtbot, window, "You have 1 change"), "Merge both")
    assert not workplace.history.unsaved
    assert workplace.facility == theirs


def test_a_link_is_followed_to_the_file_it_leads_to(qtbot, plant_file, open_window, tmp_path):
    link = tmp_path / "links" / "station.yaml"
    link.parent.mkdir()
    link.symlink_to(plant_file)
    window = open_window(link)
    assert (plant_file.parent / ".plant.yaml.open").exists()
    for label in ("CD 1", "CD 2"):
        # Twice: the second time it is another file that is watched.
        replaced(
            plant_file, "label: CD 1" if label == "CD 2" else "label: DISC 1", f"label: {label}"
        )
        press(asked(qtbot, window, "was changed on the disk"), "Take it from the disk")
    gap(window.workplace)
    assert window.files.work.settle(30)
    assert (plant_file.parent / ".plant.yaml.unsaved").exists()
    assert window.save()
    assert link.is_symlink()
    assert load(plant_file).facility == window.workplace.facility
