"""Starts the editor on a file: the file is read and a display is looked for while the rest loads.

Nothing here loads Qt before the file is read and its chart is begun elsewhere.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys

from slinediag.editor import head_start
from slinediag.editor.files.reading import read
from slinediag.problems import FileErrors, RequestError, problem

NEED_NO_DISPLAY = ("offscreen", "minimal", "vnc")
PROBE = "from PySide6.QtWidgets import QApplication; QApplication(['slinediag'])"


def edit(path: str) -> int:
    """Open the editor on a file and stay until its last window is closed; the exit status.

    A file with mistakes in its text opens to be mended. FileErrors where there is no text to mend
    or no display to mend it on, RequestError where there is no display.
    """
    # Qt aborts, or takes no notice, if loading it is broken into; what is unsaved is kept anyway.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    probe = begin_probe()
    found = read(path)
    if found.document is None and found.data is None:
        raise FileErrors(found.problems, path)
    try:
        if found.document is not None and _may_have_display():
            facility = found.document.facility
            head_start.begin("slinediag.editor.charting", "chart_stages", facility)
        # Loaded only now, beside the chart's process and that which looks for the display.
        from slinediag.editor.running import run

        try:
            refuse_without_display(probe)
        except RequestError:
            if found.problems:
                raise FileErrors(found.problems, path) from None
            raise
        return run(found)
    finally:
        head_start.give_up()


def begin_probe() -> subprocess.Popen[bytes] | None:
    """Begin to look for a display; None where there is nothing to look for, or nowhere.

    Qt ends the whole program where it finds no display, so another process tries first.
    """
    if not _display_is_needed() or not _may_have_display():
        return None
    return subprocess.Popen(
        [sys.executable, "-c", PROBE], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def refuse_without_display(probe: subprocess.Popen[bytes] | None = None) -> None:
    """RequestError where no window can be shown, as a probe finds that was begun or is now."""
    if not _display_is_needed():
        return
    named = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    tried = probe or begin_probe()
    if tried is not None and tried.wait() == 0:
        return
    what = f"no window can be shown on {named}" if named else "there is no display"
    hint = "Log in to a desktop to edit; slinediag draw, ask and show need no display"
    raise RequestError([problem("the editor", what, hint)])


def _display_is_needed() -> bool:
    return sys.platform.startswith("linux") and _platform() not in NEED_NO_DISPLAY


def _may_have_display() -> bool:
    """Whether anything says that there is a display."""
    named = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    return bool(named or _platform()) or not sys.platform.startswith("linux")


def _platform() -> str:
    return os.environ.get("QT_QPA_PLATFORM", "").partition(":")[0]
