"""A position's number is read with its own row: what stands near each other is read together."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.chart.chart import draw
from slinediag.drawing.marks import Text
from slinediag.drawing.query import text_box, walk
from slinediag.file.read import load
from slinediag.geometry import Box

SAMPLES = Path(__file__).parents[2] / "samples"
AROUND = 40_000
"""How far sideways from a number labels of its column stand, in micrometres."""


def boxes(drawing, name: str) -> list[Box]:
    """Of all lettering of one kind."""
    return [
        text_box(p.mark)
        for p in walk(drawing)
        if isinstance(p.mark, Text) and p.mark.ref and name in p.mark.ref.classes
    ]


@pytest.mark.parametrize("sample", ["larkfen", "quillmoor"])
def test_a_number_stands_nearer_to_its_labels_than_to_those_above(sample):
    facility = replace(load(SAMPLES / f"{sample}.yaml").facility, cords=(), plugs=())
    drawing = draw(facility, sheet="one", fold=False)[0]
    labels = boxes(drawing, "strip")
    stacked = 0
    for number in boxes(drawing, "position"):
        column = [b for b in labels if b.x < number.right + AROUND and number.x - AROUND < b.right]
        below = [label.y - number.bottom for label in column if label.y > number.bottom]
        above = [number.y - label.bottom for label in column if label.bottom < number.y]
        if below and above and min(above) < 3_000:
            stacked += 1
            assert min(below) < min(above)
    assert stacked > 10
