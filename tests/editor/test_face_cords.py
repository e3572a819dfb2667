"""Cords over the bays' fronts cover no label of a strip; plain geometry of the drawing itself."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from slinediag.drawing.curves import flattened
from slinediag.drawing.marks import Curve, Text
from slinediag.editor.face import face_of, tried_on
from slinediag.file.read import load
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


def labels_on_strips(face):
    return [
        p.box
        for p in face.spread.placed
        if isinstance(p.mark, Text) and any("label" in "".join(r.classes) for r in p.refs)
    ] or [p.box for p in face.spread.placed if isinstance(p.mark, Text) and on_a_cell(face, p.box)]


def on_a_cell(face, box):
    return any(cell.contains(box) for cells in face.cells.values() for cell in cells)


@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_standing_cords_run_between_labels(name):
    face = face_of(load(SAMPLES / f"{name}.yaml").facility)
    cords = [
        p.mark
        for p in face.spread.placed
        if isinstance(p.mark, Curve) and p.mark.ref is not None and "cord" in p.mark.ref.classes
    ]
    assert cords
    texts = labels_on_strips(face)
    assert len(texts) > 20
    own = own_bays(cords)
    for cord in cords:
        for point in flattened(cord):
            covered = [box for box in texts if box.holds(point) and bay_at(face, box) in own[cord]]
            assert not covered, (cord.ref.title, covered)


def own_bays(cords):
    return {
        cord: {end.partition(".")[0] for end in dict(cord.ref.data)["cord"].split("=")}
        for cord in cords
    }


def bay_at(face, box):
    return next(bay for bay, panel in face.panels.items() if panel.contains(box))


def test_a_trial_lies_over_the_fronts():
    facility = load(SAMPLES / "larkfen.yaml").facility
    face = face_of(facility)
    answer = ask(facility, read_trial(facility, cords=[("LA.T2", "LB.B3")], plugs=["LA.B5"]))
    marks = tried_on(face, answer)
    cords = [m for m in marks if m.ref is not None and "cord" in m.ref.classes]
    assert [dict(m.ref.data)["cord"] for m in cords] == ["LA.T2=LB.B3"]
    ends = flattened(cords[0])
    assert {ends[0], ends[-1]} == {face.jacks[j] for j in answer.trial.cords[0]}
    assert tried_on(face, ask(facility, read_trial(facility))) == ()


@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_no_two_cords_lie_on_each_other(name):
    face = face_of(load(SAMPLES / f"{name}.yaml").facility)
    cords = [
        flattened(p.mark)
        for p in face.spread.placed
        if isinstance(p.mark, Curve) and p.mark.ref is not None and "cord" in p.mark.ref.classes
    ]
    ways = {
        number: {(x, y // 1000) for x, top, bottom in pieces(cord) for y in range(top, bottom, 500)}
        for number, cord in enumerate(cords)
    }
    assert all(ways.values())
    for number, way in ways.items():
        assert not any(way & other for n, other in ways.items() if n != number)


def pieces(cord):
    for one, other in pairwise(cord):
        if one.x == other.x and one.y != other.y:
            yield one.x, min(one.y, other.y), max(one.y, other.y)
