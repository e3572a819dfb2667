"""An SVG drawing as pixels, by resvg: a renderer that shares no code with slinediag."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import resvg_py
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from slinediag.geometry import Box, Point
from slinediag.resources import resource


@dataclass(frozen=True)
class Picture:
    """Darkness of each pixel from 0 (paper) to 1 (black), and micrometres to a pixel."""

    darkness: NDArray[np.float64]
    pixel: float

    def ink_box(self) -> Box:
        """The smallest box of pixels that are darker than paper."""
        rows, columns = np.nonzero(self.darkness > 0.1)
        left, right = int(columns.min() * self.pixel), int((columns.max() + 1) * self.pixel)
        top, bottom = int(rows.min() * self.pixel), int((rows.max() + 1) * self.pixel)
        return Box(left, top, right - left, bottom - top)

    def samples(self) -> Iterator[tuple[Point, float]]:
        """The middle of each pixel and its darkness."""
        for row, column in np.ndindex(self.darkness.shape):
            middle = Point(round((column + 0.5) * self.pixel), round((row + 0.5) * self.pixel))
            yield middle, float(self.darkness[row, column])


def decoded(png: bytes) -> NDArray[np.float64]:
    """A PNG's pixels as darkness."""
    return grey(QImage.fromData(png))


def grey(image: QImage) -> NDArray[np.float64]:
    """An image's pixels as darkness."""
    image = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return 1 - rows[:, : image.width()] / 255


def render(svg: str, *, dpi: float) -> Picture:
    """The drawing on white paper, lettered from the bundled fonts."""
    fonts = str(resource("fonts/LiberationSans-Regular.ttf").parent)
    png = resvg_py.svg_to_bytes(
        svg_string=svg, dpi=dpi, background="#ffffff", skip_system_fonts=True, font_dirs=[fonts]
    )
    return Picture(decoded(bytes(png)), 25400 / dpi)
