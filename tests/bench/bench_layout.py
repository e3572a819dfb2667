"""Quality and time of the layout, next to Graphviz dot where it is installed.

Run from the root of the source: ``python -m tests.bench.bench_layout [--positions 24,96,480]
[--seeds 1,2] [--effort quick|thorough] [--ports fixed|free]``. dot draws with polylines and its
ports fixed; its crossings are counted by cutting every segment with every other.
"""

from __future__ import annotations

import argparse
import json
import shutil
import time
from itertools import pairwise

import graphviz
import numpy as np

from slinediag.layout.graph import Graph, Node
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from slinediag.layout.settle import fitting
from tests.bench.strings import strings

Ways = list[list[tuple[float, float]]]


def run() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--positions", default="24,96,480")
    parser.add_argument("--seeds", default="1,2")
    parser.add_argument("--effort", choices=["quick", "thorough"], default="quick")
    parser.add_argument("--ports", choices=["fixed", "free"], default="fixed")
    asked = parser.parse_args()
    rival = shutil.which("dot") is not None
    print(
        "positions seed  lines | crossings bends/line straight  w x h m  s",
        "| dot: crossings  s" if rival else "",
    )
    for positions in map(int, asked.positions.split(",")):
        for seed in map(int, asked.seeds.split(",")):
            graph = strings(positions, seed)
            print(
                f"{positions:9} {seed:4} {len(graph.edges):6}",
                "|",
                ours(graph, asked.effort, asked.ports),
                end=" ",
            )
            print(f"| {dots(graph)}" if rival else "", flush=True)


def ours(graph: Graph, effort: str, ports: str) -> str:
    settings = fitting(graph, Settings(ports=ports, effort=effort))
    start = time.perf_counter()
    layout = arrange(graph, settings)
    seconds = time.perf_counter() - start
    corners = [len(run.points) - 2 for run in layout.edges]
    return (
        f"{layout.crossings:9} {sum(corners) / len(corners):10.2f} {corners.count(0) / len(corners):8.2f}"
        f"  {layout.width / 1000:.2f} x {layout.height / 1000:.2f}  {seconds:.2f}"
    )


def dots(graph: Graph) -> str:
    drawing = graphviz.Digraph(
        graph_attr={"rankdir": "LR", "splines": "polyline"}, node_attr={"shape": "plain"}
    )
    for node in graph.nodes:
        drawing.node(node.id, table(node))
    for edge in graph.edges:
        drawing.edge(":".join((*edge.source, "e")), ":".join((*edge.target, "w")))
    start = time.perf_counter()
    drawn = json.loads(drawing.pipe(format="json0"))
    seconds = time.perf_counter() - start
    ways = [points(edge["pos"]) for edge in drawn["edges"]]
    return f"{crossings(ways):14} {seconds:4.1f}"


def table(node: Node) -> str:
    """A box as dot has it: a table of rows, with ports at their ends, in points."""
    rows = max(len(node.inputs), len(node.outputs), 1)
    size = 'FIXEDSIZE="TRUE" HEIGHT="22"'
    cells = []
    if node.width > 20:
        cells.append(f'<TR><TD COLSPAN="2" {size} WIDTH="80"></TD></TR>')
    for k in range(rows):
        left = f'PORT="i{k}"' if k < len(node.inputs) else ""
        right = f'PORT="o{k}"' if k < len(node.outputs) else ""
        width = f'WIDTH="{node.width * 1.4:.0f}"'
        cells.append(f"<TR><TD {left} {size} {width}></TD><TD {right} {size} {width}></TD></TR>")
    attributes = 'BORDER="1" CELLBORDER="0" CELLSPACING="0" CELLPADDING="0"'
    return f"<<TABLE {attributes}>{''.join(cells)}</TABLE>>"


def points(text: str) -> list[tuple[float, float]]:
    """Corners of a polyline from dot's spline: every third control point, then the arrow's tip."""
    found, tip = [], []
    for token in text.split():
        parts = token.split(",")
        spot = (float(parts[-2]), float(parts[-1]))
        (tip if parts[0] in ("e", "s") else found).append(spot)
    return found[::3] + tip


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
