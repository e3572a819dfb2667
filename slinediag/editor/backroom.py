"""The back room: work that takes long, in a process of its own, so that the window never waits.

A thread would not do: layout is Python throughout, and holds the interpreter's lock from the event
loop for as long as a single call into numpy or a painter lasts.
"""

from __future__ import annotations

import contextlib
import gc
import itertools
import pickle
import subprocess
import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal

from slinediag.editor import head_start
from slinediag.editor.backroom_work import COUNT

UNPACKING = threading.Lock()
"""Held while an answer is unpacked, by whichever back room it is from."""


class Backroom(QObject):
    """One task at a time; a newer one takes the place of one that is under way.

    ``kept`` keeps the process for the next task, where tasks follow each other closely.

    Answers come with the number of their task. Answers of a task that has been replaced never
    come.
    """

    answered = Signal(int, object)
    """A task's number and a value it gave."""
    finished = Signal(int, str)
    """A task's number and what went wrong; empty where nothing did."""

    _came = Signal(int, object, bool, str)
    _ended = Signal(object)

    def __init__(self, parent: QObject | None = None, *, kept: bool = False) -> None:
        super().__init__(parent)
        self._kept = kept
        self._numbers = itertools.count(1)
        self._current = 0
        self.process: subprocess.Popen[bytes] | None = None
        self._came.connect(self._receive)
        self._ended.connect(self._lose)

    @property
    def busy(self) -> bool:
        """Whether a task is under way."""
        return bool(self._current)

    def ask(self, function: Callable[..., Any], *arguments: Any) -> int:
        """Begin a task, stopping one that is under way; its number.

        ``function`` is one that a module holds by name; where it yields, each part is answered.
        """
        if self._current:
            self.stop()
        number = self._current = next(self._numbers)
        begun = head_start.take(number, function, arguments)
        if begun is not None:
            self._keep(begun)
        else:
            head_start.hand_over(self._running(), (number, function, arguments))
        return number

    def stop(self) -> None:
        """End the process and whatever it is doing; the next task gets a new one."""
        self._current = 0
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.wait()
            if process.stdin is not None:
                # What was being handed over goes with the process.
                with contextlib.suppress(OSError):
                    process.stdin.close()

    def _running(self) -> subprocess.Popen[bytes]:
        if self.process is None or self.process.poll() is not None:
            return self._keep(head_start.started())
        return self.process

    def _keep(self, process: subprocess.Popen[bytes]) -> subprocess.Popen[bytes]:
        self.process = process
        threading.Thread(target=self._listen, args=(process,), daemon=True).start()
        return process

    def _listen(self, process: subprocess.Popen[bytes]) -> None:
        """Take answers in as they come, off the event loop."""
        assert process.stdout is not None
        with process.stdout as answers, contextlib.suppress(RuntimeError):
            # RuntimeError: the window, and this with it, is gone.
            while count := answers.read(COUNT):
                answer = answers.read(int.from_bytes(count, "big"))
                try:
                    number, value, more, error = _unpacked(answer)
                except (EOFError, pickle.UnpicklingError):
                    break
                self._came.emit(number, value, more, error)
            self._ended.emit(process)
        # One that ended by itself, or whose window is gone, leaves nothing behind.
        with contextlib.suppress(OSError, ValueError):
            if process.stdin is not None:
                process.stdin.close()
        process.wait()

    def _receive(self, number: int, value: Any, more: bool, error: str) -> None:
        if number != self._current:
            return
        if more:
            self.answered.emit(number, value)
            return
        self._current = 0
        if not self._kept:
            self.stop()
        self.finished.emit(number, error)

    def _lose(self, process: object) -> None:
        """The process has ended by itself."""
        if process is self.process and self._current:
            number, self._current = self._current, 0
            self.finished.emit(number, "the work was broken off; there may be too little memory")


def _unpacked(answer: bytes) -> tuple[int, Any, bool, str]:
    """An answer from its bytes.

    A chart is a hundred thousand objects. Looking through them for rubbish while they are made,
    and again and again later, would hold up the window for half a second at a time.
    """
    with UNPACKING:
        gc.disable()
        try:
            made: tuple[int, Any, bool, str] = pickle.loads(answer)
        finally:
            gc.freeze()
            gc.enable()
    return made
