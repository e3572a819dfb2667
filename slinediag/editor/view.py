"""Where one looks at a sheet: scale and place, zooming about a point, fitting. Plain numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from slinediag.geometry import Box, Point

STEPS_PER_DOUBLING = 4
"""Steps of the wheel that double the scale."""
CLOSEST = 24.0
FARTHEST = 0.01
"""Pixels to the millimetre."""
MARGIN = 0.96
"""Share of the window that a fitted sheet takes."""


@dataclass(frozen=True, slots=True)
class View:
    """Pixels to the millimetre, and the millimetres at the window's top left corner."""

    scale: float = 1.0
    left: float = 0.0
    top: float = 0.0

    def to_screen(self, point: Point) -> tuple[float, float]:
        """Where a place on the sheet is seen, in pixels."""
        x, y = point.x / 1000 - self.left, point.y / 1000 - self.top
        return x * self.scale, y * self.scale

    def to_sheet(self, x: float, y: float) -> Point:
        """The place on the sheet that is seen at a pixel."""
        left, top = self.left + x / self.scale, self.top + y / self.scale
        return Point(round(left * 1000), round(top * 1000))

    def moved(self, dx: float, dy: float) -> View:
        """The view with the sheet moved this many pixels to the right and down."""
        return replace(self, left=self.left - dx / self.scale, top=self.top - dy / self.scale)

    def zoomed(self, factor: float, x: float, y: float) -> View:
        """The view at another scale, what is seen at a pixel staying there."""
        scale = min(CLOSEST, max(FARTHEST, self.scale * factor))
        return View(
            scale,
            self.left + x / self.scale - x / scale,
            self.top + y / self.scale - y / scale,
        )

    def stepped(self, steps: float, x: float, y: float) -> View:
        """The view this many steps of the wheel nearer."""
        return self.zoomed(2 ** (steps / STEPS_PER_DOUBLING), x, y)

    def centred(self, point: Point, width: int, height: int) -> View:
        """The view with a place in the middle of a window of this many pixels."""
        return replace(
            self,
            left=point.x / 1000 - width / 2 / self.scale,
            top=point.y / 1000 - height / 2 / self.scale,
        )

    def sees(self, box: Box, width: int, height: int, margin: int = 40) -> bool:
        """Whether a box lies wholly in a window, this many pixels from its edges."""
        left, top = self.to_screen(Point(box.x, box.y))
        right, bottom = self.to_screen(Point(box.right, box.bottom))
        across = margin <= left and right <= width - margin
        return across and margin <= top and bottom <= height - margin


def fitted(box: Box, width: int, height: int, closest: float = CLOSEST) -> View:
    """The view that shows the whole of a box in a window of this many pixels."""
    across, down = max(1, box.width) / 1000, max(1, box.height) / 1000
    scale = min(width * MARGIN / across, height * MARGIN / down, closest)
    return View(max(FARTHEST, scale)).centred(box.centre, width, height)


def fitted_width(box: Box, width: int, height: int) -> View:
    """The view that shows the whole width of a box, from its top."""
    scale = max(FARTHEST, min(width * MARGIN * 1000 / max(1, box.width), CLOSEST))
    view = View(scale).centred(box.centre, width, height)
    top = box.y / 1000 - (1 - MARGIN) / 2 * width / scale
    return replace(view, top=top) if box.height / 1000 * scale > height else view
