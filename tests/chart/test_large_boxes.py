"""Equipment of hundreds of ports, few of them on positions: as any other, and without long work."""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.paths import Slot, inner_paths, ways_among
from slinediag.model.equipment import Equipment
from tests.builders import plant
from tests.chart.set_rules import check_set

PORTS, WIRED = 500, 24


def large(paths: str):
    names = ", ".join(f'"{n}"' for n in range(1, PORTS + 1))
    on = ", ".join(f"BOX.{n}" for n in range(1, WIRED + 1))
    return plant(
        f"equipment:\n  BOX: {{name: Large box, inputs: [{names}], outputs: [{names}], paths: {paths}}}\n"
        f"bays:\n  PB:\n    name: Bay\n    positions: {WIRED}\n    points:\n"
        f"      1-{WIRED}: {{top: [{on}], bottom: [{on}]}}\n"
    )


def test_a_set_shows_each_position_of_a_box_of_500_ports():
    filed = large("straight")
    drawn = draw(filed, sheet="A4", fold=False)
    assert len(drawn) > 1
    check_set(filed, drawn)


@pytest.mark.parametrize("paths", ["straight", "all", "{'2': ['1', '3'], '1': ['3', '2']}"])
def test_ways_between_some_ports_are_those_of_all_that_join_them(paths):
    box: Equipment = large(paths).equipment["BOX"]
    for port in ("1", "2", "3", "400"):
        assert box.ways_from.get(port, ()) == tuple(o for i, o in box.ways if i == port)
        assert box.ways_to.get(port, ()) == tuple(i for i, o in box.ways if o == port)
    rows = [
        tuple(
            Slot(box.facts[port, side].address, port, 10_000 * row)
            for row, port in enumerate(("1", "2", "3", "77"))
        )
        for side in ("in", "out")
    ]
    named = {"1", "2", "3", "77"}
    among = ways_among(box, *rows)
    assert among == tuple(way for way in box.ways if named >= {*way})
    assert inner_paths(among, *rows, True) == inner_paths(box.ways, *rows, True)


def test_no_look_at_a_part_counts_all_ways_of_a_box(monkeypatch):
    """All of 500 inputs to all of 500 outputs are a quarter of a million ways."""
    filed, looked = large("all"), []
    ways = filed.equipment["BOX"].ways

    class Counted(tuple):
        def __iter__(self):
            looked.append(len(self))
            return super().__iter__()

    monkeypatch.setitem(filed.equipment["BOX"].__dict__, "ways", Counted(ways))
    draw(filed, sheet="A4", fold=False)
    assert looked
    assert len(looked) < 60
