"""Graphs for the bench: stages of boxes, strings of lines between them, as in any plant.

Boxes stand in rooms. A string is a handful of lines that leave one box side by side, pass one
small box each, perhaps a box with as many inputs as outputs, and end side by side in another box.
A few strings swap two lines, go to another room, or come back to where they began.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from slinediag.layout.graph import Edge, Graph, Node, Pin, Port

PITCH = 8.0


@dataclass
class _Site:
    """A graph under construction."""

    chance: random.Random
    nodes: list[Node] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    free_outputs: dict[int, list[Pin]] = field(default_factory=dict)
    free_inputs: dict[int, list[Pin]] = field(default_factory=dict)

    def box(self, ins: int, outs: int, width: float = 30.0) -> Node:
        name = f"b{len(self.nodes)}"
        head = 0.0 if width < 20 else PITCH
        sides = [
            tuple(Port(f"{side}{k}", head + PITCH * (k + 0.5)) for k in range(count))
            for side, count in (("i", ins), ("o", outs))
        ]
        node = Node(name, width, head + PITCH * max(ins, outs, 1), *sides)
        self.nodes.append(node)
        return node

    def outputs(self, room: int, count: int) -> list[Pin]:
        """``count`` free outputs of one box of a room, a new one if need be."""
        free = self.free_outputs.setdefault(room, [])
        if len(free) < count:
            node = self.box(0, max(count, self.chance.choice((2, 4, 8, 12, 24))))
            free[:0] = [(node.id, port.id) for port in node.outputs]
        taken, free[:count] = free[:count], []
        return taken

    def inputs(self, room: int, count: int) -> list[Pin]:
        """``count`` free inputs of one box of a room, a new one if need be."""
        free = self.free_inputs.setdefault(room, [])
        if len(free) < count:
            node = self.box(max(count, self.chance.choice((2, 4, 8, 16, 32))), 0)
            free[:0] = [(node.id, port.id) for port in node.inputs]
        taken, free[:count] = free[:count], []
        return taken

    def through(self, source: Pin, target: Pin) -> None:
        """A line from source to target through one small box."""
        node = self.box(1, 1, 12.0)
        self.edges += [Edge(source, (node.id, "i0")), Edge((node.id, "o0"), target)]

    def string(self, room: int, other: int, width: int) -> None:
        ends = self.outputs(room, width)
        for _ in range(self.chance.choice((0, 0, 1, 1, 2))):
            node = self.box(width, width)
            for source, port in zip(ends, node.inputs, strict=True):
                self.through(source, (node.id, port.id))
            ends = [(node.id, port.id) for port in node.outputs]
        targets = self.inputs(other, width)
        if width > 1 and self.chance.random() < 0.25:
            a, b = self.chance.sample(range(width), 2)
            targets[a], targets[b] = targets[b], targets[a]
        for source, target in zip(ends, targets, strict=True):
            self.through(source, target)


def strings(positions: int, seed: int) -> Graph:
    """A graph of about ``positions`` small boxes; the same for the same numbers."""
    site = _Site(random.Random(positions * 7919 + seed))
    rooms = max(1, positions // 80)
    hubs = [site.box(16, 12, 40.0) for _ in range(rooms)]
    for room, hub in enumerate(hubs):
        site.free_inputs[room] = [(hub.id, port.id) for port in hub.inputs]
        site.free_outputs[room] = [(hub.id, port.id) for port in hub.outputs]
    while sum(node.width < 20 for node in site.nodes) < positions:
        room = site.chance.randrange(rooms)
        other = site.chance.randrange(rooms) if site.chance.random() < 0.15 else room
        site.string(room, other, site.chance.choice((1, 1, 2, 2, 2, 4, 8)))
    return Graph(tuple(site.nodes), tuple(site.edges))
