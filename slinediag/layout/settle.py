"""Distances that suit a graph of which nothing else is known."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

from slinediag.layout.graph import Graph, micrometres
from slinediag.layout.settings import Settings

# Rows for each line: where no sheet sets the height, straight lines come first.
STRETCH = 0.1


def fitting(graph: Graph, settings: Settings) -> Settings:
    """``settings`` with the pitch most ports stand at, and the other distances after it.

    Where several distances are as common, it is the middle one: a single pair of ports close to
    each other must not crowd all lines. Without two ports on one side the pitch is the commonest
    box height.
    """
    steps: Counter[int] = Counter()
    for node in graph.nodes:
        for ports in (node.inputs, node.outputs):
            levels = sorted(micrometres(port.y) for port in ports)
            steps.update(lower - upper for upper, lower in pairwise(levels))
    if not steps:
        steps.update(micrometres(node.height) for node in graph.nodes if node.height > 0)
    if not steps:
        return settings
    most = max(steps.values())
    common = sorted(step for step, times in steps.items() if times == most)
    pitch = common[(len(common) - 1) // 2] / 1000
    return replace(
        settings,
        pitch=pitch,
        gap=pitch / 2,
        clearance=min(settings.clearance, pitch / 3),
        stretch=STRETCH,
    )
