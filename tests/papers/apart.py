"""What every page of every paper is held to."""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.drawing.marks import Drawing
from slinediag.drawing.query import text_boxes
from slinediag.geometry import Box


def hold_apart(pages: Iterable[Drawing]) -> None:
    """Every text on its page, none on another."""
    for page in pages:
        boxes = sorted((box for _, box in text_boxes(page)), key=lambda box: (box.y, box.x))
        sheet = Box(0, 0, page.width, page.height)
        for n, box in enumerate(boxes):
            assert sheet.contains(box)
            for other in boxes[n + 1 :]:
                if other.y >= box.bottom:
                    break
                assert not box.meets(other)
