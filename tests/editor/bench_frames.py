"""How long a frame of the chart takes while one pans, zooms, points and tries; on a large plant.

    QT_QPA_PLATFORM=offscreen python -m tests.editor.bench_frames 1920

Prints the 95th percentile of each, in milliseconds, with what of it the window's own thread worked
(a busy machine adds waiting), and against painting the whole drawing anew at the same view in the
same run; and how late the event loop came round while the chart was drawn.
"""

from __future__ import annotations

import sys
import time

from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from slinediag.editor import looks
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import parse
from slinediag.paint import qt as paint
from tests.bench.plants import plant_text


def main(positions: int) -> None:
    paint.prefer_bundled_fonts()
    application = QApplication(["bench"])
    looks.dress(application)
    window = Window(Workplace(parse(plant_text(positions).encode(), "plant.yaml")))
    window.may_leave = lambda: True
    window.resize(1280, 720)
    window.show()
    print(
        f"{positions} positions; loop late by at most {1000 * wait_for_chart(application, window):.0f} ms"
    )
    canvas = window.canvas
    canvas.fit()
    settle(application, canvas)
    jacks = list(canvas.chart.jacks)
    plugged = {j for cord in window.workplace.facility.cords for j in (cord.source, cord.target)}
    free = [jack for jack in jacks if jack not in plugged]
    whole = whole_anew(canvas)
    frames(
        application,
        canvas,
        "pan, far",
        whole,
        100,
        lambda _: canvas.look(canvas.view.moved(-3, -2)),
    )
    canvas.show_thing(jacks[len(jacks) // 2])
    settle(application, canvas)
    whole = whole_anew(canvas)
    frames(
        application,
        canvas,
        "pan, near",
        whole,
        150,
        lambda _: canvas.look(canvas.view.moved(-9, -14)),
    )
    frames(
        application,
        canvas,
        "zoom",
        whole,
        80,
        lambda n: canvas.zoom(0.25 if n % 40 < 20 else -0.25),
    )
    frames(application, canvas, "point at a jack", whole, 60, lambda n: point_at(canvas, jacks[n]))

    def drop(number: int) -> None:
        window.workplace.clear_trial()
        window.workplace.put_cord(free[3 * number], free[3 * number + 40])

    frames(application, canvas, "trial, dropped to lit", whole, 20, drop)
    window.close()


def wait_for_chart(application: QApplication, window: Window) -> float:
    """Seconds between two rounds of the event loop at most until the chart is there."""
    late, last = 0.0, time.perf_counter()
    while window.canvas.chart is None:
        application.processEvents()
        time.sleep(0.001)
        now = time.perf_counter()
        late, last = max(late, now - last), now
    return late


def settle(application: QApplication, canvas) -> None:
    while not canvas.ready:
        application.processEvents()


def whole_anew(canvas) -> float:
    """Milliseconds to paint the whole drawing at the canvas's view, as a peer."""
    image = QImage(canvas.width(), canvas.height(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    painter.scale(canvas.view.scale, canvas.view.scale)
    painter.translate(-canvas.view.left, -canvas.view.top)
    start = time.perf_counter()
    paint.paint(canvas.chart.drawing, painter)
    painter.end()
    return 1000 * (time.perf_counter() - start)


def point_at(canvas, jack) -> None:
    canvas.over = None
    canvas._point_at(canvas.screen_place(jack))


def frames(application, canvas, words, whole, count, step) -> None:
    walls, works = [], []
    for number in range(count):
        wall, work = time.perf_counter(), time.thread_time()
        step(number)
        canvas.repaint()
        application.processEvents()
        walls.append(1000 * (time.perf_counter() - wall))
        works.append(1000 * (time.thread_time() - work))
    wall, work = (sorted(times)[int(count * 0.95)] for times in (walls, works))
    print(
        f"{words:24} p95 {wall:6.1f} ms   of it work {work:6.1f}   whole anew / p95 {whole / wall:6.1f}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1920)
