"""Work that was not saved is offered back, and never lost without being asked about."""

from __future__ import annotations

import os

import pytest

from slinediag.editor.files import journal
from slinediag.editor.files.journal_keeper import Keeper, Kept
from slinediag.editor.files.places import hidden_beside, journal_paths
from slinediag.editor.files.recovery_bar import ASIDE, DISCARD, LATER, TAKE
from slinediag.editor.files.unsaved import UnsavedWork, begun_now, clean_text
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.model import edits
from slinediag.model.edits import Position
from tests.builders import jack
from tests.editor.files.conftest import press

TAKE, ASIDE, DISCARD, LATER = (words.replace("&", "") for words in (TAKE, ASIDE, DISCARD, LATER))


def gap(workplace, number=1):
    facility = edits.insert_gap(workplace.facility, Position("PB1", number))
    workplace.change(f"Insert a gap at PB1 {number}", facility)


def abandoned(path, *numbers):
    """Work on a file that ends as a killed process leaves it; the facility as it was last."""
    workplace = Workplace(load(path))
    work = UnsavedWork(workplace)
    for number in numbers:
        gap(workplace, number)
    assert work.settle(30)
    work.end(remove=False)
    return workplace.facility


@pytest.fixture
def journal_file(plant_file):
    return plant_file.parent / ".plant.yaml.unsaved"


def offered(qtbot, window):
    bar = window.files.recovery
    assert "was found" in bar.words.text()
    assert not bar.isHidden()
    qtbot.waitUntil(lambda: bool(bar.buttons), timeout=30_000)
    return bar


def test_each_change_is_on_the_disk_and_gone_once_it_is_saved(plant_file, journal_file):
    workplace = Workplace(load(plant_file))
    work = UnsavedWork(workplace)
    assert not journal_file.exists()
    gap(workplace)
    gap(workplace, 4)
    workplace.undo()
    assert work.settle(30)
    kept = journal.read(journal_file.read_bytes())
    assert [stage.change for stage in kept.stages] == [
        "Insert a gap at PB1 1",
        "Insert a gap at PB1 4",
    ]
    assert kept.stage.text == clean_text(workplace.facility)
    assert kept.begin.text == plant_file.read_text(encoding="utf-8")
    assert workplace.save()
    assert not journal_file.exists()
    workplace.undo()
    assert work.settle(30)
    assert journal.read(journal_file.read_bytes()).stage.text == clean_text(workplace.facility)
    work.end(remove=True)
    assert not journal_file.exists()


def test_work_of_a_killed_process_is_taken_back_with_its_steps(qtbot, plant_file, open_window):
    lost = abandoned(plant_file, 1, 4)
    window = open_window(plant_file)
    bar = offered(qtbot, window)
    assert "plant.yaml" in bar.words.text()
    assert any("PB1 1 moved to PB1 2" in line for line in bar.lines.lines)
    press(bar, TAKE)
    workplace = window.workplace
    assert workplace.facility == lost
    assert workplace.history.unsaved
    assert workplace.history.undoes == "Insert a gap at PB1 4"
    assert bar.isHidden()
    workplace.undo()
    workplace.undo()
    assert workplace.facility == load(plant_file).facility
    assert not workplace.history.unsaved
    workplace.redo()
    workplace.redo()
    assert window.notice.text() == "The unsaved work is back. It is not saved yet."
    assert window.save()
    assert window.notice.text() == ""
    assert load(plant_file).facility == lost
    assert "# what plays" in plant_file.read_text(encoding="utf-8")


def test_taken_back_it_is_kept_anew_before_the_old_journal_goes(
    qtbot, plant_file, open_window, journal_file
):
    lost = abandoned(plant_file, 1)
    window = open_window(plant_file)
    press(offered(qtbot, window), TAKE)
    assert not journal_file.exists()
    new = journal.read((plant_file.parent / ".plant.yaml.unsaved-2").read_bytes())
    assert new.stage.text == clean_text(lost)


def test_put_aside_it_is_a_file_that_loads(qtbot, plant_file, open_window, journal_file):
    lost = abandoned(plant_file, 1)
    window = open_window(plant_file)
    press(offered(qtbot, window), ASIDE)
    (aside,) = plant_file.parent.glob("plant-unsaved-*.yaml")
    assert load(aside).facility == lost
    assert aside.name in window.notice.text()
    assert not journal_file.exists()
    assert not window.workplace.history.unsaved


def test_discarding_asks_again_and_can_be_left(qtbot, plant_file, open_window, journal_file):
    abandoned(plant_file, 1)
    window = open_window(plant_file)
    bar = offered(qtbot, window)
    press(bar, DISCARD)
    assert journal_file.exists()
    press(bar, "Keep it")
    assert TAKE in bar.buttons
    press(bar, DISCARD)
    press(bar, "Discard it for good")
    assert not journal_file.exists()
    assert bar.isHidden()


def test_later_it_is_offered_again(qtbot, plant_file, open_window, journal_file):
    abandoned(plant_file, 1)
    window = open_window(plant_file)
    press(offered(qtbot, window), LATER)
    gap(window.workplace, 4)
    assert window.files.work.settle(30)
    window.close()
    assert journal_file.exists()
    again = open_window(plant_file)
    assert "PB1 1 moved to PB1 2" in " ".join(offered(qtbot, again).lines.lines)


def test_a_torn_end_is_told_and_the_rest_is_taken_back(
    qtbot, plant_file, open_window, journal_file
):
    first = abandoned(plant_file, 1)
    whole = journal_file.read_bytes()
    journal_file.unlink()
    abandoned(plant_file, 1, 4)
    journal_file.write_bytes(journal_file.read_bytes()[: len(whole) + 40])
    window = open_window(plant_file)
    bar = offered(qtbot, window)
    assert "not written whole" in bar.words.text()
    press(bar, TAKE)
    assert window.workplace.facility == first


