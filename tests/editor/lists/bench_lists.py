"""How long the window's own thread works at an edit in the lists, on a large plant.

    QT_QPA_PLATFORM=offscreen python -m tests.editor.lists.bench_lists 1920

Prints, in milliseconds of the thread's processor time (a busy machine adds waiting): a key in a
cell, Return in a cell, what follows of itself before the window is at rest, a frame while one
scrolls, a paste of a thousand cells, and an undo. Median and the worst of each.
"""

from __future__ import annotations

import statistics
import sys
import time

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from slinediag.editor import looks
from slinediag.editor.running import collect_seldom
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import parse
from slinediag.paint import qt as paint
from tests.file.large import large_file

AT_REST = 600
BAY = 48
KEY = Qt.Key


def main(positions: int) -> None:
    paint.prefer_bundled_fonts()
    application = QApplication(["bench"])
    looks.dress(application)
    document = parse(large_file(positions // BAY), "plant.yaml")
    window = Window(Workplace(document))
    window.may_leave = lambda: True
    window.resize(1280, 720)
    window.show()
    window.activateWindow()
    collect_seldom()
    QTest.qWait(AT_REST)
    QTest.keyClick(window, KEY.Key_F5)
    table = window.lists.page.table
    table.setFocus()
    taken: dict[str, list[float]] = {}

    def measure(what, do):
        before = time.thread_time()
        do()
        taken.setdefault(what, []).append((time.thread_time() - before) * 1000)

    def at_rest():
        end = time.monotonic() + AT_REST / 1000
        while time.monotonic() < end:
            measure("longest that follows", application.processEvents)
            time.sleep(0.002)

    for row in range(20):
        table.setCurrentIndex(table.table.index(row, 1))
        measure("first key", lambda: QTest.keyClick(table, KEY.Key_X))
        field = table.delegate.field
        measure("key", lambda field=field: QTest.keyClick(field, KEY.Key_Y))
        measure("Return", lambda field=field: QTest.keyClick(field, KEY.Key_Return))
        at_rest()
    for step in range(60):

        def frame(step=step):
            table.verticalScrollBar().setValue(step * 317)
            table.viewport().grab()

        measure("scrolled frame", frame)
    table.setCurrentIndex(table.table.index(100, 6))
    cells = "".join(f"G{n}\n" for n in range(1000))
    QGuiApplication.clipboard().setText(cells)
    measure(
        "paste of 1,000",
        lambda: QTest.keyClick(table, KEY.Key_V, Qt.KeyboardModifier.ControlModifier),
    )
    at_rest()
    for _ in range(3):
        measure("undo", window.workplace.undo)
        at_rest()
    for what, times in taken.items():
        print(f"{what:22} {statistics.median(times):7.1f} {max(times):7.1f}")
    window.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1920)
