"""Sheet sizes, all lying: wide edge across, as a chart that flows left to right wants them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slinediag.geometry import Box
from slinediag.problems import RequestError, problem

INCH = 25400


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page: what its size is called, and its trimmed width and height in micrometres."""

    name: str
    width: int
    height: int

    @property
    def box(self) -> Box:
        """The whole trimmed sheet."""
        return Box(0, 0, self.width, self.height)


# ISO 216, smallest first.
ISO_SIZES = (
    Sheet("A4", 297_000, 210_000),
    Sheet("A3", 420_000, 297_000),
    Sheet("A2", 594_000, 420_000),
    Sheet("A1", 841_000, 594_000),
    Sheet("A0", 1_189_000, 841_000),
)
# ASME Y14.1 (from memory), smallest first.
ASME_SIZES = (
    Sheet("A", 11 * INCH, 17 * INCH // 2),
    Sheet("B", 17 * INCH, 11 * INCH),
    Sheet("C", 22 * INCH, 17 * INCH),
    Sheet("D", 34 * INCH, 22 * INCH),
    Sheet("E", 44 * INCH, 34 * INCH),
)
SIZES = ISO_SIZES
"""The sizes that are tried in turn where nobody names one, smallest first."""

_BY_NAME = {sheet.name: sheet for sheet in (*ISO_SIZES, *ASME_SIZES)}


def sheet_named(name: str, besides: Sequence[str] = ()) -> Sheet:
    """The sheet of this name, small letters or capitals; RequestError where there is none.

    ``besides``: what could have been said in place of a sheet's name.
    """
    sheet = _BY_NAME.get(name.strip().upper())
    if sheet is None:
        known = ", ".join((*besides, *_BY_NAME))
        raise RequestError([problem(f"sheet {name}", "no sheet has this name", f"Use {known}")])
    return sheet


def sheet_of_size(width: int, height: int) -> Sheet | None:
    """The sheet of this size; None where no standard one has it."""
    sizes = {(sheet.width, sheet.height): sheet for sheet in _BY_NAME.values()}
    return sizes.get((width, height))


def larger_in_series(sheet: Sheet) -> tuple[Sheet, ...]:
    """The larger sheets of the same series, smallest first: what to offer when one is too small."""
    series = ASME_SIZES if sheet in ASME_SIZES else ISO_SIZES
    area = sheet.width * sheet.height
    return tuple(other for other in series if other.width * other.height > area)


def custom(width: int, height: int) -> Sheet:
    """One sheet as large as needed, named by its size in whole millimetres, rounded up."""
    return Sheet(f"{-(-width // 1000)} × {-(-height // 1000)} mm", width, height)
