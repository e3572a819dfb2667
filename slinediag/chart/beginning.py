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
from slinediag.tracing.phrases import counted

LEGEND = "the legend alone has no room"
STEP = 10
"""Reading distances are offered in such steps, mm."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A chart taken apart for the sheets of a request.

    ``dividing`` and ``band``, the legend on its sheets: None where not even that has room.
    ``large``: the units that have no room on a sheet of their own.
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


def begun(request: Request) -> Begun:
    """The chart taken apart; of runs of parallel circuits those are unfolded whose line has no room
    on a sheet, which one circuit of them may have."""
    apart: frozenset[str] = frozenset()
    while True:
        found = _as_planned(request)
        runs = request.plan.folds.nodes
        folded = [name for unit in found.large if unit in runs for name in runs[unit]]
        if not folded:
            return found
        apart |= {*folded}
        facility, answer, excerpt = request.facility, request.answer, request.plan.excerpt
        plan = plan_chart(facility, answer, excerpt, fold=True, apart=apart)
        request = replace(request, plan=plan)


def _as_planned(request: Request) -> Begun:
    bench = Bench(request.plan, in_parts_from(request.plan, request.sheet, request.scale))
    band = legend_band(request.sheet, request.legend)
    if band is None:
        return Begun(request, bench, None, None, ())
    dividing = Dividing(request, bench, drawing_room(request.sheet, band))
    large = [unit.id for unit in bench.units if not dividing.fits([unit.id])]
    return Begun(request, bench, band, dividing, large)


def too_small(request: Request) -> SheetTooSmall:
    """What has no room on a sheet of the request, how much it needs, and what would do: the
    smallest larger sheet, and the farthest distance to read it from."""
    why = _why(begun(request))
    larger = (replace(request, sheet=sheet) for sheet in larger_in_series(request.sheet))
    smallest = next((one.sheet.name for one in larger if begun(one).fits), None)
    scales = [scale for scale in reversed(SCALES) if scale < request.scale]
    nearer = next((s for s in scales if begun(replace(request, scale=s)).fits), None)
    read_at = math.floor(farthest(nearer) / STEP) * STEP if nearer else 0
    return SheetTooSmall(request.sheet.name, smallest, why, read_at)


def _why(begun: Begun) -> str:
    """What has no room, the worst of it with the room it needs."""
    dividing = begun.dividing
    if dividing is None:
        return LEGEND
    if not begun.large:
        return ""
    needed = {unit: dividing.needed(unit) for unit in begun.large}

    def over(unit: str) -> float:
        wanted, room = needed[unit]
        return max(wanted.width / room.width, wanted.height / room.height)

    worst = max(begun.large, key=over)
    wanted, room = needed[worst]
    size = f"{_millimetres(wanted.width)} × {_millimetres(wanted.height)} mm"
    free = f"{room.width // 1000} × {room.height // 1000} mm"
    rest = len(begun.large) - 1
    more = f"; {counted(rest, 'more thing')} {'has' if rest == 1 else 'have'} none" if rest else ""
    return f"{_called(begun.bench, worst)} takes {size}, of which {free} are free{more}"


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
