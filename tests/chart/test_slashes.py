"""Every folded line says how many circuits it stands for, on every sheet that it is drawn on."""

from __future__ import annotations

import itertools
import os
from pathlib import Path

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.excerpt import Wanted, read_excerpt
from slinediag.file.read import load
from tests.chart import rules

SAMPLES = Path(__file__).parents[2] / "samples"


def without_slash(drawing) -> list[str]:
    """The folded lines that no slash stands on (IEC 60617-3: a slash and the number of lines)."""
    middles = []
    for mark in rules.marked(drawing, "slash"):
        ((one, other),) = mark.runs
        middles.append(((one.x + other.x) // 2, (one.y + other.y) // 2))
    return [
        line.ref.title
        for line in rules.marked(drawing, "line")
        if rules.data_of(line).get("members") and not any(on(line, *at) for at in middles)
    ]


def on(line, x: int, y: int) -> bool:
    """Whether a point lies on a line's path."""
    pieces = [pair for run in line.runs for pair in itertools.pairwise(run)]
    return any(
        (a.x == x == b.x and min(a.y, b.y) <= y <= max(a.y, b.y))
        or (a.y == y == b.y and min(a.x, b.x) <= x <= max(a.x, b.x))
        for a, b in pieces
    )


def test_a_line_from_a_box_to_a_flag_has_its_slash():
    plant = load(SAMPLES / "quillmoor.yaml").facility
    excerpt = read_excerpt(plant, Wanted(bays=("PB2",)))
    (drawing,) = draw(plant, excerpt=excerpt, fold=True, sheet="one")
    flags = list(rules.groups(drawing.marks, "reference"))
    assert any("slash" in (m.ref.classes if m.ref else ()) for flag in flags for m in flag.marks)
    assert without_slash(drawing) == []


@pytest.mark.skipif("EXPLORE" not in os.environ, reason="takes long: many sheets")
def test_every_folded_line_of_a_set_has_its_slash():
    sheets = draw(load(SAMPLES / "quillmoor.yaml").facility, sheet="A3", fold=True)
    assert len(sheets) > 1
    assert [without_slash(drawing) for drawing in sheets] == [[] for _ in sheets]
