"""Unsaved work that was found: taken back, put aside as a file, or discarded; one after another."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from slinediag import history
from slinediag.editor.backroom import Backroom
from slinediag.editor.files.bar import Bar
from slinediag.editor.files.choices import Choices
from slinediag.editor.files.merging import Merged, merge
from slinediag.editor.files.recovery import Found, Offer, find, put_aside, text_of, weigh
from slinediag.editor.files.unsaved import UnsavedWork
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.problems import problem

TAKE, ASIDE, DISCARD = "Bring it &back", "Put it &aside as a file", "&Discard …"
LATER = "&Later"


class RecoveryBar(Bar):
    """Offers what journals hold; a journal is deleted only once its work is safe or not wanted."""

    told = Signal(str)
    """Something was done, in words."""

    def __init__(
        self, workplace: Workplace, work: UnsavedWork, parent: QWidget | None = None
    ) -> None:
        super().__init__("Unsaved work", parent)
        self.workplace, self.work = workplace, work
        self.choices = Choices()
        self.choices.chosen.connect(self._choose_anew)
        self.extra.addWidget(self.choices)
        self.offer: Offer | None = None
        self._waiting: list[Found] = []
        self._room = Backroom(self)
        self._room.answered.connect(self._take_offer)
        self._room.finished.connect(self._end)

    @property
    def busy(self) -> bool:
        """Whether something is still to be offered."""
        return self._room.busy or bool(self._waiting)

    def look(self) -> None:
        """Look for work on the workplace's file that nobody keeps any more."""
        self._room.stop()
        self.settle()
        self.offer = None
        self._waiting, unread = find(self.workplace.name)
        for path in unread:
            what = "this journal of unsaved work cannot be read"
            hint = "It was left where it is; nothing of it could be taken back"
            self.workplace.refuse((problem(path, what, hint),))
        self._next()

    def settle(self) -> None:
        """It is answered."""
        self.choices.show_conflicts(())
        super().settle()

    def _next(self) -> None:
        self.settle()
        self.offer = None
        if self._waiting:
            found = self._waiting.pop(0)
            file = os.path.basename(self.workplace.name)
            words = f"Unsaved work on {file} was found, begun {found.since}. It is being read …"
            self.ask(words, [], [])
            self._room.ask(weigh, found, self.workplace.document)

    def _end(self, _number: int, error: str) -> None:
        if error:
            self.told.emit(f"Unsaved work was found and could not be read: {error}. It is kept.")
            self._next()

    def _take_offer(self, _number: int, offer: Offer) -> None:
        self.offer = offer
        if offer.idle:
            self._remove(offer.found)
            self._next()
            return
        self._ask(offer)

    def _ask(self, offer: Offer) -> None:
        self.choices.show_conflicts(())
        self.ask(words_of(offer, self.workplace.name), lines_of(offer), self._answers(offer))

    def _answers(self, offer: Offer) -> list[tuple[str, Callable[[], object]]]:
        answers: list[tuple[str, Callable[[], object]]] = []
        if offer.work is not None:
            answers.append((TAKE, self.take_back))
        return [
            *answers,
            (ASIDE, self.put_aside),
            (DISCARD, self._ask_to_discard),
            (LATER, self._next),
        ]

    # ---- answers

    def take_back(self) -> None:
        """Make the work the present state; what was changed here meanwhile stays with it."""
        offer = self.offer
        if offer is None or offer.work is None:
            return
        current = self.workplace.facility
        filed = self.workplace.document.facility
        if offer.past is not None and current == filed:
            self.workplace.take(self.workplace.document, offer.past)
            self._taken(offer)
            return
        merged = self._merged(offer, current)
        if merged is None:
            self._make(offer, offer.work)
        elif merged.conflicts or merged.facility is None:
            self._ask_to_merge(offer, merged)
        else:
            self._make(offer, merged.facility)

    def _merged(self, offer: Offer, current: Facility) -> Merged | None:
        """The work with what else was changed since; None where it began with is not known."""
        if offer.filed is None or offer.work is None:
            return None
        return merge(offer.filed, offer.work, current, self.choices.sides)

    def _ask_to_merge(self, offer: Offer, merged: Merged) -> None:
        self.choices.show_conflicts(merged.conflicts)
        words = "The file was changed since. "
        if merged.conflicts:
            words += "Where both changed the same, choose what shall stand."
        lines = lines_of(offer)
        if merged.facility is None:
            words = "The work and the file as it is now do not go together."
            lines = [mistake.text() for mistake in merged.mistakes]
        answers: list[tuple[str, Callable[[], object]]] = [("Ba&ck", lambda: self._ask(offer))]
        if merged.facility is not None:
            answers.insert(0, ("Bring it back &so", self._make_merged))
        else:
            answers.insert(0, ("Take the &work as it was", self._make_unmerged))
        self.ask(words, lines, answers)

    def _choose_anew(self) -> None:
        offer = self.offer
        merged = self._merged(offer, self.workplace.facility) if offer else None
        if offer is not None and merged is not None and merged.facility is None:
            self._ask_to_merge(offer, merged)

    def _make_merged(self) -> None:
        offer = self.offer
        merged = self._merged(offer, self.workplace.facility) if offer else None
        if offer is not None and merged is not None and merged.facility is not None:
            self._make(offer, merged.facility)

    def _make_unmerged(self) -> None:
        if self.offer is not None and self.offer.work is not None:
            self._make(self.offer, self.offer.work)

    def _make(self, offer: Offer, facility: Facility) -> None:
        now = history.changed(self.workplace.history, "Take unsaved work back", facility)
        self.workplace.take(self.workplace.document, now)
        self._taken(offer)

    def _taken(self, offer: Offer) -> None:
        """Let go of the old journal once the new one has the work."""
        if self.work.settle(5.0) and (self.work.path or not self.workplace.history.unsaved):
            self._remove(offer.found)
        self.told.emit("The unsaved work is back. It is not saved yet.")
        self._next()

    def put_aside(self) -> None:
        """Write the work as a file beside the one it is of."""
        if self.offer is None:
            return
        found = self.offer.found
        try:
            path = put_aside(found, text_of(found))
        except OSError as error:
            reason = error.strerror or str(error)
            hint = "The unsaved work stays where it is, and is offered again"
            self.workplace.refuse((problem("", f"it could not be put aside: {reason}", hint),))
            return
        self._remove(found)
        self.told.emit(f"The unsaved work was put aside as {os.path.basename(path)}.")
        self._next()

    def _ask_to_discard(self) -> None:
        offer = self.offer
        if offer is None:
            return
        words = f"Discard the unsaved work of {offer.found.since} for good? It cannot be had back."
        answers = [("Discard it for &good", self.discard), ("&Keep it", lambda: self._ask(offer))]
        self.ask(words, lines_of(offer), answers)

    def discard(self) -> None:
        """Delete the work."""
        if self.offer is not None:
            self._remove(self.offer.found)
        self._next()

    def _remove(self, found: Found) -> None:
        with contextlib.suppress(OSError):
            os.unlink(found.path)


def words_of(offer: Offer, name: str) -> str:
    """What a bar says of unsaved work."""
    file = os.path.basename(name)
    words = f"Unsaved work on {file} was found, begun {offer.found.since}: "
    if offer.mistakes:
        words += "it cannot be read as a facility. Put it aside as a file to mend it by hand."
    elif not offer.lines:
        words += "it comes to the same as the file."
    else:
        count = len(offer.lines)
        words += f"{count} change{'s' if count != 1 else ''}."
    if offer.moved_on:
        words += f" {file} was changed since then; what was changed there stays."
    if offer.found.kept.damaged:
        words += " The last of it was not written whole and is left out."
    return words


def lines_of(offer: Offer) -> list[str]:
    """What differs, or what is wrong with it."""
    return [mistake.text() for mistake in offer.mistakes] or list(offer.lines)
