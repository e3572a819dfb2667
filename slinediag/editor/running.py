"""The editor while it runs: the application, and its windows on facilities and on texts."""

from __future__ import annotations

import gc
import os
import sys
import traceback
from functools import partial
from types import TracebackType

from slinediag.file.read import Document
from slinediag.problems import Problem

# First of all Qt: paint.qt says what to install where it cannot be loaded.
from slinediag.paint import qt as paint  # isort: skip

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from slinediag.editor import looks
from slinediag.editor.files.mending import MendingWindow
from slinediag.editor.files.reading import Read, read
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace

LOCK_FOR = 0.002
"""Seconds that a thread which takes in a chart may keep the window waiting at a time."""
SELDOM = (50_000, 10, 10)
"""More new things than a trace makes, before the young ones are searched; then every tenth time
the middling ones, and every tenth of those the old ones."""


def run(found: Read) -> int:
    """Show what was read and stay until the last window is closed; the exit status."""
    paint.prefer_bundled_fonts()
    application = QApplication(["slinediag"])
    application.setApplicationName("slinediag")
    application.setOrganizationName("slinediag")
    looks.dress(application)
    windows = Windows()
    sys.setswitchinterval(LOCK_FOR)
    sys.excepthook = windows.tell_mishap
    windows.show(found)
    collect_seldom()
    return application.exec()


def collect_seldom() -> None:
    """Let Python look for rubbish seldom, and never in what has been loaded by now.

    To trace a way anew after an edit makes many small things that all stay. On 1,920 positions
    that took 26 ms, or 63 ms where a full search of all that lives fell into it, in processor
    time; larger plants waited longer. What is let go of without a circle needs no search.
    """
    gc.freeze()
    gc.set_threshold(*SELDOM)


class Windows:
    """The windows that are open: facilities, and texts that are mended to become some."""

    def __init__(self) -> None:
        self.open: list[Window | MendingWindow] = []

    def show(self, found: Read) -> Window | MendingWindow:
        """Show what was read in a window of its own."""
        window: Window | MendingWindow
        if found.document is not None:
            window = self._facility(found.document)
        else:
            window = self._text(found.path, found.data or b"", found.problems)
        self.open.append(window)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        window.destroyed.connect(partial(self._forget, window))
        window.show()
        if isinstance(window, Window):
            window.introduce_if_new()
        return window

    def _facility(self, document: Document) -> Window:
        window = Window(Workplace(document))
        window.files.mend_wanted.connect(
            lambda path, data, problems: self.show(Read(path, None, problems, data))
        )
        return window

    def _text(self, path: str, data: bytes, problems: tuple[Problem, ...]) -> MendingWindow:
        window = MendingWindow(path, data, problems)
        window.mended.connect(lambda mended: self.show(read(mended)))
        return window

    def _forget(self, window: Window | MendingWindow) -> None:
        self.open.remove(window)

    def tell_mishap(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Say in every window that a command went wrong."""
        for window in self.open:
            tell_mishap(window, kind, error, trace)


def tell_mishap(
    window: Window | MendingWindow,
    kind: type[BaseException],
    error: BaseException,
    trace: TracebackType | None,
) -> None:
    """Say in the window that a command went wrong; the details are for whoever mends it."""
    window.tell_words(
        f"Something went wrong ({kind.__name__}: {error}). Nothing was changed; "
        "save under another name to be safe."
    )
    if os.environ.get("SLINEDIAG_DETAILS"):
        traceback.print_exception(kind, error, trace)
