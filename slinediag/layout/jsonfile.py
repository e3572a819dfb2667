"""Graphs read from JSON, and layouts as ``resultfile`` wrote them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from slinediag.layout.graph import LARGEST, Edge, Graph, Node, Pin, Port, problems_of
from slinediag.layout.layout import Layout, Point
from slinediag.layout.rereading import Drawn, reread
from slinediag.problems import FileErrors, Problem, RequestError, problem

EARLIER = "Name a result of this program for an earlier state of the graph"
FAR = 100 * LARGEST
"""Nothing that was drawn lies further off."""
NOWHERE = (0.0, 0.0)


def read_graph(path: Path) -> Graph:
    """The graph in a file.

    Raises RequestError if the file cannot be read, FileErrors with everything wrong in it.
    """
    data = _data_of(path, "Name a graph file that can be read")
    reader = _Reader()
    graph = reader.graph(data)
    problems = reader.problems or list(problems_of(graph)) + _ports_on_both_sides(graph)
    if problems:
        raise FileErrors(problems, str(path))
    return graph


def read_earlier(path: Path, graph: Graph) -> Layout:
    """The layout in a result file, as ``graph`` can follow it.

    Raises RequestError if the file cannot be read or shows none of the graph's nodes, FileErrors
    with everything wrong in it.
    """
    data = _data_of(path, EARLIER)
    reader = _Reader("a result")
    drawn = reader.drawn(data)
    if reader.problems:
        raise FileErrors(reader.problems, str(path))
    if graph.nodes and not any(node.id in drawn.nodes for node in graph.nodes):
        what = "this result shows none of the graph's nodes"
        raise RequestError([problem(str(path), what, EARLIER)])
    return reread(drawn, graph)


def _data_of(path: Path, hint: str) -> Any:
    """What a JSON file holds; ``hint``: what to do where it cannot be read."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        found = problem("", f"not UTF-8 at byte {error.start}", "Save it as UTF-8")
        raise FileErrors([found], str(path)) from None
    except OSError as error:
        found = problem(str(path), error.strerror or "cannot be read", hint)
        raise RequestError([found]) from None
    try:
        return json.loads(text, object_pairs_hook=_object)
    except json.JSONDecodeError as error:
        found = Problem(error.lineno, error.colno, "", f"not JSON: {error.msg}", "Correct it here")
        raise FileErrors([found], str(path)) from None
    except RecursionError:
        found = problem("", "nested too deep", "It needs six levels")
        raise FileErrors([found], str(path)) from None
    except ValueError:
        found = problem("", "a number has too many digits", "Give millimetres")
        raise FileErrors([found], str(path)) from None


def _is_place(value: object) -> bool:
    """Whether it is a number of millimetres, on any wall."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= FAR


class _Object(dict[str, Any]):
    """A JSON object that remembers which keys it had twice."""

    repeated: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    found = _Object(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        found.repeated = tuple(name for name in found if names.count(name) > 1)
    return found


def _ports_on_both_sides(graph: Graph) -> list[Problem]:
    """A result names a box's ports in one list: an id can stand for one port only."""
    hint = "Give each port of a node its own id"
    return [
        problem(f"node {node.id!r}, port {port.id!r}", "an input and an output have this id", hint)
        for node in graph.nodes
        for port in node.outputs
        if port.id in {other.id for other in node.inputs}
    ]


