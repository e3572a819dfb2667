"""Progress on standard error, once a command has lasted for a second."""

from __future__ import annotations

import contextlib
import re
import sys
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import Self, TextIO

PATIENCE = 1.0
"""Seconds of work that pass in silence."""
PAUSE = 10.0
"""Seconds between two lines on one stage of the work where standard error is no terminal."""
REFRESH = 0.1
"""Seconds between two pictures of the line on a terminal."""
PULSE = 0.25
"""Seconds between two looks at whether what was told last is to be shown now."""
WIDTH = 72
COUNT = re.compile(r"[0-9]+")
"""What differs between the words on one stage: the number of a sheet."""


class Telling:
    """A teller for ``slinediag.progress``: one line that is rewritten on a terminal, else a line as
    each stage of the work begins, and while it lasts every ten seconds. A share that has stood
    still for so long is told with the time that the work has taken.

    Nothing is written before the work has lasted a second; on a terminal the line is gone at the
    end, so that what the command says stands alone. ``pulse``: seconds after which, again and
    again, what was told last is shown if its time has come, also while nothing is told; 0 for
    never.
    """

    def __init__(
        self,
        stream: TextIO | None = None,
        now: Callable[[], float] = time.monotonic,
        pulse: float = PULSE,
    ) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._now, self._pulse = now, pulse
        self._doing: str | None = None
        self._shown = ""
        self._writing = threading.Lock()
        self._ended = threading.Event()
        self._beating = threading.Thread(target=self._beat, daemon=True)
        self._started = self._now()
        self._shown_at = -REFRESH
        self._begun: set[str] = set()
        self._length = 0
        self._share = 0.0
        self._told = ""
        self._told_since = 0.0

    def __enter__(self) -> Self:
        if self._pulse:
            self._beating.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._ended.set()
        if self._beating.is_alive():
            self._beating.join()
        self._clear()

    def __call__(self, share: float, doing: str) -> None:
        """Show the share, never less than before, and what is being done."""
        with self._writing:
            self._share, self._doing = max(self._share, min(1.0, share)), doing
            self._show()

    def _beat(self) -> None:
        """Show what was told last, also while nothing more is told."""
        while not self._ended.wait(self._pulse):
            with self._writing, contextlib.suppress(OSError, ValueError):
                self._show()

    def _show(self) -> None:
        """Write what was told last, if its time has come."""
        lasted, doing = self._now() - self._started, self._doing
        if lasted < PATIENCE or doing is None:
            return
        line = self._line(doing, lasted)
        if self._stream.isatty():
            if lasted - self._shown_at >= REFRESH and line != self._shown:
                self._stream.write("\r" + line.ljust(self._length))
                self._stream.flush()
                self._length, self._shown_at, self._shown = len(line), lasted, line
        elif (stage := COUNT.sub("", doing)) not in self._begun or self._due(lasted):
            self._stream.write(line + "\n")
            self._stream.flush()
            self._begun.add(stage)
            self._shown_at = lasted

    def _line(self, doing: str, lasted: float) -> str:
        """What is told now, never the same for longer than a pause."""
        told = f"{int(self._share * 100):3d} %  {doing}"
        if told != self._told:
            self._told, self._told_since = told, lasted
        if lasted - self._told_since < PAUSE:
            return told[:WIDTH]
        time_taken = f", {duration(lasted)} so far"
        return told[: WIDTH - len(time_taken)] + time_taken

    def _due(self, lasted: float) -> bool:
        return lasted - self._shown_at >= PAUSE

    def _clear(self) -> None:
        if self._length:
            self._stream.write("\r" + " " * self._length + "\r")
            self._stream.flush()
            self._length = 0


def duration(seconds: float) -> str:
    """A time as people say it: ``40 s``, ``2 min 5 s``."""
    minutes, rest = divmod(int(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
