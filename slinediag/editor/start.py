"""Starts the editor on a file: a display, the application, the window."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import traceback
from functools import partial
from types import TracebackType

from slinediag.file.read import Document
from slinediag.problems import FileErrors, Problem, RequestError, problem

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
NEED_NO_DISPLAY = ("offscreen", "minimal", "vnc")
PROBE = "from PySide6.QtWidgets import QApplication; QApplication(['slinediag'])"


def edit(path: str) -> int:
    """Open the editor on a file and stay until its last window is closed; the exit status.

    A file with mistakes in its text opens to be mended. FileErrors where there is no text to mend
    or no display to mend it on, RequestError where there is no display.
    """
    found = read(path)
    if found.document is None and found.data is None:
        raise FileErrors(found.problems, path)
    try:
        refuse_without_display()
    except RequestError:
        if found.problems:
            raise FileErrors(found.problems, path) from None
        raise
    paint.prefer_bundled_fonts()
    application = QApplication(["slinediag"])
    application.setApplicationName("slinediag")
    application.setOrganizationName("slinediag")
    looks.dress(application)
    windows = Windows()
    sys.setswitchinterval(LOCK_FOR)
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    sys.excepthook = windows.tell_mishap
    windows.show(found)
    return application.exec()


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


def refuse_without_display() -> None:
    """RequestError where no window can be shown.

    Qt ends the whole program where it finds no display, so another process tries first.
    """
    if not sys.platform.startswith("linux") or _platform() in NEED_NO_DISPLAY:
        return
    named = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if named or _platform():
        tried = subprocess.run([sys.executable, "-c", PROBE], capture_output=True, text=True)
        if tried.returncode == 0:
            return
    what = f"no window can be shown on {named}" if named else "there is no display"
    hint = "Log in to a desktop to edit; slinediag draw, ask and show need no display"
    raise RequestError([problem("the editor", what, hint)])


def _platform() -> str:
    return os.environ.get("QT_QPA_PLATFORM", "").partition(":")[0]
