"""What runs in the back room: takes one task after another from its standard input.

A task is a pickled (number, function, arguments); each answer goes out as the count of its bytes
and a pickled (number, value, whether more follows, error). Both ends of the pipe are this program;
nothing else is ever read.
"""

from __future__ import annotations

import contextlib
import importlib
import pickle
import sys
from collections.abc import Callable, Iterator
from typing import Any, BinaryIO

COUNT = 8
"""Bytes in which the count of an answer's bytes is written."""

Send = Callable[[int, Any, bool, str], None]
_under_way: list[Callable[[Any], None]] = []
"""What takes the parts of the answer to the task that is under way."""


def report(value: Any) -> None:
    """Give one more part of the answer to the task under way; nothing happens outside of one."""
    if _under_way:
        _under_way[-1](value)


def serve(tasks: BinaryIO, answers: BinaryIO) -> None:
    """Carry out tasks until the pipe is closed."""

    def send(number: int, value: Any, more: bool, error: str) -> None:
        answer = pickle.dumps((number, value, more, error), pickle.HIGHEST_PROTOCOL)
        answers.write(len(answer).to_bytes(COUNT, "big") + answer)
        answers.flush()

    while True:
        try:
            number, function, arguments = pickle.load(tasks)
        except EOFError:
            return
        carry_out(number, function, arguments, send)


def carry_out(
    number: int, function: Callable[..., Any], arguments: tuple[Any, ...], send: Send
) -> None:
    """Do one task and send what it gives, part by part where it gives parts."""
    _under_way.append(lambda part: send(number, part, True, ""))
    try:
        value = function(*arguments)
        if isinstance(value, Iterator):
            for part in value:
                send(number, part, True, "")
            send(number, None, False, "")
        else:
            send(number, value, True, "")
            send(number, None, False, "")
    except BrokenPipeError:
        raise
    except Exception as error:
        # A person must be told whatever went wrong here, and the room must go on serving.
        send(number, None, False, f"{type(error).__name__}: {error}" if str(error) else repr(error))
    finally:
        _under_way.pop()


def by_name(module: str, name: str, arguments: tuple[Any, ...]) -> Any:
    """What a function gives that whoever asks has not loaded itself."""
    return getattr(importlib.import_module(module), name)(*arguments)


if __name__ == "__main__":
    # The module as others import it: what they report goes through that one, not through this.
    from slinediag.editor import backroom_work

    answers = sys.stdout.buffer
    # Whatever else prints must not fall among the answers.
    sys.stdout = sys.stderr
    # Whoever asked is gone where the pipe is broken; nobody is left to be told.
    with contextlib.suppress(BrokenPipeError):
        backroom_work.serve(sys.stdin.buffer, answers)
