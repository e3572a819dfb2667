"""The chart: a facility, and what a trial does to it, as one drawing."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack
from slinediag.chart import symbols
from slinediag.chart.boxes import draw_box
from slinediag.chart.compose import Content, compose
from slinediag.chart.cords import draw_cord, hang_cords
from slinediag.chart.descriptions import cord_ref
from slinediag.chart.detach import Detached, detach_more
from slinediag.chart.enlarging import scale_to_read_at
from slinediag.chart.equipment import BoxPlan, plan_boxes
from slinediag.chart.graph import Placed, chart_graph, settings_for
from slinediag.chart.islands import JackPlace, Link, arrange_islands, columns
from slinediag.chart.jackfield import draw_points
from slinediag.chart.legend import legend
from slinediag.chart.lines import draw_lines
from slinediag.chart.lists import lists
from slinediag.chart.numbering import NumberedNotes, number_notes
from slinediag.chart.overlay import outcome_of
from slinediag.chart.plugs import plugs_of
from slinediag.chart.points import PointPlan, levelled, plan_points
from slinediag.chart.rear import RearNet, rear_nets
from slinediag.chart.sheet import ISO_SIZES, custom, sheet_named
from slinediag.chart.spreading import spread_boxes
from slinediag.chart.subject import Subject, choose_subject, swapped_ports, wired_ports
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Mark, Rect, Style
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, around, union
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.problems import SheetTooSmall
from slinediag.tracing.values import Answer

FLOW = "Signal flows left to right. One line is one balanced circuit."
SET_SHEET = "A3"
"""What a chart too large to hang whole is divided over: any office prints it."""
LARGEST = custom(2 * ISO_SIZES[-1].height, ISO_SIZES[-1].width)
"""Twice A0: the largest single sheet that is drawn unasked."""
DETACHING_ROUNDS = 5
UNDER_TRIAL = "Shown under a trial, not as filed. " + FLOW
CORD_ASIDE = 45_000
"""Room beside the outermost marks for a cord and half its tag."""
CORD_ROOM = 16_000
"""Room below the lowest box for a cord to hang in; as much again for each further cord."""
COVERABLE = frozenset({"line", "hollow", "normal", "path", "failed-hatch", "jack"})
"""What a cord may cross, or what is looked at apart."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is drawn, planned but not yet in place."""

    subject: Subject
    notes: NumberedNotes
    boxes: tuple[BoxPlan, ...]
    points: tuple[PointPlan, ...]
    nets: tuple[RearNet, ...]


def draw(
    facility: Facility,
    answer: Answer | None = None,
    *,
    sheet: str = "auto",
    effort: Effort = "quick",
    words: Sequence[str] = (),
    read_at: float = 0.0,
) -> tuple[Drawing, ...]:
    """The chart of a facility as filed, or as a trial's answer leaves it.

    ``sheet``: ``auto`` for the smallest standard sheet that fits, ``one`` for one as large as
    needed, or a sheet's name. What does not fit is divided over a set of sheets of that name;
    ``auto`` takes one sheet up to twice A0 first, then a set of A3.

    ``words``: sentences that say what the trial's cords do.
    ``read_at``: from how far off, in mm, the chart's labels must be read; on paper they are
    never below 2.5 mm.
    SheetTooSmall where a named sheet is too small even for a set; RequestError for an unknown one.
    """
    # Deferred: the set is built from what this module plans.
    from slinediag.chart.sheetset import LEAST_POINTS, Request, draw_set, too_large

    plan = plan_chart(facility, answer)
    scale = scale_to_read_at(read_at)
    set_sheet = sheet_named(SET_SHEET if sheet in ("auto", "one") else sheet)
    least_points = 0 if sheet == "auto" else LEAST_POINTS
    request = Request(facility, answer, plan, set_sheet, effort, words, scale)
    if sheet != "one" and too_large(request, LARGEST if sheet == "auto" else set_sheet):
        return draw_set(request, least_points)
    marks = chart_marks(plan, answer, effort)
    content = Content(
        facility=facility,
        marks=marks,
        extent=union(map(ink_box, marks)) if marks else Box(0, 0, 0, 0),
        blocks=lambda room: (
            *lists(plan.subject, plan.boxes, plan.notes, words, room),
            legend(room),
        ),
        heading=facility.name,
        subheading=UNDER_TRIAL if answer and not answer.trial.empty else FLOW,
    )
    try:
        return (compose(content, sheet, scale),)
    except SheetTooSmall:
        whole = compose(content, "one", scale) if sheet == "auto" else None
        return (whole,) if whole and _hangs(whole) else draw_set(request, least_points)


def _hangs(drawing: Drawing) -> bool:
    """Whether a sheet is small enough to be plotted and hung as it is."""
    return drawing.width * drawing.height <= LARGEST.width * LARGEST.height


