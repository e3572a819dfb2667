"""A bay's panel to scale: where its jacks and its strips' windows stand, in micrometres.

The figures stand in ``resources/panels.toml`` with their sources; a bay's own pitch, window and
offset overrule them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from slinediag import text
from slinediag.address import Jack, Row
from slinediag.geometry import Box, Point, from_mm
from slinediag.model.bay import POSITIONS, Bay
from slinediag.model.facility import Facility
from slinediag.resources import resource
from slinediag.tracing.phrases import counted

NUMBER_HEIGHT, NUMBER_GAP = 2_500, 1_000


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a panel, millimetres or a count, and where it is from."""

    value: float
    source: str


@cache
def figures() -> Mapping[str, Mapping[str, Figure]]:
    """All figures by section: ``panel`` for what all have in common, else by style."""
    table = tomllib.loads(resource("panels.toml").read_text(encoding="utf-8"))
    return {
        section: {name: Figure(f["value"], f["source"]) for name, f in entries.items()}
        for section, entries in table.items()
    }


def micrometres(section: str, name: str) -> int:
    """A figure in micrometres; KeyError where there is none."""
    return from_mm(figures()[section][name].value)


@dataclass(frozen=True, slots=True)
class Window:
    """The window of one row's strip about the panel's left top corner, and its cells' edges.

    ``edges`` are x about the window's left end: cell n lies between edges n - 1 and n.
    """

    row: Row
    box: Box
    edges: tuple[int, ...]

    def cell(self, position: int) -> tuple[int, int]:
        """Left and right edge of a position's cell about the window's left end."""
        return self.edges[position - 1], self.edges[position]


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel about its left top corner: its size, its jacks' holes and its strips' windows."""

    bay: Bay
    units: int
    size: Box
    hole: int
    rows: Mapping[Row, int]
    windows: tuple[Window, ...]
    first: int

    def jack(self, jack: Jack) -> Point:
        """The centre of a jack."""
        return Point(self._x(jack.position), self.rows[jack.row])

    def _x(self, position: int) -> int:
        return self.first + from_mm(self.bay.jack_pitch * (position - 1))

    def window(self, row: Row) -> Window:
        """The window of a row's strip."""
        return next(window for window in self.windows if window.row == row)


def panel_of(facility: Facility, bay: Bay) -> Panel:
    """The panel of a bay, 19 inches wide, its jackfield in the middle."""
    style = bay.jack_style
    units = units_of(facility, bay)
    height = units * micrometres("panel", "unit") - micrometres("panel", "gap")
    width = micrometres("panel", "width")
    rows = _row_heights(bay, height)
    window_height = _window_height(bay, height, rows)
    edges = cell_edges(bay)
    left = (width - edges[-1]) // 2
    clearance = micrometres(style, "clearance")
    windows = tuple(
        Window(row, Box(left, top, edges[-1], window_height), edges)
        for row, y in rows.items()
        for top in (y - clearance - window_height if row == "T" else y + clearance,)
    )
    hole = micrometres(style, "hole") // 2
    first = left + first_jack(bay)
    return Panel(bay, units, Box(0, 0, width, height), hole, rows, windows, first)


def number_step(bay: Bay) -> int:
    """Every how many positions a printed number of 2.5 mm has room: 1, or 2, 5, 10 where narrow."""
    numbers = (str(bay.printed_number(jack)) for jack in bay.jacks())
    widest = max(text.width(number, NUMBER_HEIGHT) for number in numbers) + NUMBER_GAP
    pitch = from_mm(bay.jack_pitch)
    return next((step for step in (1, 2, 5, 10, 20) if step * pitch >= widest), bay.width)


def first_jack(bay: Bay) -> int:
    """The first jack's centre from its window's left end: as filed, else half a pitch."""
    return from_mm(bay.offset if bay.offset is not None else bay.jack_pitch / 2)


def cell_edges(bay: Bay) -> tuple[int, ...]:
    """Edges of a row's cells about the window's left end, each cell about its jack's centre.

    The window is as long to the right of the last jack as to the left of the first; what is over
    at its ends belongs to the first and the last cell.
    """
    first, pitch = first_jack(bay), bay.jack_pitch
    inner = [first + from_mm(pitch * (n - 0.5)) for n in range(1, bay.width)]
    return (0, *inner, 2 * first + from_mm(pitch * (bay.width - 1)))


def units_of(facility: Facility, bay: Bay) -> int:
    """Rack units of a panel: its style's, or what the next bay above in the rack leaves it."""
    usual = int(figures()[bay.jack_style]["units"].value)
    if bay.place is None or bay.unit is None:
        return usual
    above = [
        other.unit - bay.unit
        for other in facility.bays.values()
        if other.place == bay.place and other.unit is not None and other.unit > bay.unit
    ]
    return max(1, min([usual, *above]))


def pitch_words(bay: Bay) -> str:
    """What a pitch that is not filed is from; a short row has that of its style's full row."""
    source = figures()["panel"]["jackfield"].source
    full = POSITIONS[bay.jack_style]
    return f"as in a row of {full}: {source}" if bay.width < full else source


def height_words(facility: Facility, bay: Bay, advice: str = "measure the panel") -> str:
    """How high a panel is taken to be, and on what ground: the file has no key for it.

    ``advice``: what to do about it where it is assumed.
    """
    units = units_of(facility, bay)
    usual = int(figures()[bay.jack_style]["units"].value)
    words = f"{counted(units, 'unit')} high"
    if units < usual:
        return f"{words} (all that the bay above it in the rack leaves)"
    return f"{words} (assumed: the file cannot say; {advice})"


def _row_heights(bay: Bay, height: int) -> dict[Row, int]:
    """The y of each row of jacks: both about the panel's middle, a single row below it."""
    apart = micrometres(bay.jack_style, "rows")
    if bay.rows == 1:
        return {"T": height // 2 + apart // 4}
    return {"T": (height - apart) // 2, "B": (height + apart) // 2}


def _window_height(bay: Bay, height: int, rows: Mapping[Row, int]) -> int:
    """The height of a strip's window: as filed, else the style's where the panel has that room."""
    if bay.window is not None:
        return from_mm(bay.window)
    clearance, margin = micrometres(bay.jack_style, "clearance"), micrometres("panel", "margin")
    room = min(y if row == "T" else height - y for row, y in rows.items()) - clearance - margin
    return min(micrometres(bay.jack_style, "window"), room)
