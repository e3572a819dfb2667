"""Boxes in single file: a line, a box with one line in and one out, a line, and so on."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.layout.nets import End, Wiring


@dataclass(frozen=True, slots=True)
class Chain:
    """A way from ``source`` to ``target`` through boxes that stand on no other way.

    ``nets[k]`` leads to ``nodes[k]``, the last net to ``target``; ``nodes`` may be empty.
    """

    source: End
    target: End
    nodes: tuple[int, ...]
    nets: tuple[int, ...]


def chains_of(wiring: Wiring, back: frozenset[int]) -> tuple[Chain, ...]:
    """The chains of all nets of one edge that does not run back, in order of their first net."""
    simple = [len(net.edges) == 1 and net.edges[0] not in back for net in wiring.nets]
    inner = [
        len(outs) == 1 and len(ins) == 1 and simple[outs[0][1]] and simple[ins[0][1]]
        for outs, ins in zip(wiring.leaving, wiring.entering, strict=True)
    ]
    found = []
    for number, net in enumerate(wiring.nets):
        if not simple[number] or inner[net.sources[0][0]]:
            continue
        nodes: list[int] = []
        nets = [number]
        target = net.targets[0]
        while inner[target[0]]:
            nodes.append(target[0])
            nets.append(wiring.leaving[target[0]][0][1])
            target = wiring.nets[nets[-1]].targets[0]
        found.append(Chain(net.sources[0], target, tuple(nodes), tuple(nets)))
    return tuple(found)
