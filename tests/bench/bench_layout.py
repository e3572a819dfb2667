"""Crossings and time of the layout beside other engines, as far as they are installed.

Run from the root of the source: ``python -m tests.bench.bench_layout [--positions 96,480,960]
[--seeds 1,2] [--quick]``. Medians over the seeds; ``-`` is what an engine cannot do. For ELK and
dagre install their packages of Node anywhere and name the folder: ``NODE_PATH=…/node_modules``.
Crossings of all are counted alike, by cutting every segment with every other. Seconds are
processor time; dot's are by the clock, and none has its reading and writing of files counted but
dot.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections import defaultdict
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from slinediag.layout.graph import Graph
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from slinediag.layout.settle import fitting
from tests.bench.rivals import FIXED, FREE, Rival, Ways
from tests.bench.strings import strings

Figures = dict[tuple[str, str, int], list[tuple[int, float]]]
"""By engine, freedom of its ports and positions: crossings and seconds of each seed."""


def run() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--positions", default="96,480")
    parser.add_argument("--seeds", default="1,2")
    parser.add_argument("--quick", action="store_true", help="leave the thorough effort out")
    asked = parser.parse_args()
    sizes = [int(size) for size in asked.positions.split(",")]
    efforts = ["quick"] if asked.quick else ["quick", "thorough"]
    figures: Figures = defaultdict(list)
    for size in sizes:
        for seed in map(int, asked.seeds.split(",")):
            graph = strings(size, seed)
            for ports, rivals in (("fixed", FIXED), ("free", FREE)):
                for effort in efforts:
                    label = f"slinediag, {effort}"
                    figures[label, ports, size].append(ours(graph, effort, ports))
                for name, rival in rivals.items():
                    found = measured(rival, graph)
                    if found:
                        figures[name, ports, size].append(found)
    print_table(figures, sizes)


def ours(graph: Graph, effort: str, ports: str) -> tuple[int, float]:
    """Crossings and seconds; says on a line of its own what else the drawing is like."""
    settings = fitting(graph, Settings(ports=ports, effort=effort))
    start = time.process_time()
    layout = arrange(graph, settings)
    seconds = time.process_time() - start
    corners = [len(run.points) - 2 for run in layout.edges]
    print(
        f"{len(graph.nodes)} boxes, {len(corners)} lines, ports {ports}, {effort}: "
        f"{sum(corners) / len(corners):.2f} bends a line, "
        f"{corners.count(0) / len(corners):.0%} of lines straight, "
        f"{layout.width / 1000:.2f} x {layout.height / 1000:.2f} m",
        flush=True,
    )
    return layout.crossings, seconds


def measured(rival: Rival, graph: Graph) -> tuple[int, float] | None:
    answer = rival(graph)
    return None if answer is None else (crossings(answer[0]), answer[1])


def print_table(figures: Figures, sizes: list[int]) -> None:
    """One row an engine: crossings with ports fixed and free, and seconds, by size."""

    def row(name: str, ports: str, pick: Callable[[tuple[int, float]], float], form: str) -> str:
        cells = []
        for size in sizes:
            found = figures.get((name, ports, size))
            cells.append(format(statistics.median(map(pick, found)), form) if found else "-")
        return " / ".join(cells)

    heads = ("ports fixed", "ports free", "seconds, fixed", "seconds, free")
    rows = [
        (
            name,
            row(name, "fixed", lambda figure: figure[0], ".0f"),
            row(name, "free", lambda figure: figure[0], ".0f"),
            row(name, "fixed", lambda figure: figure[1], ".2f"),
            row(name, "free", lambda figure: figure[1], ".2f"),
        )
        for name in dict.fromkeys(name for name, _, _ in figures)
    ]
    title = f"at {' / '.join(map(str, sizes))}"
    wide = [max(map(len, column)) for column in zip((title, *heads), *rows, strict=True)]
    for cells in ((title, *heads), *rows):
        print("  ".join(cell.ljust(width) for cell, width in zip(cells, wide, strict=True)))


def crossings(ways: Ways) -> int:
    """Proper crossings of segments of two ways."""
    rows = [(*a, *b, k) for k, way in enumerate(ways) for a, b in pairwise(way) if a != b]
    ax, ay, bx, by, owner = np.array(rows).T
    total = 0
    for k in range(len(rows)):
        rest = slice(k + 1, None)
        cx, cy, dx, dy = ax[rest], ay[rest], bx[rest], by[rest]
        one = (bx[k] - ax[k]) * (cy - ay[k]) - (by[k] - ay[k]) * (cx - ax[k])
        two = (bx[k] - ax[k]) * (dy - ay[k]) - (by[k] - ay[k]) * (dx - ax[k])
        three = (dx - cx) * (ay[k] - cy) - (dy - cy) * (ax[k] - cx)
        four = (dx - cx) * (by[k] - cy) - (dy - cy) * (bx[k] - cx)
        total += int(((one * two < 0) & (three * four < 0) & (owner[rest] != owner[k])).sum())
    return total


if __name__ == "__main__":
    run()
