"""A set before it is divided: taken apart, runs unfolded that have no room; what has none is told.

What stands on one sheet of any division must fit a sheet by itself, so this is asked first and
takes seconds where dividing takes minutes. Lengths in micrometres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.chart.dividing import Dividing
from slinediag.chart.division import Bench, in_parts_from
from slinediag.chart.enlarging import SCALES, farthest
from slinediag.chart.page import Band, drawing_room, legend_band
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.sheet import larger_in_series
from slinediag.problems import SheetTooSmall

LEGEND = "the legend alone has no room"
STEP = 10
"""Reading distances are offered in such steps, mm."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A chart taken apart for the sheets of a request.

    ``dividing`` and ``band``, the legend on its sheets: None where not even that has room.
    ``large``: a unit that has no room on a sheet of its own; none where all have it.
    """

    request: Request
    bench: Bench
    band: Band | None
    dividing: Dividing | None
    large: Sequence[str]

    @property
    def fits(self) -> bool:
        """Whether a set can be drawn."""
        return self.dividing is not None and not self.large


def begun(request: Request, doubted: Sequence[str] = ()) -> Begun:
    """The chart taken apart; of runs of parallel circuits those are unfolded whose line has no room
    on a sheet, which one circuit of them may have.

    ``doubted``: units that are tried first, as those which had no room on another sheet.
    """
    apart: frozenset[str] = frozenset()
    while True:
        found = _as_planned(request, doubted)
        runs = request.plan.folds.nodes
        if not found.large or found.large[-1] not in runs:
            return replace(found, large=found.large[-1:])
        apart |= {name for unit in found.large for name in runs[unit]}
        facility, answer, excerpt = request.facility, request.answer, request.plan.excerpt
        plan = plan_chart(facility, answer, excerpt, fold=True, apart=apart)
        request = replace(request, plan=plan)


def _as_planned(request: Request, doubted: Sequence[str]) -> Begun:
    """With the runs that have no room, up to the first other unit that has none."""
    bench = Bench(request.plan, in_parts_from(request.plan, request.sheet, request.scale))
    band = legend_band(request.sheet, request.legend)
    if band is None:
        return Begun(request, bench, None, None, ())
    dividing = Dividing(request, bench, drawing_room(request.sheet, band))
    large: list[str] = []
    first = {unit: place for place, unit in enumerate(doubted, -len(doubted))}
    for unit in sorted(bench.units, key=lambda unit: (first.get(unit.id, 0), -unit.size)):
        if not dividing.fits_alone(unit.id):
            large.append(unit.id)
            if unit.id not in request.plan.folds.nodes:
                break
    return Begun(request, bench, band, dividing, large)


def at_rest(request: Request) -> Request:
    """The same without its trial and what has failed."""
    excerpt, folded = request.plan.excerpt, request.folded
    plan = plan_chart(request.facility, None, excerpt, fold=folded)
    said = replace(request.said, words=(), remedy=None)
    return replace(request, answer=None, left=None, broken={}, plan=plan, said=said)


def too_small(request: Request) -> SheetTooSmall:
    """What has no room on a sheet of the request, how much it needs, and what would do: the
    smallest larger sheet, and the farthest distance to read it from."""
    doubted: list[str] = []

    def tried(other: Request) -> Begun:
        """The set asked for; under a trial the one without it, which it keeps to, if that has no
        room."""
        for each in (other, at_rest(other)) if other.tried else (other,):
            found = begun(each, doubted)
            doubted.extend(unit for unit in found.large if unit not in doubted)
            if not found.fits:
                break
        return found

    def fits(other: Request) -> bool:
        return tried(other).fits

    found = tried(request)

    larger = (replace(request, sheet=sheet) for sheet in larger_in_series(request.sheet))
    smallest = next((one.sheet.name for one in larger if fits(one)), None)
    scales = [scale for scale in reversed(SCALES) if scale < request.scale]
    nearer = next((s for s in scales if fits(replace(request, scale=s))), None)
    read_at = math.floor(farthest(nearer) / STEP) * STEP if nearer else 0
    return SheetTooSmall(request.sheet.name, smallest, _why(found), read_at)


def _why(begun: Begun) -> str:
    """What has no room, with the room that it needs."""
    if begun.dividing is None:
        return LEGEND
    if not begun.large:
        return ""
    wanted, room = begun.dividing.needed(begun.large[-1])
    size = f"{_millimetres(wanted.width)} × {_millimetres(wanted.height)} mm"
    free = f"{room.width // 1000} × {room.height // 1000} mm"
    return f"{_called(begun.bench, begun.large[-1])} takes {size}, of which {free} are free"


def _millimetres(length: int) -> int:
    return -(-length // 1000)


def _called(bench: Bench, unit: str) -> str:
    """A unit as people know it, with the large equipment that has a part beside it."""
    facility = bench.plan.subject.facility
    if unit in bench.points:
        place = bench.points[unit].position
        name = f"position {facility.bays[place.bay].printed} {place.number}"
    elif unit in bench.small:
        name = facility.equipment[unit].printed
    else:
        name = "a line between large equipment"
    beside = [facility.equipment[box].printed for box in sorted(bench.large_at[unit])]
    return f"{name} with its part of {' and '.join(beside)}" if beside else name
