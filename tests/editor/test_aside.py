"""Work beside the event loop: the window goes on, and a file is saved whole or not."""

from __future__ import annotations

import threading

import pytest
from PySide6.QtCore import QCoreApplication, QTimer

from slinediag.editor import workplace as workplaces
from slinediag.editor.aside import done_aside
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.model import edits
from tests.builders import jack

pytestmark = pytest.mark.usefixtures("qapp")


def test_the_loop_goes_round_meanwhile():
    rung = threading.Event()
    QTimer.singleShot(0, rung.set)
    # Waits for what only the loop can do.
    assert done_aside(lambda: rung.wait(30))


def test_what_goes_wrong_is_raised_where_it_was_asked_for():
    def work():
        raise ValueError("so it is")

    with pytest.raises(ValueError, match="so it is"):
        done_aside(work)


def test_in_a_thread_of_its_own_it_is_done_at_once():
    done = []
    thread = threading.Thread(target=lambda: done.append(done_aside(threading.current_thread)))
    thread.start()
    thread.join()
    assert done == [thread]


def test_work_is_finished_though_the_program_ends_meanwhile():
    go, done = threading.Event(), []

    def quit_early():
        QCoreApplication.instance().quit()
        QTimer.singleShot(0, go.set)
        # Nobody turns the loop any more, perhaps.
        threading.Timer(0.2, go.set).start()

    QTimer.singleShot(0, quit_early)
    done_aside(lambda: done.append(go.wait(30)))
    assert done == [True]


@pytest.fixture
def at_work(monkeypatch, plant_file):
    """A workplace with a change, every file of which counts as large."""
    monkeypatch.setattr(workplaces, "LARGE", 0)
    workplace = Workplace(load(plant_file))
    cord = jack("PB1.T3"), jack("PB2.B1")
    workplace.change("Cord", edits.with_cord(workplace.facility, cord, note="for a test"))
    workplace.told = []
    workplace.refused.connect(workplace.told.append)
    return workplace


def meanwhile(monkeypatch, happens):
    """Have something happen once on the loop while the bytes are worked out."""
    rewritten, once = workplaces.rewritten, []

    def slowly(document, facility):
        if not once:
            once.append(True)
            happened = threading.Event()
            QTimer.singleShot(0, QCoreApplication.instance(), lambda: (happens(), happened.set()))
            assert happened.wait(30)
        return rewritten(document, facility)

    monkeypatch.setattr(workplaces, "rewritten", slowly)


def test_a_large_file_is_saved_as_a_small_one_is(at_work, plant_file):
    assert at_work.save()
    assert load(plant_file).facility == at_work.facility
    assert not at_work.history.unsaved
    assert at_work.on_disk == plant_file.read_bytes()
    assert at_work.told == []


def test_what_somebody_writes_meanwhile_stays(at_work, plant_file, monkeypatch):
    others = plant_file.read_bytes() + b"# somebody else was here\n"
    meanwhile(monkeypatch, lambda: plant_file.write_bytes(others))
    assert not at_work.save()
    assert plant_file.read_bytes() == others
    assert at_work.history.unsaved
    assert "was changed on disk" in at_work.told[0][0].what
    assert [path.name for path in plant_file.parent.glob("*.tmp")] == []


def test_what_changes_meanwhile_is_saved_too(at_work, plant_file, monkeypatch):
    meanwhile(monkeypatch, at_work.undo)
    assert at_work.save()
    assert load(plant_file).facility == at_work.facility
    assert not at_work.history.unsaved


def test_a_second_save_meanwhile_does_nothing(at_work, plant_file, monkeypatch):
    second = []
    meanwhile(monkeypatch, lambda: second.append(at_work.save()))
    assert at_work.save()
    assert second == [False]
    assert load(plant_file).facility == at_work.facility
    assert at_work.save()