def plan_chart(facility: Facility, answer: Answer | None) -> Plan:
    """Choose what is drawn and measure it."""
    subject = choose_subject(facility, plugs_of(facility, answer))
    notes = number_notes(subject)
    detached = Detached()
    for _ in range(DETACHING_ROUNDS):
        plan = _planned(subject, notes, detached)
        further = detach_more(
            chart_graph(plan.boxes, plan.points, plan.nets), plan.boxes, plan.points, detached
        )
        if further == detached:
            break
        detached = further
    return _planned(subject, notes, detached)


def _planned(subject: Subject, notes: NumberedNotes, detached: Detached) -> Plan:
    facility = subject.facility
    wired, swapped = wired_ports(facility), swapped_ports(facility)
    boxes = plan_boxes(subject.equipment, wired, notes, detached.returns, swapped)
    points = plan_points(subject, notes, detached.positions)
    nets = rear_nets(facility, boxes, points)
    points = levelled(points, columns(chart_graph(boxes, points, nets)))
    return Plan(subject, notes, spread_boxes(boxes, points, nets), points, nets)


def chart_marks(plan: Plan, answer: Answer | None, effort: Effort) -> tuple[Mark, ...]:
    """Everything that is drawn, in painting order, about the layout's own origin."""
    chart = chart_graph(plan.boxes, plan.points, plan.nets)
    if not chart.graph.nodes:
        return ()
    there = arrange_islands(chart, settings_for(effort), links(plan))
    outcome = outcome_of(answer)
    points = {point.id: point for point in plan.points}
    lines = draw_lines(plan.subject.facility, plan.nets, points, there, outcome)
    boxes = [draw_box(box, there.nodes[box.id], outcome) for box in plan.boxes]
    jackfield = draw_points(plan.subject, plan.points, there.nodes, outcome.silent)
    drawn = (*lines.lines, *boxes, *lines.marks, *jackfield, *_dummies(plan, there))
    return (*drawn, *_cords(plan, there, drawn))


def links(plan: Plan) -> tuple[Link, ...]:
    """The cords as what draws islands to each other."""
    found: dict[Jack, JackPlace] = {}
    for point in plan.points:
        for row in point.rows:
            if row.left:
                found[row.left.jack] = JackPlace(point.id, point.left_x, "left")
            if row.right:
                found[row.right.jack] = JackPlace(point.id, point.right_x, "right")
    return tuple(
        Link(found[one], found[other]) for one, other in (c.ends for c in plan.subject.plugs.cords)
    )


def _cords(plan: Plan, there: Placed, drawn: Sequence[Mark]) -> tuple[Mark, ...]:
    cords = plan.subject.plugs.cords
    if not cords:
        return ()
    boxes_only = [there.nodes[box.id] for box in plan.boxes]
    whole = union(ink_box(mark) for mark in drawn)
    area = Box(
        whole.x - CORD_ASIDE,
        whole.y - 2000,
        whole.width + 2 * CORD_ASIDE,
        whole.height + 2000 + CORD_ROOM * (1 + len(cords)),
    )
    taken, runs = taken_boxes(drawn), run_boxes(there)
    hung = hang_cords(cords, jack_places(plan, there), taken, boxes_only, runs, area)
    facility = plan.subject.facility
    return tuple(replace(draw_cord(h), ref=cord_ref(facility, h.cord)) for h in hung)


def taken_boxes(marks: Sequence[Mark]) -> list[Box]:
    """The room of everything that a cord must not cover: lettering and symbols, not boxes."""
    return [
        ink_box(mark)
        for mark in _leaves(marks)
        if not (isinstance(mark, Rect) and mark.style == styles.EQUIPMENT)
        and not (mark.ref and set(mark.ref.classes) & COVERABLE)
    ]


def run_boxes(there: Placed) -> list[Box]:
    """The straight pieces of all lines, as boxes without width."""
    return [
        around((one, other))
        for piece in there.pieces
        for run in piece.runs
        for one, other in itertools.pairwise(run)
    ]


def _leaves(marks: Sequence[Mark]) -> list[Mark]:
    found: list[Mark] = []
    for mark in marks:
        found += _leaves(mark.marks) if isinstance(mark, Group) else [mark]
    return found


def jack_places(plan: Plan, there: Placed) -> dict[Jack, Point]:
    """Where each drawn jack lies."""
    places: dict[Jack, Point] = {}
    for point in plan.points:
        at = there.nodes[point.id]
        for number, row in enumerate(point.rows):
            y = at.y + point.row_y(number)
            if row.left:
                places[row.left.jack] = Point(at.x + point.left_x, y)
            if row.right:
                places[row.right.jack] = Point(at.x + point.right_x, y)
    return places


def _dummies(plan: Plan, there: Placed) -> tuple[Mark, ...]:
    places = jack_places(plan, there)
    marks: list[Mark] = []
    for dummy in plan.subject.plugs.dummies:
        if dummy.standing == "pulled":
            continue
        ink = Style(styles.BLUE if dummy.standing == "trial" else styles.BLACK, styles.W70)
        marks += symbols.dummy_cap(places[dummy.jack], ink)
    return tuple(marks)
