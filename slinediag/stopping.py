"""What Ctrl-C does to a command: it unwinds and says so, or ends at once where unwinding crashes.

Qt aborts or crashes where a KeyboardInterrupt breaks into it as it loads or paints.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator

INTERRUPTED = 130
"""Exit status of what Ctrl-C stopped, as shells have it: 128 and the signal's number."""
STOPPED = "slinediag: stopped; nothing half written is left behind"
LINE = 72
"""Characters that a line of progress on a terminal may have; the words are put over it."""

_delicate: list[object] = []


@contextlib.contextmanager
def delicate() -> Iterator[None]:
    """While Qt loads or paints, and nothing is being written: Ctrl-C ends a command at once."""
    _delicate.append(None)
    try:
        yield
    finally:
        _delicate.pop()


def stop(_number: int, _frame: object) -> None:
    """What a command does at Ctrl-C; for ``signal.signal``, by a program that may be ended."""
    if not _delicate:
        raise KeyboardInterrupt
    tell_stopped()
    os._exit(INTERRUPTED)


def tell_stopped() -> None:
    """Say on standard error that it was stopped; where nobody can hear it the status tells."""
    with contextlib.suppress(AttributeError, OSError, ValueError):
        words = f"\r{STOPPED:<{LINE}}" if sys.stderr.isatty() else STOPPED
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
