"""Layouts that are known, so that what is laid out again and again is arranged once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from slinediag.layout.graph import Edge, Graph, Node, Pin, Port
from slinediag.layout.layout import Layout, Standing
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings


@dataclass(frozen=True, slots=True)
class Known:
    """Layouts of graphs arranged so far, all with the same settings.

    The order and size of boxes, ports and lines decide on a layout, no name does: graphs that
    differ only in what things are called are arranged once.
    """

    _found: dict[tuple[tuple[Node, ...], tuple[Edge, ...]], Layout] = field(default_factory=dict)

    def arranged(self, graph: Graph, settings: Settings) -> Layout:
        """The layout of a graph, arranged unless one like it has been."""
        numbered = _numbered(graph)
        key = (numbered.nodes, numbered.edges)
        if key not in self._found:
            self._found[key] = arrange(numbered, settings)
        return _named(self._found[key], graph)


def _numbered(graph: Graph) -> Graph:
    """The graph with numbers for names: of boxes by their order, of ports by that on their side."""
    into = {(n.id, p.id): str(k) for n in graph.nodes for k, p in enumerate(n.inputs)}
    out = {(n.id, p.id): str(k) for n in graph.nodes for k, p in enumerate(n.outputs)}
    nodes = tuple(
        replace(node, id=str(n), inputs=_counted(node.inputs), outputs=_counted(node.outputs))
        for n, node in enumerate(graph.nodes)
    )
    edges = tuple(
        Edge(
            (str(graph.index[edge.source[0]]), out[edge.source]),
            (str(graph.index[edge.target[0]]), into[edge.target]),
        )
        for edge in graph.edges
    )
    return Graph(nodes, edges)


def _counted(ports: tuple[Port, ...]) -> tuple[Port, ...]:
    return tuple(Port(str(k), port.y) for k, port in enumerate(ports))


def _named(layout: Layout, graph: Graph) -> Layout:
    """A layout of the numbered graph with the names of the graph."""
    nodes = graph.nodes

    def name(number: str) -> str:
        return nodes[int(number)].id

    def source(pin: Pin) -> Pin:
        node = nodes[int(pin[0])]
        return node.id, node.outputs[int(pin[1])].id

    def target(pin: Pin) -> Pin:
        node = nodes[int(pin[0])]
        return node.id, node.inputs[int(pin[1])].id

    ranks = layout.standing
    return replace(
        layout,
        nodes={name(n): at for n, at in layout.nodes.items()},
        inputs={name(n): _ys(ys, nodes[int(n)].inputs) for n, ys in layout.inputs.items()},
        outputs={name(n): _ys(ys, nodes[int(n)].outputs) for n, ys in layout.outputs.items()},
        layers=tuple(tuple(map(name, row)) for row in layout.layers),
        standing=Standing(
            {name(n): rank for n, rank in ranks.nodes.items()},
            tuple((source(a), target(b), rank) for a, b, rank in ranks.lines),
        ),
    )


def _ys(ys: Mapping[str, float], ports: tuple[Port, ...]) -> dict[str, float]:
    return {ports[int(k)].id: y for k, y in ys.items()}
