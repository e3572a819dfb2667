"""Which paper a chart goes on where nobody names one, and how far drawing it is."""

from __future__ import annotations

from slinediag.chart.chart import ROLL, STRIP, draw
from slinediag.chart.sheet import sheet_named
from slinediag.progress import onward
from tests.chart import rules
from tests.chart.plants import chain, sample
from tests.chart.set_rules import check_set

A3 = sheet_named("A3")


CHAIN = 24
"""Boxes in file as long as two rolls are wide: on one sheet a strip."""


def test_what_must_be_read_from_far_off_comes_on_larger_sheets():
    facility = chain(CHAIN)
    drawings = draw(facility, sheet="auto", read_at=3000.0)
    assert len(drawings) > 1
    assert drawings[0].width > A3.width
    check_set(facility, drawings)


def test_a_long_chart_is_no_strip_of_paper():
    """A chain comes on a set of sheets."""
    drawings = draw(chain(CHAIN))
    assert len(drawings) > 1
    assert all(drawing.width <= STRIP * drawing.height for drawing in drawings)


def test_what_can_be_hung_unfolded_off_a_roll_is_not_folded():
    (drawing,) = draw(sample("quillmoor"), sheet="auto", read_at=None)
    assert A3.width < drawing.width <= STRIP * drawing.height
    assert drawing.height <= ROLL
    assert not list(rules.marked(drawing, "slash"))


def test_work_that_is_done_once_more_is_not_told():
    told: list[float] = []
    tell = onward(lambda share, _: told.append(share))
    for share in (0.1, 0.5, 0.2, 0.5, 0.7):
        tell(share, "drawing")
    assert told == [0.1, 0.5, 0.5, 0.7]
