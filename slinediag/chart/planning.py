"""Plans a chart: what is drawn, measured but not yet in place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from slinediag.address import Jack
from slinediag.chart import symbols
from slinediag.chart.chart import (
    CORD_ASIDE,
    CORD_ROOM,
    FLOW,
    UNDER_TRIAL,
    Plan,
    jack_places,
    plan_chart,
    run_boxes,
    taken_boxes,
)
from slinediag.chart.plugs import DummyPlug
from slinediag.drawing import styles
from slinediag.drawing.marks import Mark, Style
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, union

__all__ = [
    "FLOW",
    "UNDER_TRIAL",
    "Plan",
    "cord_area",
    "draw_dummies",
    "jack_places",
    "plan_chart",
    "run_boxes",
    "taken_boxes",
]


def cord_area(drawn: Sequence[Mark], count: int) -> Box:
    """Where cords may hang about what is drawn."""
    whole = union(ink_box(mark) for mark in drawn)
    return Box(
        whole.x - CORD_ASIDE,
        whole.y - 2000,
        whole.width + 2 * CORD_ASIDE,
        whole.height + 2000 + CORD_ROOM * (1 + count),
    )


def draw_dummies(dummies: Iterable[DummyPlug], places: Mapping[Jack, Point]) -> tuple[Mark, ...]:
    """The dummy plugs that are in, at the places of their jacks."""
    marks: list[Mark] = []
    for dummy in dummies:
        if dummy.standing == "pulled":
            continue
        ink = Style(styles.BLUE if dummy.standing == "trial" else styles.BLACK, styles.W70)
        marks += symbols.dummy_cap(places[dummy.jack], ink)
    return tuple(marks)
