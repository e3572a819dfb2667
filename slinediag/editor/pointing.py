"""What on the chart is meant by a place: a jack or port that is near, else what is drawn there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from slinediag.address import Address, Jack
from slinediag.drawing.marks import Ref
from slinediag.editor.charting import Chart
from slinediag.editor.things import Box, Net, Thing
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.model.find import find_jack

Near = TypeVar("Near", bound=Address)


def thing_at(chart: Chart, facility: Facility, point: Point, reach: int) -> Thing | None:
    """What stands at a place; ``reach`` in micrometres is how far off a thing is still meant."""
    near = nearest(chart.jacks, point, reach) or nearest(chart.ports, point, reach)
    if near is not None:
        return near
    for ref in chart.spread.at(point, reach // 3):
        found = _meant(chart, facility, ref, point)
        if found is not None:
            return found
    return None


def nearest(places: Mapping[Near, Point], point: Point, reach: int) -> Near | None:
    """What of these is nearest to a place, within reach."""
    best: tuple[int, Near] | None = None
    for address, (x, y) in places.items():
        dx, dy = abs(x - point.x), abs(y - point.y)
        if dx <= reach and dy <= reach and (best is None or dx + dy < best[0]):
            best = (dx + dy, address)
    return best[1] if best is not None else None


def _meant(chart: Chart, facility: Facility, ref: Ref, point: Point) -> Thing | None:
    """The thing that a mark stands for; None for one that stands for no single thing."""
    data = dict(ref.data)
    if "line" in ref.classes and data.get("net") in chart.nets:
        return Net(chart.nets[data["net"]].ends)
    if "equipment" in ref.classes:
        return Box(data["id"])
    if "cord" in data:
        return _jack(facility, data["cord"].partition("=")[0])
    if "jack" in data:
        return _jack(facility, data["jack"])
    if "point" in ref.classes:
        jacks = (_jack(facility, data[key]) for key in ("top", "bottom") if key in data)
        there = {j: chart.jacks[j] for j in jacks if j is not None and j in chart.jacks}
        return nearest(there, point, 10**7)
    return None


def _jack(facility: Facility, text: str) -> Jack | None:
    found = find_jack(facility, text)
    return found if isinstance(found, Jack) else None
