"""Work at random on the small plant, and a twin that holds what must come of it in plain lists."""

from __future__ import annotations

from dataclasses import replace

from slinediag.model import edits
from slinediag.model.edits import Position
from slinediag.problems import RequestError

EDITS = 97
"""How many edits there are; any number is one of them or of the other acts."""


def edited(facility, number):
    """The facility after edit ``number``; the same one where that cannot be."""
    number %= EDITS
    one, other = Position("PB1", 1 + number % 12), Position("PB2", 1 + number % 11)
    name = list(facility.equipment)[number % len(facility.equipment)]
    box = facility.equipment[name]
    try:
        match number % 5:
            case 0:
                return edits.swap_positions(facility, one, other)
            case 1:
                return edits.insert_gap(facility, one)
            case 2:
                box = replace(box, note=f"note {number}\nüber # : “{number}”")
            case 3:
                box = replace(box, label=None if number % 2 else f"L {number}")
            case _:
                cord = facility.cords[0] if facility.cords else None
                gone = edits.without_cord(facility, (cord.source, cord.target)) if cord else None
                return gone or facility
    except RequestError:
        return facility
    return replace(facility, equipment={**facility.equipment, name: box})


class Twin:
    """Past, present and future as a list and a place in it; the file and the journal as values."""

    def __init__(self, facility):
        self.begin([facility])
        self.file = facility

    def begin(self, states):
        """These states, the first of which is in the file, and the last the present one."""
        self.states, self.at, self.saved_at = list(states), len(states) - 1, 0

    @property
    def facility(self):
        return self.states[self.at]

    def edit(self, number):
        facility = edited(self.facility, number)
        if facility != self.facility:
            if self.saved_at is not None and self.saved_at > self.at:
                self.saved_at = None
            self.states[self.at + 1 :] = [facility]
            self.at += 1

    def undo(self):
        self.at = max(0, self.at - 1)

    def redo(self):
        self.at = min(len(self.states) - 1, self.at + 1)

    def save(self):
        self.file, self.saved_at = self.facility, self.at


def act(on, number):
    """Do act ``number`` on a Twin or on hands that have the same acts."""
    kind = number // EDITS % 8
    {5: on.undo, 6: on.redo, 7: on.save}.get(kind, lambda: on.edit(number))()


class Hands:
    """The same acts on a workplace."""

    def __init__(self, workplace):
        self.workplace = workplace

    def edit(self, number):
        facility = edited(self.workplace.facility, number)
        self.workplace.change(f"Edit {number % EDITS}", facility)

    def undo(self):
        self.workplace.undo()

    def redo(self):
        self.workplace.redo()

    def save(self):
        assert self.workplace.save()
