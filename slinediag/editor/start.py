"""Starts the editor on a file: a display, the application, the window."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import traceback
from functools import partial
from types import TracebackType

from slinediag.file.read import load
from slinediag.problems import RequestError, problem

# First of all Qt: paint.qt says what to install where it cannot be loaded.
from slinediag.paint import qt as paint  # isort: skip

from PySide6.QtWidgets import QApplication

from slinediag.editor import looks
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace

LOCK_FOR = 0.002
"""Seconds that a thread which takes in a chart may keep the window waiting at a time."""
NEED_NO_DISPLAY = ("offscreen", "minimal", "vnc")
PROBE = "from PySide6.QtWidgets import QApplication; QApplication(['slinediag'])"


def edit(path: str) -> int:
    """Open the editor on a file and stay until its window is closed; the exit status.

    FileErrors on a bad file, RequestError where there is no display.
    """
    document = load(path)
    refuse_without_display()
    paint.prefer_bundled_fonts()
    application = QApplication(["slinediag"])
    application.setApplicationName("slinediag")
    application.setOrganizationName("slinediag")
    looks.dress(application)
    window = Window(Workplace(document))
    sys.setswitchinterval(LOCK_FOR)
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    sys.excepthook = partial(tell_mishap, window)
    window.show()
    window.introduce_if_new()
    return application.exec()


def tell_mishap(
    window: Window,
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
