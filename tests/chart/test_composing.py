"""One sheet composed: where lists stand whose height depends on where the drawing is put."""

from __future__ import annotations

import pytest

from slinediag.chart.blocks import Block, prose
from slinediag.chart.compose import composed
from slinediag.chart.earlier import Earlier, Sheetful
from slinediag.chart.one_sheet import Content
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


def test_lists_stand_beside_and_below_a_drawing_that_leaves_no_room_for_them_on_one_side():
    """On A3 this one leaves 116 mm at its right and 46 mm below it."""
    extent = Box(0, 0, 254_000, 197_000)

    def blocks(room: int) -> list[Block]:
        return [Block(f"b{n}", "Words", (prose("word " * 60, room),) * 2) for n in range(3)]

    made = composed(
        Content(
            facility=station(),
            marks=(Rect(extent, styles.LINE),),
            extent=extent,
            blocks=blocks,
            heading="A chart",
            subheading="",
        ),
        "A3",
    ).drawing
    (chart,) = rules.groups(made.marks, "chart")
    boxes = [ink_box(block) for n in range(3) for block in rules.groups(made.marks, f"b{n}")]
    drawn = ink_box(chart)
    assert any(box.x > drawn.right for box in boxes)
    assert not any(box.meets(drawn) for box in boxes)
    rules.check_lettering(made)
