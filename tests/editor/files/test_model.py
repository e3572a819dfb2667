"""Edits, undo, redo, saves, other programs' writes and crashes at random, against a plain twin."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from slinediag.editor.files.recovery import find, weigh
from slinediag.editor.files.unsaved import UnsavedWork
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from tests.editor.files.working import EDITS, Hands, Twin
from tests.editor.plant import PLANT

HERE = "# what plays"


class Work(RuleBasedStateMachine):
    """One person with one file. A crash is the workplace left as a killed process leaves it."""

    def __init__(self):
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="work"))
        self.file = self.folder / "plant.yaml"
        self.file.write_text(PLANT, encoding="utf-8")
        self.comments = 0
        self.begin(Workplace(load(self.file)))
        self.twin = Twin(self.workplace.facility)

    def begin(self, workplace):
        self.workplace, self.hands = workplace, Hands(workplace)
        self.refused = []
        workplace.refused.connect(self.refused.append)
        self.kept = UnsavedWork(workplace)

    @initialize(numbers=st.lists(st.integers(0, EDITS - 1), max_size=3))
    def some(self, numbers):
        if numbers:
            self.edit(numbers)

    @rule(numbers=st.lists(st.integers(0, EDITS - 1), min_size=1, max_size=4))
    def edit(self, numbers):
        for number in numbers:
            self.hands.edit(number)
            self.twin.edit(number)

    @rule(times=st.integers(1, 3))
    def undo(self, times):
        for _ in range(times):
            self.hands.undo()
            self.twin.undo()

    @rule(times=st.integers(1, 2))
    def redo(self, times):
        for _ in range(times):
            self.hands.redo()
            self.twin.redo()

    @rule(
        numbers=st.lists(st.integers(0, EDITS - 1), min_size=2, max_size=4), back=st.integers(0, 2)
    )
    def crash_after(self, numbers, back):
        """Killed a few steps back from the last edit."""
        self.edit(numbers)
        self.undo(back)
        self.crash(0)

    @rule()
    def save(self):
        self.hands.save()
        self.twin.save()
        assert not self.workplace.history.unsaved
        assert not list(self.folder.glob(".*.unsaved*"))

    @rule()
    def save_upon_anothers_write(self):
        """What another program wrote is never overwritten; taken up, a save goes on."""
        self.comments += 1
        text = self.file.read_text(encoding="utf-8")
        theirs = text.replace(HERE, f"# of another {self.comments}\n{HERE}", 1)
        self.file.write_text(theirs, encoding="utf-8")
        assert not self.workplace.save()
        assert self.refused.pop()
        assert self.file.read_text(encoding="utf-8") == theirs
        self.workplace.take(load(self.file), self.workplace.history)

    @rule(torn=st.integers(0, 3))
    def crash(self, torn):
        """Killed; the last line may be torn where more was being written."""
        assert self.kept.settle(60)
        path = self.kept.path
        self.kept.end(remove=False)
        if path and torn:
            with open(path, "ab") as journal:
                journal.write(b'0123abcd {"step":"x"'[: 7 * torn])
        document = load(self.file)
        found, unread = find(str(self.file))
        assert not unread
        self.begin(Workplace(document))
        if not found:
            assert document.facility == self.twin.facility
            self.twin.begin([document.facility])
            return
        offer = weigh(found[0], document)
        assert offer.work == self.twin.facility
        assert offer.found.kept.damaged == bool(torn)
        if offer.lines or offer.past is not None:
            self.take_back(offer)
        else:
            self.twin.begin([document.facility])
        os.unlink(found[0].path)

    def take_back(self, offer):
        """The steps come back too: those of the twin since the last save, as a run of states."""
        self.workplace.take(self.workplace.document, offer.past)
        assert self.kept.settle(60)
        history = self.workplace.history
        states = [state.facility for state in (*history.past, history.present)]
        assert states[0] == self.workplace.document.facility
        assert states[-1] == self.twin.facility
        self.twin.begin(states)

    @invariant()
    def they_agree(self):
        history = self.workplace.history
        assert history.facility == self.twin.facility
        assert len(history.past) == self.twin.at
        assert len(history.future) == len(self.twin.states) - 1 - self.twin.at
        assert load(self.file).facility == self.twin.file
        assert history.unsaved == (self.twin.at != self.twin.saved_at)
        assert not self.refused

    @precondition(lambda self: self.comments)
    @invariant()
    def comments_stay(self):
        text = self.file.read_text(encoding="utf-8")
        assert all(f"# of another {n}" in text for n in range(1, self.comments + 1))

    def teardown(self):
        self.kept.end(remove=True)
        shutil.rmtree(self.folder)


@pytest.mark.usefixtures("state")
def test_the_editor_agrees_with_its_twin():
    run_state_machine_as_test(
        Work, settings=settings(max_examples=40, stateful_step_count=14, deadline=None)
    )
