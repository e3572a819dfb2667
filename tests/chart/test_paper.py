"""Which paper a chart goes on where nobody names one, and how far drawing it is."""

from __future__ import annotations

from slinediag.chart.chart import STRIP, draw
from slinediag.chart.sheet import sheet_named
from slinediag.progress import onward
from tests.builders import plant
from tests.chart.plants import station
from tests.chart.set_rules import check_set

A3 = sheet_named("A3")


def test_what_must_be_read_from_far_off_comes_on_larger_sheets():
    facility = station()
    drawings = draw(facility, sheet="auto", read_at=2000.0)
    assert len(drawings) > 1
    assert drawings[0].width > A3.width
    check_set(facility, drawings)


def test_a_long_chart_is_no_strip_of_paper():
    """A chain as long as two rolls are wide comes on a set of sheets."""
    count = 24
    boxes = "".join(
        f"  E{n:02}: {{name: Stage {n}, inputs: [I], outputs: [O], paths: all}}\n"
        for n in range(count)
    )
    points = "".join(
        f"      {n + 1}: {{top: E{n:02}.O, bottom: E{n + 1:02}.I}}\n" for n in range(count - 1)
    )
    bay = f"bays:\n  PB:\n    name: Chain\n    positions: {count}\n    points:\n{points}"
    drawings = draw(plant("equipment:\n" + boxes + bay))
    assert len(drawings) > 1
    assert all(drawing.width <= STRIP * drawing.height for drawing in drawings)


def test_work_that_is_done_once_more_is_not_told():
    told: list[float] = []
    tell = onward(lambda share, _: told.append(share))
    for share in (0.1, 0.5, 0.2, 0.5, 0.7):
        tell(share, "drawing")
    assert told == [0.1, 0.5, 0.5, 0.7]
