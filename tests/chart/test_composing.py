"""One sheet composed: where lists stand whose height depends on where the drawing is put."""

from __future__ import annotations

import pytest

from slinediag.chart.blocks import Block, prose
from slinediag.chart.compose import Content, composed
from slinediag.chart.earlier import Earlier, Sheetful
from slinediag.chart.standing import NOTHING
from slinediag.drawing import styles
from slinediag.drawing.marks import Rect
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point
from tests.chart import rules
from tests.chart.plants import station

DRAWN = Box(0, 0, 300_000, 60_000)


def content(y: int, keep: Earlier | None = None) -> Content:
    """A drawing with a finder that is long where a height of it lies in row C of the zones."""

    def finder(room: int, zone) -> list[Block]:
        items = (prose("where it stands", room),) * (70 if zone(Point(0, y)).startswith("C") else 4)
        return [Block("finder", "Where things are", items)]

    return Content(
        facility=station(),
        marks=(Rect(DRAWN, styles.LINE),),
        extent=DRAWN,
        blocks=lambda _: (),
        heading="A chart",
        subheading="",
        keep=keep,
        finder=finder,
    )


@pytest.mark.parametrize("y", range(0, 60_000, 5_000))
def test_what_stays_where_it_is_keeps_its_lists(y):
    """Nearer the top the finder is shorter, so a band lower than those tried farther down will do
    there; that is the band from the first."""
    first = composed(content(y), "A3")
    chart = next(iter(rules.groups(first.drawing.marks, "chart")))
    (lists,) = rules.groups(first.drawing.marks, "finder")
    assert ink_box(chart).bottom < ink_box(lists).y
    stood = Earlier(
        part=False,
        folded=False,
        size=(first.drawing.width, first.drawing.height),
        scale=first.scale,
        sheets={1: Sheetful(NOTHING, first.shift)},
    )
    assert first.scale == 1
    again = composed(content(y, stood), "A3")
    assert again == first
