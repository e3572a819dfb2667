"""The workplace: what is open, its history, the trial on it and what is selected.

One for each window. It holds the only copy of each and tells of every change by a signal;
widgets show it, ask it to change, and never keep a second copy.
"""

from __future__ import annotations

import datetime
import os
from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from slinediag import history
from slinediag.address import Jack
from slinediag.editor import trials
from slinediag.editor.aside import done_aside
from slinediag.editor.files import disk
from slinediag.editor.files.locking import holder_of
from slinediag.editor.things import Box, Thing
from slinediag.editor.trials import Item
from slinediag.file.read import Document, load
from slinediag.file.write import new_document, rewritten, save
from slinediag.history import History
from slinediag.model import edits
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.problems import Problem, RequestError, SlinediagError, problem
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, CordEnds, Trial

LARGE = 32_000
"""Bytes of a file that takes about as long to work out as a window may be held, 60 ms."""


class Workplace(QObject):
    """The open facility with its history, the trial and its answer, and the selection.

    A request that cannot be carried out changes nothing and is told by ``refused``.
    """

    facility_changed = Signal(object)
    """The facility is another: opened, edited, undone or redone. Carries the Facility."""
    document_changed = Signal()
    """The file is another: opened, brought back, or saved under another name."""
    history_changed = Signal()
    """What can be undone, redone or saved may be another."""
    trial_changed = Signal(object)
    """The trial or what it answers is another. Carries the Answer, of an empty trial too."""
    selection_changed = Signal(object)
    """Something else is selected, or nothing. Carries a Thing or None."""
    shown = Signal(object)
    """Something wants to be brought into view. Carries a Thing."""
    not_written = Signal(object)
    """The file as it is on the disk kept a save from being done. Carries an OnDisk."""
    refused = Signal(object)
    """Something asked for cannot be. Carries a tuple of Problems."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.on_disk: bytes | None = document.data or None
        self.barred: Problem | None = None
        self._history = history.opened(document.facility)
        self._selection: Thing | None = None
        self._failure = Failure()
        self._standing = document.facility
        self._answer = ask(document.facility, Trial())
        self._saving = False

    # ---- what it holds

    @property
    def facility(self) -> Facility:
        """The facility as it is."""
        return self._history.facility

    @property
    def history(self) -> History:
        """Its past, present and future."""
        return self._history

    @property
    def answer(self) -> Answer:
        """What the trial does."""
        return self._answer

    @property
    def trial(self) -> Trial:
        """The trial that is on."""
        return self._answer.trial

    @property
    def failure(self) -> Failure:
        """The bays, places and cables that are taken as failed with the trial."""
        return self._failure

    @property
    def standing(self) -> Facility:
        """The facility with these failed: what the trial is done to."""
        return self._standing

    @property
    def at_rest(self) -> bool:
        """Whether nothing is tried and nothing taken as failed."""
        return self.trial.empty and self._failure == Failure()

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything that is tried or taken as failed."""
        return (*trials.failed_items(self._failure), *trials.items(self.trial))

    @property
    def selection(self) -> Thing | None:
        """What is selected."""
        return self._selection

    @property
    def name(self) -> str:
        """The path of the file."""
        return self.document.name

    # ---- files

    def open(self, path: str | os.PathLike[str]) -> bool:
        """Open another file in the place of this one; False, and told why, where it is bad."""
        try:
            document = load(path)
        except SlinediagError as error:
            self.refuse(error.problems)
            return False
        self.take(document, history.opened(document.facility))
        return True

    def take(self, document: Document, past: History) -> None:
        """Show this document with this history, as opened, merged or brought back.

        What is tried and selected stays as far as it can where the file is the same one.
        """
        same = document.name == self.document.name
        self.document = document
        self.on_disk = document.data or None
        self._history = past
        self._stand(self._failure if same else Failure())
        self._answer = _still_possible(self._standing, self.trial if same else Trial())
        self._selection = self._selection if same else None
        self.document_changed.emit()
        self._tell()
        self.selection_changed.emit(self._selection)

    def save(self, path: str | os.PathLike[str] | None = None) -> bool:
        """Write the file, under another name where one is given; False where that fails.

        Only the lines of changed items change; a new file is written in clean form. What somebody
        else has written to the file meanwhile is never overwritten.
        """
        name = os.fsdecode(path) if path is not None else self.document.name
        own = disk.same(name, self.document.name)
        if self._saving or not self._may_write(name, own, named=path is not None):
            return False
        self._saving = True
        try:
            document = self._rewritten(name)
            # Asked again: working the bytes out takes its time, and somebody may have written.
            if not self._may_write(name, own, named=path is not None):
                return False
            save(name, document.data)
        except SlinediagError as error:
            self.refuse(error.problems)
            return False
        finally:
            self._saving = False
        # It has been read back already, and compared: a large file is not read twice.
        self.document, self.on_disk = replace(document, name=name), document.data
        self._history = history.saved(self._history)
        if not own:
            self.document_changed.emit()
        self.history_changed.emit()
        return True

    def _rewritten(self, name: str) -> Document:
        """The file as it is to be written; a large one is worked out beside the event loop.

        Until then nobody's hand can change what is open; where something else does, that is what
        is written.
        """
        while True:
            document, facility = self.document, self.facility

            def work(old: Document = document, new: Facility = facility) -> Document:
                return rewritten(old, new) if old.data else new_document(new, name)

            large = len(document.data) >= LARGE
            made = done_aside(work) if large else work()
            if self.document is document and self.facility is facility:
                return made

    def keep_over(self, data: bytes) -> None:
        """Let a save put what is open in the place of these bytes on the disk."""
        self.on_disk = data
        self._history = history.off_disk(self._history)
        self.history_changed.emit()

    def _may_write(self, name: str, own: bool, *, named: bool) -> bool:
        """Whether the file may be written there; told where it may not."""
        if own and self.barred is not None:
            self.refuse((self.barred,))
            return False
        holder = None if own or not os.path.exists(name) else holder_of(name)
        if holder is not None:
            what = f"this file is open in {holder.words}"
            self.refuse((problem(name, what, "Close it there, or choose another name"),))
            return False
        found = disk.look(name)
        # Under a name that was chosen, what is there may go; whoever chose it was asked.
        known = found.data if not own or (named and found.gone) else self.on_disk
        why = disk.why_not_written(name, known)
        if why is None:
            return True
        if own:
            self.not_written.emit(found)
        self.refuse((why,))
        return False

    # ---- changes of the facility

    def change(self, name: str, facility: Facility) -> None:
        """Make a change, one step of the history by this name."""
        self._step(history.changed(self._history, name, facility))

    def undo(self) -> None:
        """Take the last change back."""
        self._step(history.undone(self._history))

    def redo(self) -> None:
        """Make the change again that was taken back."""
        self._step(history.redone(self._history))

    def _step(self, to: History) -> None:
        if to is self._history:
            return
        self._history = to
        self._stand(self._failure)
        self._answer = _still_possible(self._standing, self.trial)
        self._tell()

    def _stand(self, failure: Failure) -> None:
        """Take as much of this as failed as the facility has."""
        self._failure = trials.known(self.facility, failure)
        self._standing = damaged(self.facility, self._failure)

    def _tell(self) -> None:
        self.facility_changed.emit(self.facility)
        self.history_changed.emit()
        self.trial_changed.emit(self._answer)

    # ---- the trial

    def try_out(self, trial: Trial, failure: Failure | None = None) -> bool:
        """Put this trial on in the place of the one that is; False, and told why, if impossible.

        ``failure``: the bays, places and cables that have failed; as before where it is not given.
        """
        wanted = self._failure if failure is None else failure
        standing = damaged(self.facility, wanted) if wanted != self._failure else self._standing
        try:
            answer = ask(standing, trial)
        except RequestError as error:
            self.refuse(error.problems)
            return False
        self._failure, self._standing, self._answer = wanted, standing, answer
        self.trial_changed.emit(answer)
        return True

    def put(self, item: Item) -> bool:
        """Put one thing more into the trial."""
        if item.kind in trials.FAILING:
            return self.try_out(self.trial, trials.with_failed(self._failure, item))
        return self.try_out(trials.with_item(self.trial, item))

    def take_out(self, item: Item) -> None:
        """Take one thing out of the trial, and what then cannot stay."""
        self._stand(trials.without_failed(self._failure, item))
        self._answer = _still_possible(self._standing, trials.without_item(self.trial, item))
        self.trial_changed.emit(self._answer)

    def put_cord(self, one: Jack, other: Jack) -> bool:
        """Put a cord into the trial, first-named end first."""
        return self.put(Item("cord", (one, other)))

    def clear_trial(self) -> None:
        """Take everything out of the trial."""
        if not self.at_rest:
            self.try_out(Trial(), Failure())

    def would(self, cord: CordEnds) -> Answer | tuple[Problem, ...]:
        """What the trial would do with one cord more, or why it cannot be; nothing changes."""
        try:
            return ask(self._standing, trials.with_cord_last(self.trial, cord))
        except RequestError as error:
            return error.problems

    def leave_in(
        self, cord: CordEnds, note: str, since: datetime.date | None, by: str | None = None
    ) -> None:
        """Make a cord of the trial a standing cord of the facility, in one step of the history.

        What the trial pulls from its two jacks is taken out of the facility with it.
        """
        one, other = (jack_name(self.facility, jack) for jack in cord)
        gone, rest = self._pulled_for(cord), trials.without_item(self.trial, Item("cord", cord))
        try:
            facility = self.facility
            for item in gone:
                facility = trials.without_standing(facility, item)
                rest = trials.without_item(rest, item)
            facility = edits.with_cord(facility, cord, note=note or None, since=since, by=by)
        except RequestError as error:
            self.refuse(error.problems)
            return
        self._history = history.changed(self._history, f"Leave in {one} to {other}", facility)
        self._stand(self._failure)
        self._answer = _still_possible(self._standing, rest)
        self._tell()

    def _pulled_for(self, cord: CordEnds) -> tuple[Item, ...]:
        """What the trial pulls to make room for a cord."""
        pulls = (trials.pull_at(self.facility, jack) for jack in cord)
        tried = trials.items(self.trial)
        return tuple(dict.fromkeys(item for item in pulls if item is not None and item in tried))

    # ---- the selection

    def select(self, thing: Thing | None, *, show: bool = False) -> None:
        """Select a thing, or nothing; ``show`` brings it into view too."""
        if thing != self._selection:
            self._selection = thing
            self.selection_changed.emit(thing)
        if show and thing is not None:
            self.shown.emit(thing)

    def show(self, thing: Thing) -> None:
        """Bring a thing into view without selecting it."""
        self.shown.emit(thing)

    def show_box(self, box: str) -> None:
        """Select a piece of equipment by its id and bring it into view."""
        self.select(Box(box), show=True)

    def refuse(self, problems: tuple[Problem, ...]) -> None:
        """Tell that something asked for cannot be."""
        self.refused.emit(problems)


def _still_possible(facility: Facility, trial: Trial) -> Answer:
    """The answer to as much of a trial as the facility allows, item by item.

    Where nothing is tried nothing is traced, so that an edit of a large plant does not wait for it.
    """
    if trial.empty:
        return Answer(facility, Trial(), (), (), (), harmless=True)
    try:
        return ask(facility, trial)
    except RequestError:
        pass
    answer = ask(facility, Trial())
    for item in trials.items(trial):
        try:
            answer = ask(facility, trials.with_item(answer.trial, item))
        except RequestError:
            continue
    return answer
