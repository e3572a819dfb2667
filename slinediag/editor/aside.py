"""Work done beside the event loop while whoever asked for it waits: the window goes on painting."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QCoreApplication, QEventLoop, QObject, QThread, Signal

Result = TypeVar("Result")


class _Work(QObject, Generic[Result]):
    """One piece of work in a thread, and what came of it."""

    done = Signal()

    def __init__(self, work: Callable[[], Result]) -> None:
        super().__init__()
        self._work = work
        self.result: list[Result] = []
        self.error: BaseException | None = None

    def do(self) -> None:
        """Do it, and tell the loop that waits."""
        try:
            self.result.append(self._work())
        except BaseException as error:
            self.error = error
        self.done.emit()


def done_aside(work: Callable[[], Result]) -> Result:
    """What a work gives that needs no widget; its errors are raised here.

    Meanwhile the loop goes round: what is drawn comes in and is painted, while keys and clicks
    wait. Without a loop, or in a thread of its own already, the work is done at once.
    """
    application = QCoreApplication.instance()
    if application is None or application.thread() is not QThread.currentThread():
        return work()
    aside: _Work[Result] = _Work(work)
    loop = QEventLoop()
    aside.done.connect(loop.quit)
    thread = threading.Thread(target=aside.do)
    thread.start()
    loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
    # The loop may have been ended by the end of the program; the work is not left half done.
    thread.join()
    if aside.error is not None:
        raise aside.error
    return aside.result[0]
