"""How long it takes from the command to the chart on screen, and how late the event loop comes round.

    QT_QPA_PLATFORM=offscreen python -m tests.editor.files.bench_opening samples/quillmoor.yaml
    QT_QPA_PLATFORM=offscreen python -m tests.editor.files.bench_opening 1920

A number is a made plant of as many positions. Seconds since the process began, with the processor
time of the window's own process: a busy machine adds waiting. Linux tells when a process began.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time

from slinediag.editor import start

ROUND = 2
"""Milliseconds between two looks at the clock by the event loop."""


def main(what: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for variable in ("XDG_STATE_HOME", "XDG_CONFIG_HOME"):
            os.environ[variable] = folder
        path = what
        if what.isdecimal():
            # Loaded only here, so as not to be counted otherwise.
            from tests.bench.plants import plant_text

            path = os.path.join(folder, "plant.yaml")
            with open(path, "w", encoding="utf-8") as file:
                file.write(plant_text(int(what)))
        refuse = start.refuse_without_display

        def loaded(probe):
            watch()
            refuse(probe)

        start.refuse_without_display = loaded
        start.edit(path)


def watch() -> None:
    """Have the first window tell when it and its chart are seen, and then close."""
    from PySide6.QtCore import QTimer

    from slinediag.editor.window import Window

    tell("loaded")
    show = Window.show

    def show_and_watch(window):
        window.introduce_if_new = lambda: None
        window.may_leave = lambda: True
        show(window)
        tell("window shown")
        late, last = [0.0], [time.perf_counter()]

        def look():
            now = time.perf_counter()
            late[0], last[0] = max(late[0], now - last[0]), now
            if window.canvas.chart is not None:
                timer.stop()
                tell("chart shown")
                print(f"event loop late by at most {1000 * late[0]:.0f} ms meanwhile")
                window.close()

        timer = QTimer(window, interval=ROUND)
        timer.timeout.connect(look)
        timer.start()

    Window.show = show_and_watch


def tell(what: str) -> None:
    print(f"{what:14} {since_start():5.2f} s, processor {time.process_time():5.2f} s", flush=True)


def since_start() -> float:
    """Seconds since this process began (proc(5), stat and uptime)."""
    with open("/proc/self/stat", encoding="ascii") as file:
        ticks = int(file.read().rpartition(")")[2].split()[19])
    with open("/proc/uptime", encoding="ascii") as file:
        return float(file.read().split()[0]) - ticks / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "samples/quillmoor.yaml")
