"""The five normals, at rest and with plugs in, by the chart's own painter and the contact table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from slinediag.address import Jack
from slinediag.chart.jackfield import draw_points
from slinediag.chart.legend import NORMALS
from slinediag.chart.moving import all_moved
from slinediag.chart.planning import Plan, plan_chart
from slinediag.chart.plugs import plugs_of
from slinediag.chart.points import JACK_RADIUS
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Line, Mark
from slinediag.drawing.query import ink_box
from slinediag.file.read import parse
from slinediag.geometry import Box, Point
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Facility
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial

BAY = "PB1"
STATES = ("No plug", "Plug in the top jack", "Plug in the bottom jack", "A plug in both")
STUB = 7_000
"""How far the lines are drawn behind the jacks."""
EDGE = 1_500

# One position a normal, in the order of NORMALS: a source wired to the top jack, an end to the
# bottom jack.
PLANT = """\
slinediag: 1
facility: {{name: Normals}}
equipment:
  FROM: {{name: What sends, outputs: [{ports}]}}
  TO: {{name: What receives, inputs: [{ports}]}}
bays:
  {bay}:
    name: Normals
    positions: {count}
    points:
{points}
"""
POINT = "      {n}: {{top: FROM.{n}, bottom: TO.{n}, normal: {kind}, "
LABELS = "label_top: SOURCE, label_bottom: END}}"


@dataclass(frozen=True, slots=True)
class Picture:
    """One normal with plugs as they are, drawn, and what that does in words."""

    drawing: Drawing
    words: str


@cache
def plant() -> Facility:
    """A bay with one position for each normal."""
    kinds = [kind for kind, _ in NORMALS]
    numbers = range(1, len(kinds) + 1)
    points = "\n".join(
        (POINT + LABELS).format(n=n, kind=kind) for n, kind in zip(numbers, kinds, strict=True)
    )
    ports = ", ".join(map(str, numbers))
    text = PLANT.format(ports=ports, bay=BAY, count=len(kinds), points=points)
    return parse(text.encode(), "normals.yaml").facility


@cache
def pictures() -> tuple[tuple[str, tuple[Picture, ...]], ...]:
    """Each normal by its name, with a picture for each of ``STATES``."""
    return tuple(
        (name.capitalize(), tuple(_pictures(number, kind)))
        for number, (kind, name) in enumerate(NORMALS, 1)
    )


def _pictures(number: int, kind: NormalKind) -> Iterator[Picture]:
    top, bottom = Jack(BAY, "T", number), Jack(BAY, "B", number)
    for jacks in ((), (top,), (bottom,), (top, bottom)):
        words = what_it_does(kind, top=top in jacks, bottom=bottom in jacks)
        yield Picture(_drawing(number, jacks, words), words)


def _drawing(number: int, jacks: tuple[Jack, ...], words: str) -> Drawing:
    """A position as the chart draws it, with the lines behind its jacks."""
    facility = plant()
    answer = ask(facility, Trial(plugs=jacks)) if jacks else None
    plan = _plan(answer is not None)
    subject = replace(plan.subject, plugs=plugs_of(facility, answer))
    point = next(p for p in plan.points if p.position.number == number)
    node = Box(0, 0, point.width, point.height)
    y = point.row_y(0)
    left, right = Point(point.left_x, y), Point(point.right_x, y)
    ends = left.moved(-JACK_RADIUS, 0), right.moved(JACK_RADIUS, 0)
    stubs = (
        (ends[0].moved(-STUB, 0), ends[0]),
        (ends[1], ends[1].moved(STUB, 0)),
    )
    marks: tuple[Mark, ...] = (
        Line(stubs, styles.LINE),
        *draw_points(subject, (point,), {point.id: node}),
    )
    inks = [ink_box(mark) for mark in marks]
    start = Point(min(i.x for i in inks) - EDGE, min(i.y for i in inks) - EDGE)
    width = max(i.right for i in inks) + EDGE - start.x
    height = max(i.bottom for i in inks) + EDGE - start.y
    return Drawing(width, height, all_moved(marks, -start.x, -start.y), "Normal", words)


@cache
def _plan(_tried: bool) -> Plan:
    return plan_chart(plant(), None)


def what_it_does(kind: NormalKind, *, top: bool, bottom: bool) -> str:
    """What becomes of a normal with plugs in its jacks, by the contact table; top is its source."""
    if kind == "none":
        return _without_normal(top=top, bottom=bottom)
    broken = (top and broken_by_source(kind)) or (bottom and broken_by_target(kind))
    if not top and not bottom:
        return "Closed: the source goes to the end."
    if broken and top and bottom:
        return "Broken: one cord gets the source, the other feeds the end."
    if broken:
        return (
            "Broken: the cord alone gets the source."
            if top
            else "Broken: the cord alone feeds the end."
        )
    if top and bottom:
        return "Tapped twice: source, end and both cords are one line."
    if top:
        return "Tapped: the source goes to the end and to the cord."
    return "Tapped: the cord and the source both go to the end. Two sources there are doubled."


def _without_normal(*, top: bool, bottom: bool) -> str:
    if top and bottom:
        return "One cord gets the source, the other feeds the end."
    if top:
        return "The cord gets the source."
    return "The cord feeds the end." if bottom else "Nothing joins the two."