class _Reader:
    """Takes plain data apart and notes what is not as it should be."""

    def __init__(self, kind: str = "a graph") -> None:
        self.problems: list[Problem] = []
        self.kind = kind

    def graph(self, data: Any) -> Graph:
        nodes = self.items(data, "", "nodes")
        edges = self.items(data, "", "edges")
        return Graph(
            tuple(self.node(node, f"nodes[{k}]") for k, node in enumerate(nodes)),
            tuple(self.edge(edge, f"edges[{k}]") for k, edge in enumerate(edges)),
        )

    def node(self, data: Any, where: str) -> Node:
        return Node(
            self.name(data, where, "id"),
            self.number(data, where, "width"),
            self.number(data, where, "height"),
            self.ports(data, where, "inputs"),
            self.ports(data, where, "outputs"),
        )

    def ports(self, data: Any, where: str, key: str) -> tuple[Port, ...]:
        return tuple(
            Port(self.name(port, place, "id"), self.number(port, place, "y"))
            for place, port in (
                (f"{where}.{key}[{k}]", port) for k, port in enumerate(self.items(data, where, key))
            )
        )

    def edge(self, data: Any, where: str) -> Edge:
        return Edge(self.pin(data, where, "from"), self.pin(data, where, "to"))

    def pin(self, data: Any, where: str, key: str) -> Pin:
        found = self.value(data, where, key)
        if isinstance(found, list) and len(found) == 2 and all(isinstance(x, str) for x in found):
            return found[0], found[1]
        if found is not None:
            self.note(where, key, "is not a pair [node, port]", "Name a node and one of its ports")
        return "", ""

    def drawn(self, data: Any) -> Drawn:
        places = self.object(data, "", "nodes")
        sides = self.object(data, "", "ports")
        ways = self.items(data, "", "edges")
        return Drawn(
            {name: self.point(places, "nodes", name) for name in places},
            {name: self.levels(sides, name) for name in sides},
            tuple(self.way(ways, k) for k in range(len(ways))),
        )

    def levels(self, sides: dict[str, Any], name: str) -> dict[str, float]:
        """The ys of a node's ports."""
        ports = self.object(sides, "ports", name)
        for port, y in ports.items():
            if not _is_place(y):
                self.note(f"ports.{name}", port, "is no y in millimetres", "Give a number")
        return {port: float(y) for port, y in ports.items() if _is_place(y)}

    def way(self, ways: Sequence[Any], number: int) -> tuple[Point, ...]:
        """The corners of a line, two at least."""
        where, way = f"edges[{number}]", ways[number]
        if isinstance(way, list) and len(way) > 1:
            return tuple(self.point(dict(enumerate(way)), where, k) for k in range(len(way)))
        self.note("", where, "is no list of two points or more", "Give [[x, y], …]")
        return (NOWHERE, NOWHERE)

    def point(self, data: Any, where: str, key: Any) -> Point:
        found = self.value(data, where, key)
        if isinstance(found, list) and len(found) == 2 and all(map(_is_place, found)):
            return float(found[0]), float(found[1])
        if found is not None:
            self.note(where, str(key), "is no point [x, y] in millimetres", "Give two numbers")
        return NOWHERE

    def object(self, data: Any, where: str, key: str) -> dict[str, Any]:
        found = self.value(data, where, key)
        if isinstance(found, dict):
            return found
        if found is not None:
            self.note(where, key, "is not an object", "Give an object, {} for none")
        return {}

    def items(self, data: Any, where: str, key: str) -> Sequence[Any]:
        found = self.value(data, where, key)
        if isinstance(found, list):
            return found
        if found is not None:
            self.note(where, key, "is not a list", "Give a list, [] for none")
        return []

    def name(self, data: Any, where: str, key: str) -> str:
        found = self.value(data, where, key)
        if isinstance(found, str):
            return found
        if found is not None:
            self.note(where, key, "is not text", "Give a text in quotes")
        return ""

    def number(self, data: Any, where: str, key: str) -> float:
        found = self.value(data, where, key)
        if isinstance(found, int | float) and not isinstance(found, bool):
            return found if isinstance(found, float) else float(max(-1e300, min(1e300, found)))
        if found is not None:
            self.note(where, key, "is not a number", "Give millimetres")
        return 0.0

    def value(self, data: Any, where: str, key: str) -> Any:
        """The value of a key; None, and a problem, if there is none."""
        if not isinstance(data, dict):
            what = "the file holds no object" if not where else "is not an object"
            found = problem(where, what, f"Give an object with the keys of {self.kind}")
            if found not in self.problems:
                self.problems.append(found)
            return None
        if isinstance(data, _Object) and key in data.repeated:
            self.note(where, key, "is given twice", "Keep one of them")
            return None
        if data.get(key) is None:
            self.note(where, key, "is missing", "Add it")
            return None
        return data[key]

    def note(self, where: str, key: str, what: str, hint: str) -> None:
        self.problems.append(problem(f"{where}.{key}" if where else key, what, hint))
