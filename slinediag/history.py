"""The facility as it was, as it is and as it may be again: every change by name, and what is saved.

A history is frozen: each step gives a new one, so that whoever holds one holds it whole.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from slinediag.model.facility import Facility


@dataclass(frozen=True, slots=True)
class State:
    """A facility, and the name of the change that made it; empty for the one that was opened."""

    facility: Facility
    change: str = ""


@dataclass(frozen=True, slots=True)
class History:
    """Past states, oldest first; the present one; undone ones, the nearest first.

    ``saved`` is the state that is on the disk; None where none of these is.
    """

    present: State
    past: tuple[State, ...] = ()
    future: tuple[State, ...] = ()
    saved: State | None = None

    @property
    def facility(self) -> Facility:
        """The facility as it is."""
        return self.present.facility

    @property
    def unsaved(self) -> bool:
        """Whether the present is another than what is on the disk."""
        return self.saved is not self.present

    @property
    def undoes(self) -> str | None:
        """The name of the change that a step back takes away; None where there is none."""
        return self.present.change if self.past else None

    @property
    def redoes(self) -> str | None:
        """The name of the change that a step forward brings back; None where there is none."""
        return self.future[0].change if self.future else None


def opened(facility: Facility, *, on_disk: bool = True) -> History:
    """The history of a facility that has just been read, or made and not yet saved."""
    present = State(facility)
    return History(present, saved=present if on_disk else None)


def changed(history: History, change: str, facility: Facility) -> History:
    """The history after a change; what had been undone is gone. No step where nothing changes."""
    if facility == history.facility:
        return history
    present = State(facility, change)
    return replace(history, present=present, past=(*history.past, history.present), future=())


def undone(history: History) -> History:
    """One step back; the same history where there is none."""
    if not history.past:
        return history
    *past, present = history.past
    future = (history.present, *history.future)
    return replace(history, present=present, past=tuple(past), future=future)


def redone(history: History) -> History:
    """One step forward; the same history where there is none."""
    if not history.future:
        return history
    present, *future = history.future
    past = (*history.past, history.present)
    return replace(history, present=present, past=past, future=tuple(future))


def saved(history: History) -> History:
    """The history with its present on the disk."""
    return replace(history, saved=history.present)


def off_disk(history: History) -> History:
    """The history with none of its states on the disk: another file is there."""
    return replace(history, saved=None)
