"""What can be wrong, and how it is said: one problem, one place, one remedy.

The errors of slinediag, all of them::

    SlinediagError
     ├─ FileErrors      a facility file is wrong; carries every problem found in it
     ├─ RequestError    a trial, a command or an argument asks for what cannot be
     ├─ SheetTooSmall   a chart does not fit the sheet asked for; names the smallest that fits
     │   └─ BothTooLarge   nor do a chart before and after a trial
     └─ WriteError      a file could not be written; what was there before is whole

Readers return problems; an exception is for a refused request, an I/O failure or a bug.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

WHOLE = 100
"""Problems that are told one by one: a file edited by hand is mended in one go."""
FIRST = 20
"""Problems that are told of longer lists: a screen of them, mostly of one cause."""

CONTROLS = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing that is wrong.

    ``line`` and ``column`` count from 1; 0 says that the problem has no place in a file.
    ``where`` is the address or key, ``what`` says what is wrong, ``hint`` what to do about it.
    """

    line: int
    column: int
    where: str
    what: str
    hint: str = ""

    def text(self, file: str = "") -> str:
        """The problem as one line: ``file:line:column: where: what. hint``.

        Control characters of names are spelled out.
        """
        place = [file] if file else []
        if self.line:
            place += [str(self.line), str(self.column)]
        head = ":".join(place)
        parts = [part for part in (head, self.where, self.what) if part]
        sentence = ": ".join(parts)
        return spelled_out(f"{sentence}. {self.hint}" if self.hint else sentence)


def spelled_out(words: str) -> str:
    """Words for a line of a terminal, which would obey what in a name controls it.

    So are half characters, which no terminal shows, and what turns the words behind it round.
    """
    return CONTROLS.sub(lambda found: repr(found[0])[1:-1], words)


def problem(where: str, what: str, hint: str = "") -> Problem:
    """A problem with no place in a file, as a request has."""
    return Problem(0, 0, where, what, hint)


def told_lines(problems: Sequence[Problem], file: str = "") -> list[str]:
    """Problems as a person is told them, a line each: all, or the first of very many."""
    shown = problems if len(problems) <= WHOLE else problems[:FIRST]
    lines = [each.text(file) for each in shown]
    if len(shown) < len(problems):
        lines.append(f"and {len(problems) - len(shown):,} more; mend these first")
    return lines


class SlinediagError(Exception):
    """Anything that slinediag refuses or cannot do; ``problems`` says what and why."""

    def __init__(self, problems: Iterable[Problem], file: str = "") -> None:
        self.problems = tuple(problems)
        self.file = file
        super().__init__("\n".join(told_lines(self.problems, file)))


class FileErrors(SlinediagError):
    """A facility file that cannot be used; ``errors`` holds every mistake found in it."""

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The mistakes, in the order of the file."""
        return self.problems


class RequestError(SlinediagError):
    """A request that cannot be carried out: an unknown jack, a second plug, a wrong option."""


class SheetTooSmall(RequestError):
    """A chart that does not fit the sheet asked for; ``smallest`` is the one that would do.

    ``why``: what of it has no room; ``read_at``: the distance, mm, to read the chart from at which
    it would fit, 0 where none is known.
    """

    WHAT = "the chart does not fit this sheet"

    def __init__(self, asked: str, smallest: str | None, why: str = "", read_at: int = 0) -> None:
        self.asked, self.smallest, self.why, self.read_at = asked, smallest, why, read_at
        super().__init__([problem(f"sheet {asked}", self._what(), self._hint(smallest))])

    def _what(self) -> str:
        return f"{self.WHAT}: {self.why}" if self.why else self.WHAT

    def _hint(self, smallest: str | None) -> str:
        nearer = f"; or draw it to be read from nearer: --read-at {self.read_at}"
        more = nearer if self.read_at else ""
        if smallest:
            return f"The smallest sheet that fits is {smallest}{more}"
        return f"No standard sheet fits; use --sheet one{more}"


class BothTooLarge(SheetTooSmall):
    """A chart as filed and under a trial that do not fit one sheet asked for; ``smallest`` is the
    one that would do, None also where none was tried.

    ``touched``: whether not even what the trial touches has room.
    """

    WHAT = "--before puts the chart before and after on one sheet, and this has no room for both"
    TOUCHED = ", not even for what the trial touches alone"

    def __init__(self, asked: str, smallest: str | None, *, touched: bool = False) -> None:
        self.touched = touched
        super().__init__(asked, smallest)

    def _what(self) -> str:
        return self.WHAT + (self.TOUCHED if self.touched else "")

    def _hint(self, smallest: str | None) -> str:
        larger = "auto" if self.touched else "one"
        fits = f"The smallest that has is {smallest}" if smallest else f"Use --sheet {larger}"
        return (
            f"{fits}; or draw less, with --bay, --room or --around what the trial is about; or "
            "leave --before out: the trial is drawn over as many sheets as it takes"
        )


class WriteError(SlinediagError):
    """A file that could not be written; nothing of it is half written."""
