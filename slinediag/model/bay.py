"""Bays, their points, and the wires behind them, as filed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from slinediag.address import Jack, PortAddress, Row

Style = Literal["bantam", "long-frame", "quarter-inch"]
NormalKind = Literal["full", "half", "reverse-half", "parallel", "none"]
Numbering = Literal["rows", "through"]
Sleeves = Literal["single", "rows", "all", "pairs", "switched"]
Terminations = Literal["idc", "solder", "connector"]
PointState = Literal["used", "spare", "reserved"]
Shield = Literal["both", "equipment", "bay", "none"]

POSITIONS: Mapping[Style, int] = {"bantam": 48, "long-frame": 24, "quarter-inch": 24}
"""Positions a row where the file does not say."""

JACKFIELD = 438.15
"""Millimetres between the ears of a 19-inch panel, 17.25 in, that a row's positions share."""


@dataclass(frozen=True, slots=True)
class Wire:
    """What is wired to the rear of a jack: a port, with cable, shield and polarity as filed."""

    to: PortAddress
    cable: str | None = None
    shield: Shield | None = None
    swapped: bool = False


@dataclass(frozen=True, slots=True)
class BayPoint:
    """One position of a bay as filed; every key may be unset."""

    top: Wire | None = None
    bottom: Wire | None = None
    normal: NormalKind | None = None
    label_top: str | None = None
    label_bottom: str | None = None
    group: str | None = None
    state: PointState | None = None
    note: str | None = None

    def wire(self, row: Row) -> Wire | None:
        """The wire of its top or bottom jack."""
        return self.top if row == "T" else self.bottom

    def label(self, row: Row) -> str | None:
        """The filed label of its top or bottom jack."""
        return self.label_top if row == "T" else self.label_bottom


EMPTY_POINT = BayPoint()


@dataclass(frozen=True)
class Bay:
    """A panel of jacks. ``points`` holds the filed positions; all others are empty."""

    id: str
    name: str
    label: str | None = None
    style: Style | None = None
    positions: int | None = None
    rows: int | None = None
    numbering: Numbering | None = None
    first: int | None = None
    place: str | None = None
    unit: int | None = None
    normal: NormalKind | None = None
    sleeves: Sleeves | None = None
    earthed: bool | None = None
    normals_out: bool | None = None
    terminations: Terminations | None = None
    pitch: float | None = None
    window: float | None = None
    offset: float | None = None
    points: Mapping[int, BayPoint] = field(default_factory=dict)
    note: str | None = None

    @property
    def printed(self) -> str:
        """The label that strips and the chart print."""
        return self.label if self.label is not None else self.id

    @property
    def jack_style(self) -> Style:
        """Its style, bantam where the file does not say."""
        return self.style or "bantam"

    @property
    def width(self) -> int:
        """Positions a row."""
        return self.positions if self.positions is not None else POSITIONS[self.jack_style]

    @property
    def jack_pitch(self) -> float:
        """Millimetres from jack to jack: as filed, else an even division of the panel.

        A bay of fewer positions than its style has in a full row keeps the style's pitch.
        """
        if self.pitch is not None:
            return self.pitch
        return JACKFIELD / max(self.width, POSITIONS[self.jack_style])

    @property
    def jack_rows(self) -> tuple[Row, ...]:
        """Its rows of jacks: T and B, or T only."""
        return ("T",) if self.rows == 1 else ("T", "B")

    @property
    def bonded(self) -> bool:
        """Whether its bus, or each of its sleeves, is bonded to technical earth."""
        if self.earthed is not None:
            return self.earthed
        return self.sleeves in ("rows", "all")

    def point(self, position: int) -> BayPoint:
        """The point at a position, empty where none is filed."""
        return self.points.get(position, EMPTY_POINT)

    def normal_at(self, position: int) -> NormalKind:
        """The kind of the position's own normal; a bay of one row has none."""
        if self.rows == 1:
            return "none"
        return self.point(position).normal or self.normal or "half"

    def jacks(self) -> Iterator[Jack]:
        """All its jacks: the top row from left to right, then the bottom row."""
        for row in self.jack_rows:
            for position in range(1, self.width + 1):
                yield Jack(self.id, row, position)

    def printed_number(self, jack: Jack) -> int:
        """The number printed at a jack, by the bay's numbering and its first number."""
        first = self.first if self.first is not None else 1
        below = self.width if self.numbering == "through" and jack.row == "B" else 0
        return first + jack.position - 1 + below
