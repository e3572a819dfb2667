"""Other layout engines for the bench: each is asked only if it is installed.

dot: Graphviz, lines as polylines, ports where they are on the box. ELK and dagre: libraries of
Node, found as Node finds them (``NODE_PATH``); graphlay: a Python package. dagre and graphlay know
no ports: their lines end where they choose, so they stand among those with ports free.
"""

from __future__ import annotations

import importlib.util
import json
import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import graphviz

from slinediag.layout.graph import Graph, Node

Ways = list[list[tuple[float, float]]]
Answer = tuple[Ways, float] | None
"""The corners of each edge, and seconds of processor time; None if it is not installed."""


def dot(graph: Graph) -> Answer:
    """Graphviz with ports exact."""
    if not shutil.which("dot"):
        return None
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
    return [points(edge["pos"]) for edge in drawn["edges"]], seconds


def table(node: Node) -> str:
    """A box as dot has it: a table of rows, with ports at their ends, in points."""
    rows = max(len(node.inputs), len(node.outputs), 1)
    size = 'FIXEDSIZE="TRUE" HEIGHT="22"'
    cells = []
    if node.width > 20:
        cells.append(f'<TR><TD COLSPAN="2" {size} WIDTH="80"></TD></TR>')
    for k in range(rows):
        left = f'PORT="{node.inputs[k].id}"' if k < len(node.inputs) else ""
        right = f'PORT="{node.outputs[k].id}"' if k < len(node.outputs) else ""
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


def elk_fixed(graph: Graph) -> Answer:
    """ELK layered, thoroughness 100, ports where they are."""
    return _of_node(graph, "elk", "fixed")


def elk_free(graph: Graph) -> Answer:
    """ELK layered, thoroughness 100, ports in any order on their side."""
    return _of_node(graph, "elk", "free")


def dagre(graph: Graph) -> Answer:
    """dagre, which knows no ports."""
    return _of_node(graph, "dagre", "free")


def _of_node(graph: Graph, engine: str, ports: str) -> Answer:
    if not shutil.which("node"):
        return None
    asked = {
        "engine": engine,
        "ports": ports,
        "nodes": [
            {
                "id": node.id,
                "width": node.width,
                "height": node.height,
                "inputs": [(port.id, port.y) for port in node.inputs],
                "outputs": [(port.id, port.y) for port in node.outputs],
            }
            for node in graph.nodes
        ],
        "edges": [(*edge.source, *edge.target) for edge in graph.edges],
    }
    script = Path(__file__).with_name("rivals.js")
    done = subprocess.run(
        ["node", "--stack-size=8000", str(script)],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        check=True,
    )
    answer = json.loads(done.stdout)
    return None if "absent" in answer else (answer["ways"], answer["seconds"])


def graphlay(graph: Graph) -> Answer:
    """graphlay, which knows no ports."""
    if importlib.util.find_spec("graphlay") is None:
        return None
    package: Any = importlib.import_module("graphlay")
    asked = package.Graph()
    for node in graph.nodes:
        asked.node(node.id, width=node.width * 3, height=node.height * 3)
    for edge in graph.edges:
        asked.edge(edge.source[0], edge.target[0])
    start = time.process_time()
    drawn = package.layout(asked)
    seconds = time.process_time() - start
    ways = [[(corner["x"], corner["y"]) for corner in edge["points"]] for edge in drawn.edges]
    return ways, seconds


Rival = Callable[[Graph], Answer]
FIXED: dict[str, Rival] = {"dot": dot, "ELK": elk_fixed}
FREE: dict[str, Rival] = {"ELK": elk_free, "dagre": dagre, "graphlay": graphlay}
