"""A head start: a back room begins on the chart while the window's own parts are still loaded.

Half of the time from the command to the chart would pass in loading Qt and what shows the chart;
the chart can be worked out meanwhile, in the process that does so anyway.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from slinediag.editor.backroom_work import by_name
from slinediag.resources import PACKAGE

FIRST = 1
"""The number of a back room's first task, which alone can have been begun before."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A task that was begun: the function by its module and name, its arguments, its process."""

    module: str
    name: str
    arguments: tuple[Any, ...]
    process: subprocess.Popen[bytes]


_begun: list[Begun] = []


def begin(module: str, name: str, *arguments: Any) -> None:
    """Begin a task that a back room will ask for first of all."""
    process = started()
    hand_over(process, (FIRST, by_name, (module, name, arguments)))
    _begun.append(Begun(module, name, arguments, process))


def take(
    number: int, function: Callable[..., Any], arguments: tuple[Any, ...]
) -> subprocess.Popen[bytes] | None:
    """The process that works on this very task already; None where none does."""
    for begun in _begun if number == FIRST else ():
        same = (begun.module, begun.name) == (function.__module__, function.__qualname__)
        ours = len(begun.arguments) == len(arguments)
        if same and ours and all(a is b for a, b in zip(begun.arguments, arguments, strict=True)):
            _begun.remove(begun)
            return begun.process
    return None


def give_up() -> None:
    """End what was begun and nobody took."""
    while _begun:
        process = _begun.pop().process
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            # What was being handed over goes with the process.
            with contextlib.suppress(OSError):
                if pipe is not None:
                    pipe.close()


def started() -> subprocess.Popen[bytes]:
    """A process that waits for tasks."""
    return subprocess.Popen(
        [sys.executable, "-m", "slinediag.editor.backroom_work"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=_environment(),
        # Ctrl-C is for the window; a process that waits for tasks ends when its pipe is closed.
        process_group=0 if os.name == "posix" else None,
    )


def hand_over(process: subprocess.Popen[bytes], task: tuple[Any, ...]) -> None:
    """Give a process a task, away from this thread.

    A process that is only starting does not read yet, and a pipe holds little.
    """
    threading.Thread(target=_send, args=(process, task), daemon=True).start()


def _send(process: subprocess.Popen[bytes], task: tuple[Any, ...]) -> None:
    assert process.stdin is not None
    # A process that has been stopped meanwhile takes no more.
    with contextlib.suppress(OSError, ValueError):
        pickle.dump(task, process.stdin, pickle.HIGHEST_PROTOCOL)
        process.stdin.flush()


def _environment() -> dict[str, str]:
    """This process's environment, with this very package to be found first."""
    found = [str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")]
    return os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, found))}
