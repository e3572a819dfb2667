"""Where a reader puts the mistakes it finds, so that all of a file are told in one go."""

from __future__ import annotations

from collections.abc import Collection

from slinediag.address import suggestion
from slinediag.file.nodes import Node, Places
from slinediag.problems import Problem

MOST = 5_000
"""Mistakes that are told one by one; a file with more is something else than a facility."""
COMPARISONS = 40_000
"""Spellings compared in the search for the nearest ones, over a whole file: keeps a file that is
wrong throughout from taking minutes."""

LONGEST = 100
"""Characters of a text whose nearest spelling is looked for."""


class Mistakes:
    """Errors and notes of one file, gathered in any order, told in the order of the file."""

    def __init__(self, places: Places) -> None:
        self._places = places
        self._errors: list[Problem] = []
        self._notes: list[Problem] = []
        self._dropped = False
        self._comparisons = COMPARISONS

    def error(self, node: Node, where: str, what: str, hint: str = "") -> None:
        """Something that is wrong at a node; ``where`` is its address or its keys."""
        if len(self._errors) < MOST:
            self._errors.append(self._problem(node, where, what, hint))
        else:
            self._dropped = True

    def note(self, node: Node, where: str, what: str, hint: str = "") -> None:
        """Something worth a note that is no error."""
        if len(self._notes) < MOST:
            self._notes.append(self._problem(node, where, what, hint))

    def line(self, node: Node) -> int:
        """The line of a node, for messages that name a second place."""
        return self._places.line(node.start)

    def nearest(self, text: str, known: Collection[str], otherwise: str = "") -> str:
        """A hint that names the nearest known spelling, or says ``otherwise``."""
        if len(text) > LONGEST or not self.may_compare(len(known)):
            return otherwise
        return suggestion(text, known) or otherwise

    def may_compare(self, count: int) -> bool:
        """Whether the file has this many comparisons left; they are taken from it."""
        if self._dropped or count > self._comparisons:
            return False
        self._comparisons -= count
        return True

    @property
    def errors(self) -> tuple[Problem, ...]:
        """Every error found so far, each once, in the order of the file."""
        told = in_file_order(self._errors)
        if self._dropped:
            last = told[-1]
            what = f"the file holds more mistakes than the {MOST:,} told here"
            told += (Problem(last.line, last.column, "", what, "Mend these and read it again"),)
        return told

    @property
    def notes(self) -> tuple[Problem, ...]:
        """Every note, in the order of the file."""
        return in_file_order(self._notes)

    def _problem(self, node: Node, where: str, what: str, hint: str) -> Problem:
        line, column = self._places.line(node.start), self._places.column(node.start)
        return Problem(line, column, where, what, hint)


def in_file_order(problems: list[Problem]) -> tuple[Problem, ...]:
    """The problems by line and column, each once; those of one place in the order found."""
    return tuple(sorted(dict.fromkeys(problems), key=lambda p: (p.line, p.column)))
