"""Graphviz source: a graph of boxes with ports, for those who arrange charts by other means.

Writing the source needs no Graphviz installed; only ``run`` does.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

import graphviz

from slinediag.problems import RequestError, problem
from slinediag.text import printable

Side = Literal["inputs", "outputs"]

FONT = {"fontname": "Liberation Sans,Arial,Helvetica,sans-serif"}


@dataclass(frozen=True, slots=True)
class GraphPort:
    """A port: its id, unique on its side of its box, and what is printed at it."""

    id: str
    label: str


@dataclass(frozen=True, slots=True)
class GraphBox:
    """A box with inputs on its left and outputs on its right, each from the top.

    Boxes of one rank stand below each other; a box without one stands where Graphviz likes.
    """

    id: str
    label: str
    inputs: tuple[GraphPort, ...] = ()
    outputs: tuple[GraphPort, ...] = ()
    rank: int | None = None


@dataclass(frozen=True, slots=True)
class GraphEdge:
    """An edge from an output to an input, each as (box id, port id)."""

    tail: tuple[str, str]
    head: tuple[str, str]
    label: str = ""
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes and edges in the order written, and a title."""

    title: str
    boxes: tuple[GraphBox, ...]
    edges: tuple[GraphEdge, ...]


def source(graph: Graph) -> str:
    """The graph in the DOT language; KeyError on an edge to a box or port that is not there.

    Boxes and ports are numbered, since DOT gives colons in names a meaning of their own; a
    box's id stands in its ``id`` attribute.
    """
    digraph = graphviz.Digraph(
        graph_attr={"rankdir": "LR", "label": _literal(graph.title), "ranksep": "1"} | FONT,
        node_attr={"shape": "plain"} | FONT,
        edge_attr={"arrowhead": "none"} | FONT,
    )
    names = {box.id: f"b{number}" for number, box in enumerate(graph.boxes)}
    ports = _port_names(graph.boxes)
    for box in graph.boxes:
        label = _table(box, ports)
        digraph.node(names[box.id], f"<{label}>", id=_literal(box.id), tooltip=_literal(box.label))
    for rank in sorted({box.rank for box in graph.boxes if box.rank is not None}):
        with digraph.subgraph(graph_attr={"rank": "same"}) as level:
            for box in graph.boxes:
                if box.rank == rank:
                    level.node(names[box.id])
    for edge in graph.edges:
        digraph.edge(
            names[edge.tail[0]],
            names[edge.head[0]],
            label=_literal(edge.label) if edge.label else None,
            tailport=ports["outputs", *edge.tail] + ":e",
            headport=ports["inputs", *edge.head] + ":w",
            style="dashed" if edge.dashed else None,
        )
    return str(digraph.source)


def available() -> bool:
    """Whether Graphviz is installed here."""
    return shutil.which("dot") is not None


def run(text: str, form: Literal["svg", "png", "pdf"] = "svg") -> bytes:
    """What Graphviz makes of DOT source; RequestError where it is not installed or refuses."""
    program = shutil.which("dot")
    if program is None:
        hint = "On Debian: apt install graphviz; a chart as .svg does without"
        raise RequestError([problem("Graphviz", "it is not installed", hint)])
    done = subprocess.run([program, f"-T{form}"], input=text.encode(), capture_output=True)
    if done.returncode:
        said = done.stderr.decode(errors="replace").strip()
        raise RequestError([problem("Graphviz", f"it refuses the graph: {said}")])
    return done.stdout


def _literal(text: str) -> str:
    """A text as it stands, whatever DOT makes of backslashes, brackets and character references."""
    return str(graphviz.escape(printable(text).replace("&", "&amp;")))


def _port_names(boxes: Iterable[GraphBox]) -> dict[tuple[Side, str, str], str]:
    """Numbered names of ports by side, box id and port id."""
    names: dict[tuple[Side, str, str], str] = {}
    for box in boxes:
        for number, port in enumerate(box.inputs):
            names["inputs", box.id, port.id] = f"i{number}"
        for number, port in enumerate(box.outputs):
            names["outputs", box.id, port.id] = f"o{number}"
    return names


def _table(box: GraphBox, names: dict[tuple[Side, str, str], str]) -> str:
    """A box as an HTML-like label: its own label above, below it a row to each pair of ports."""
    heading = f'<TR><TD COLSPAN="2"><B>{_html(box.label)}</B></TD></TR>'
    rows = [
        "<TR>"
        + _cell("inputs", box.id, box.inputs[i : i + 1], names)
        + _cell("outputs", box.id, box.outputs[i : i + 1], names)
        + "</TR>"
        for i in range(max(len(box.inputs), len(box.outputs)))
    ]
    return (
        '<TABLE BORDER="1" CELLBORDER="0" CELLSPACING="0" CELLPADDING="4">'
        + "".join([heading, *rows])
        + "</TABLE>"
    )


def _cell(
    side: Side,
    box: str,
    ports: Sequence[GraphPort],
    names: dict[tuple[Side, str, str], str],
) -> str:
    """The cell of one port, or an empty one where that side has no more."""
    if not ports:
        return "<TD></TD>"
    (port,) = ports
    align = "LEFT" if side == "inputs" else "RIGHT"
    return f'<TD PORT="{names[side, box, port.id]}" ALIGN="{align}">{_html(port.label)}</TD>'


def _html(text: str) -> str:
    """A text for an HTML-like label: blank as a space, since <B></B> is an error there.

    Backslashes are doubled: DOT takes one before an N for the box's name there too.
    """
    return escape(printable(text)).replace("\\", "\\\\") or " "
