"""The samples written out as people keep them, and read in: the strips, normals and wires stay."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from slinediag.address import Jack, PortAddress
from slinediag.file.read import load
from slinediag.file.tables.book import read_book
from slinediag.file.tables.imports import import_book
from slinediag.model.labels import jack_label

SAMPLES = Path(__file__).parent.parent.parent.parent / "samples"


def text_of(rows):
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows(rows)
    return out.getvalue().encode("utf-8")


def row_a_position(facility):
    yield "Bay", "Pos", "Top", "Normal", "Bottom", "Group", "State", "Notes"
    for bay in facility.bays.values():
        for n in range(1, bay.width + 1):
            point = bay.point(n)
            labels = [jack_label(facility, Jack(bay.id, row, n)) or "" for row in bay.jack_rows]
            bottom = labels[1] if len(labels) > 1 else ""
            kind = bay.normal_at(n)
            yield bay.id, n, labels[0], kind, bottom, point.group, point.state, point.note


def blocks(facility, width=24):
    for bay in facility.bays.values():
        yield (bay.id,)
        for first in range(1, bay.width + 1, width):
            numbers = range(first, min(first + width, bay.width + 1))
            yield "", *numbers
            for name, row in (("Top", "T"), ("Bottom", "B")):
                if row in bay.jack_rows:
                    yield name, *(jack_label(facility, Jack(bay.id, row, n)) or "" for n in numbers)
                if row == "T":
                    yield "Normal", *(bay.normal_at(n) for n in numbers)
            yield ()


@pytest.mark.parametrize("layout", [row_a_position, blocks])
@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_strips_and_normals_stay(name, layout):
    facility = load(SAMPLES / f"{name}.yaml").facility
    made = import_book(read_book(text_of(layout(facility)), f"{name}.csv")).facility
    assert {b.id: b.width for b in made.bays.values() if b.width >= 6} == {
        b.id: b.width for b in facility.bays.values() if b.width >= 6
    }
    for bay in made.bays.values():
        old = facility.bays[bay.id]
        for n in range(1, bay.width + 1):
            for row in old.jack_rows:
                jack = Jack(bay.id, row, n)
                assert jack_label(made, jack) == (jack_label(facility, jack) or None), jack
            if bay.rows != 1 and old.rows != 1:
                assert bay.normal_at(n) == old.normal_at(n), (bay.id, n)


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_what_is_one_box_stays_one(name):
    """A stereo pair that is wired to two jacks is of one box again."""
    facility = load(SAMPLES / f"{name}.yaml").facility
    made = import_book(read_book(text_of(row_a_position(facility)), f"{name}.csv")).facility
    wired = [
        [facility.carriers[PortAddress(box.id, port, side)] for port in pair]
        for box in facility.equipment.values()
        for pair in box.stereo_pairs
        for side in ("out", "in")
        if all(PortAddress(box.id, port, side) in facility.carriers for port in pair)
    ]
    apart = [
        jacks for jacks in wired if len({made.wires[jack].to.equipment for jack in jacks}) == 2
    ]
    # WORKSTN 1 and 2 are a pair by the file alone; their labels are those of two boxes.
    assert len(apart) == {"quillmoor": 2, "larkfen": 0}[name]
