"""Layouts written as JSON, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

from slinediag.layout.layout import Layout
from slinediag.saving import save


def write_result(path: Path, layout: Layout, seconds: float) -> None:
    """Write a layout whole or not at all; raises WriteError.

    A symbolic link stays, its target is replaced; the new file has the old one's permissions.
    """
    ports = {node: {**layout.inputs[node], **layout.outputs[node]} for node in layout.nodes}
    data = {
        "nodes": layout.nodes,
        "ports": ports,
        "edges": [run.points for run in layout.edges],
        "reversed": [run.reversed for run in layout.edges],
        "seconds": round(seconds, 3),
        "crossings": layout.crossings,
        "width": layout.width,
        "height": layout.height,
    }
    save(path, f"{json.dumps(data)}\n".encode())
