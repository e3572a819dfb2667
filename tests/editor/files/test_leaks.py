"""Opening and closing two hundred times leaves memory, handles and threads level."""

from __future__ import annotations

import gc
import os
import sys
import threading

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication

from slinediag.editor.files.reading import read
from slinediag.editor.running import Windows
from slinediag.editor.window import Window
from tests.editor.files.test_recovery import gap
from tests.editor.plant import PLANT

WINDOWS, FILES = 40, 5
"""Windows that are opened and closed, and files that are opened and left in each."""
SETTLED = 10
"""Windows after which all that is made once and kept has been made."""
MOST = 6.0
"""MiB that memory may grow from there; thirty windows that were not let go of take 75 and more."""


def memory():
    """MiB that this process holds in memory, as Linux tells (proc(5), statm)."""
    gc.collect()
    with open("/proc/self/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGESIZE") / 2**20


def handles():
    return len(os.listdir("/proc/self/fd"))


def cycle(windows, paths, number):
    """Open a window, and in it one file after another; work on one now and then; close it."""
    window = windows.show(read(paths[0]))
    QApplication.processEvents()
    for file in range(1, FILES):
        window.workplace.open(paths[file % 2])
    if number % 5 == 0:
        while window.canvas.chart is None:
            QApplication.processEvents()
        gap(window.workplace)
        assert window.files.work.settle(30)
    QApplication.processEvents()
    window.close()
    del window
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.mark.skipif(sys.platform != "linux", reason="memory is read from /proc")
def test_two_hundred_times_opened_and_closed_memory_is_level(plant_file, monkeypatch):
    monkeypatch.setattr(Window, "may_leave", lambda _self: True)
    monkeypatch.setattr(Window, "introduce_if_new", lambda _self: None)
    windows = Windows()
    other = plant_file.with_name("other.yaml")
    other.write_text(PLANT.replace("Small plant", "Other plant"), encoding="utf-8")
    for number in range(WINDOWS):
        cycle(windows, (str(plant_file), str(other)), number)
        if number == SETTLED:
            before, open_before, threads = memory(), handles(), threading.active_count()
    assert not windows.open
    assert memory() - before < MOST
    assert handles() <= open_before
    assert threading.active_count() <= threads
    left = [path.name for path in plant_file.parent.iterdir() if path.name.startswith(".")]
    assert left == []