def test_a_file_that_went_on_since_keeps_what_was_done_to_it(qtbot, plant_file, open_window):
    abandoned(plant_file, 4)
    workplace = Workplace(load(plant_file))
    workplace.change("Cord", edits.with_cord(workplace.facility, (jack("PB2.T9"), jack("PB2.T10"))))
    assert workplace.save()
    window = open_window(plant_file)
    bar = offered(qtbot, window)
    assert "was changed since then" in bar.words.text()
    press(bar, TAKE)
    cords = {str(cord) for cord in window.workplace.facility.cords}
    assert cords == {"PB1.T5=PB2.B8", "PB2.T9=PB2.T10"}


def test_where_both_changed_the_same_one_chooses(qtbot, plant_file, open_window):
    abandoned(plant_file, 1)
    text = plant_file.read_text(encoding="utf-8")
    plant_file.write_text(text.replace("note: spare", "note: loan"), encoding="utf-8")
    window = open_window(plant_file)
    bar = offered(qtbot, window)
    press(bar, TAKE)
    assert bar.choices.isVisible()
    (box,) = [b for path, b in bar.choices.boxes.items() if path[0] == "cords"][:1]
    assert box.accessibleName()
    press(bar, "Bring it back so")
    assert window.workplace.history.unsaved


def test_a_journal_that_cannot_be_read_is_told_and_left(plant_file, open_window, journal_file):
    journal_file.write_bytes(b"something else\n")
    window = open_window(plant_file)
    assert "cannot be read" in window.notice.text()
    assert journal_file.exists()


def test_where_the_folder_is_read_only_work_is_kept_in_the_state_folder(
    plant_file, open_window, state
):
    folder = plant_file.parent / "shelf"
    folder.mkdir()
    file = folder / "plant.yaml"
    file.write_bytes(plant_file.read_bytes())
    folder.chmod(0o555)
    try:
        window = open_window(file)
        words = window.files.access.words.text()
        assert "read-only" in words
        assert str(state) in words
        gap(window.workplace)
        assert window.files.work.settle(30)
        (kept,) = state.glob("plant.yaml.*.unsaved")
        assert journal.read(kept.read_bytes()).stage.text == clean_text(window.workplace.facility)
        assert not window.save()
        assert "read-only" in window.notice.text()
        assert list(journal_paths(str(file))) == [str(kept)]
    finally:
        folder.chmod(0o755)


class FullDisk:
    """A disk that takes only so many bytes more, as the kernel says it."""

    def __init__(self, monkeypatch):
        self.room = 10**9
        real = os.write

        def write(descriptor, data):
            if self.room < len(data):
                taken = real(descriptor, bytes(data)[: self.room]) if self.room else 0
                self.room = 0
                if not taken:
                    raise OSError(28, "No space left on device")
                return taken
            self.room -= len(data)
            return real(descriptor, data)

        monkeypatch.setattr(os, "write", write)


def test_on_a_full_disk_it_is_told_and_tried_again(monkeypatch, plant_file, journal_file):
    disk, told = FullDisk(monkeypatch), []
    text = plant_file.read_text(encoding="utf-8")
    path = hidden_beside(str(plant_file), "unsaved")
    keeper = Keeper((path,), begun_now(str(plant_file), text), told.append, retry=0.01)
    keeper.step("One", lambda: "one\n")
    assert keeper.settle(30)
    disk.room = 11
    keeper.step("Two", lambda: "two\n")
    assert not keeper.settle(0.1)
    assert told == [Kept("refused", reason="No space left on device")]
    kept = journal.read(journal_file.read_bytes())
    assert (kept.stage.text, kept.damaged) == ("one\n", False)
    disk.room = 10**6
    assert keeper.settle(30)
    assert told[-1] == Kept("well")
    assert journal.read(journal_file.read_bytes()).stage.text == "two\n"
    keeper.end(remove=False)


def test_a_full_disk_while_saving_leaves_the_old_file_and_the_journal(
    qtbot, plant_file, open_window, monkeypatch, journal_file
):
    window = open_window(plant_file)
    before = plant_file.read_bytes()
    gap(window.workplace)
    assert window.files.work.settle(30)
    disk = FullDisk(monkeypatch)
    disk.room = 100
    assert not window.save()
    assert "No space left on device" in window.notice.text()
    assert plant_file.read_bytes() == before
    assert journal.read(journal_file.read_bytes()).stage is not None
    assert not list(plant_file.parent.glob("*.tmp"))
    gap(window.workplace, 4)
    qtbot.waitUntil(lambda: not window.files.keeping.isHidden(), timeout=30_000)
    assert "No space left on device" in window.files.keeping.words.text()
    disk.room = 10**9
    qtbot.waitUntil(lambda: window.files.keeping.isHidden(), timeout=30_000)
    assert window.save()
    assert not journal_file.exists()


def test_where_nothing_at_all_can_be_written_it_is_told_and_the_window_works(
    qtbot, plant_file, open_window, monkeypatch, tmp_path
):
    # Below a file there can be no folder, whoever one is.
    monkeypatch.setenv("XDG_STATE_HOME", str(plant_file))
    folder = tmp_path / "shelf"
    folder.mkdir()
    file = folder / "plant.yaml"
    file.write_bytes(plant_file.read_bytes())
    folder.chmod(0o555)
    try:
        window = open_window(file)
        gap(window.workplace)
        qtbot.waitUntil(lambda: not window.files.keeping.isHidden(), timeout=30_000)
        assert "Unsaved work cannot be kept" in window.files.keeping.words.text()
        assert window.workplace.history.undoes == "Insert a gap at PB1 1"
    finally:
        folder.chmod(0o755)
