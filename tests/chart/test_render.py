"""Another renderer, resvg, finds the chart's lettering and jacks where the drawing says."""

from __future__ import annotations

import numpy as np
import pytest

from slinediag.chart.chart import draw
from slinediag.drawing.marks import Text
from slinediag.drawing.query import walk
from slinediag.paint.svg import paint
from tests.chart.plants import station
from tests.chart.rules import jack_places

pytest.importorskip("resvg_py")

DPI = 150


@pytest.fixture(scope="module")
def rendered():
    from tests.paint.rendering import render

    drawing = draw(station())[0]
    return drawing, render(paint(drawing), dpi=DPI)


def window(picture, box):
    """The pixels within a box."""
    left, top = int(box.x / picture.pixel), int(box.y / picture.pixel)
    right, bottom = int(box.right / picture.pixel) + 1, int(box.bottom / picture.pixel) + 1
    return picture.darkness[top:bottom, left:right]


def test_every_label_is_inked_across_its_room(rendered):
    drawing, picture = rendered
    for placed in walk(drawing):
        if isinstance(placed.mark, Text) and placed.mark.colour != "#ffffff":
            pixels = window(picture, placed.box)
            columns = np.nonzero((pixels > 0.3).any(axis=0))[0]
            assert len(columns), f"{placed.mark.text!r} is not there"
            # Side bearings apart, the ink spans the room: at least nine tenths less one letter.
            spread = (columns[-1] - columns[0] + 1) * picture.pixel
            assert spread >= 0.9 * placed.box.width - placed.mark.height, placed.mark.text


def test_every_open_jack_is_a_ring(rendered):
    drawing, picture = rendered
    plugged = {"PB1.T4", "PB2.T10"}
    for name, (centre, radius) in jack_places(drawing).items():
        at = picture.darkness[int(centre.y / picture.pixel), int(centre.x / picture.pixel)]
        rim = picture.darkness[
            int((centre.y - radius) / picture.pixel), int(centre.x / picture.pixel)
        ]
        assert (at > 0.5) == (name in plugged), name
        assert rim > 0.3, name
