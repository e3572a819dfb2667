"""Plans a chart: what is drawn, measured but not yet in place; what that makes of a layout."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from slinediag.address import Jack, natural
from slinediag.chart import symbols
from slinediag.chart.detach import Detached, detach_more
from slinediag.chart.equipment import BoxPlan, is_cited, plan_boxes
from slinediag.chart.excerpt import Excerpt, narrowed
from slinediag.chart.fars import NO_FARS, Fars, find_fars
from slinediag.chart.folding import NO_FOLDS, Folds, find_folds, with_folds
from slinediag.chart.graph import Placed, chart_graph
from slinediag.chart.islands import columns
from slinediag.chart.numbering import NumberedNotes, number_notes
from slinediag.chart.onward import with_room_for_note
from slinediag.chart.overlay import outcome_of
from slinediag.chart.packing import JackPlace, Link
from slinediag.chart.plugs import DummyPlug, plugs_of
from slinediag.chart.point_rows import plan_points
from slinediag.chart.points import PointPlan, levelled
from slinediag.chart.rear import RearNet, rear_nets
from slinediag.chart.spreading import spread_boxes
from slinediag.chart.subject import Subject, choose_subject, swapped_ports, wired_ports
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Style
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, around, union
from slinediag.model.facility import Facility
from slinediag.tracing.values import Answer

FLOW = "Signal flows left to right. One line is one balanced circuit."
UNDER_TRIAL = "Shown under a trial, not as filed. " + FLOW
DETACHING_ROUNDS = 5
CORD_ASIDE = 45_000
"""Room beside the outermost marks for a cord and half its tag."""
CORD_ROOM = 16_000
"""Room below the lowest box for a cord to hang in; as much again for each further cord."""
COVERABLE = frozenset({"line", "hollow", "silent-bend", "normal", "path", "failed-hatch", "jack"})
"""What a cord may cross, or what is looked at apart."""
RUNNING = frozenset({"line", "normal"})
"""What a cord must not follow."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is drawn, planned but not yet in place.

    ``excerpt``: the part of it that is asked for, all where it is None; the rest is planned too,
    since lines lead there. ``folds``: what one line and one node stand for. ``detached``: what
    stands in parts.
    """

    subject: Subject
    notes: NumberedNotes
    boxes: tuple[BoxPlan, ...]
    points: tuple[PointPlan, ...]
    nets: tuple[RearNet, ...]
    excerpt: Excerpt | None = None
    folds: Folds = NO_FOLDS
    detached: Detached = field(default_factory=Detached)

    @property
    def told(self) -> Subject:
        """What the lists tell of."""
        return narrowed(self.subject, self.excerpt)


def plan_chart(
    facility: Facility,
    answer: Answer | None,
    excerpt: Excerpt | None = None,
    *,
    fold: bool = False,
    apart: Collection[str] = (),
) -> Plan:
    """Choose what is drawn and measure it; runs of parallel circuits folded into one if asked, but
    for the nodes ``apart``."""
    subject = choose_subject(facility, plugs_of(facility, answer))
    notes = number_notes(narrowed(subject, excerpt))
    detached = Detached()
    for _ in range(DETACHING_ROUNDS):
        plan = _planned(subject, notes, detached)
        further = detach_more(
            chart_graph(plan.boxes, plan.points, plan.nets), plan.boxes, plan.points, detached
        )
        if further == detached:
            break
        detached = further
    plan = _planned(subject, notes, detached)
    if fold:
        bounds = excerpt.holds if excerpt else None
        outcome = outcome_of(answer)
        folds = find_folds(subject, plan.boxes, plan.points, plan.nets, outcome, bounds, apart)
        plan = _planned(subject, notes, detached, folds)
    return replace(plan, excerpt=excerpt)


def with_places(plan: Plan) -> Plan:
    """The plan for one sheet: equipment in parts has room to say where its ways go on, all other
    to say where its paths are listed."""
    fars: Fars = NO_FARS
    facility = plan.subject.facility
    parted = sorted({b.equipment.id for b in plan.boxes if b.parts > 1}, key=natural)
    if parted and plan.excerpt is None:
        fars = find_fars(facility, parted, wired_ports(facility), plan.folds.ports)
        plan = _planned(plan.subject, plan.notes, plan.detached, plan.folds, fars)
    return replace(plan, boxes=tuple(replace(b, cited=is_cited(b)) for b in plan.boxes))


def _planned(
    subject: Subject,
    notes: NumberedNotes,
    detached: Detached,
    folds: Folds = NO_FOLDS,
    fars: Fars = NO_FARS,
) -> Plan:
    facility = subject.facility
    wired, swapped = wired_ports(facility), swapped_ports(facility)
    boxes = plan_boxes(subject.equipment, wired, notes, detached.parts, swapped, folds.ports, fars)
    points = with_folds(plan_points(subject, notes, detached.positions), folds)
    nets = rear_nets(facility, boxes, points)
    places = columns(chart_graph(boxes, points, nets))
    points = levelled(points, places, subject.plugs.corded)
    boxes = tuple(map(with_room_for_note, spread_boxes(boxes, points, nets, places)))
    return Plan(subject, notes, boxes, points, nets, folds=folds, detached=detached)


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


def taken_boxes(marks: Sequence[Mark]) -> list[Box]:
    """The room of everything that a cord must not cover: lettering and symbols, not boxes."""
    return [
        ink_box(mark)
        for mark in leaves(marks)
        if not (isinstance(mark, Rect) and mark.style == styles.EQUIPMENT)
        and not (mark.ref and set(mark.ref.classes) & COVERABLE)
    ]


def run_boxes(marks: Sequence[Mark]) -> list[Box]:
    """The straight pieces of all lines and normals drawn, as boxes without width."""
    return [
        around((one, other))
        for mark in leaves(marks)
        if isinstance(mark, Line) and mark.ref and set(mark.ref.classes) & RUNNING
        for run in mark.runs
        for one, other in itertools.pairwise(run)
    ]


def leaves(marks: Sequence[Mark]) -> list[Mark]:
    """The marks that are no groups, and those within groups."""
    found: list[Mark] = []
    for mark in marks:
        found += leaves(mark.marks) if isinstance(mark, Group) else [mark]
    return found


def jack_places(plan: Plan, there: Placed) -> dict[Jack, Point]:
    """Where each drawn jack lies."""
    places: dict[Jack, Point] = {}
    for point in plan.points:
        at = there.nodes[point.id]
        for number, row in enumerate(point.rows):
            y = at.y + point.row_y(number)
            for spot, x in ((row.left, point.left_x), (row.right, point.right_x)):
                if spot:
                    places.update(dict.fromkeys(spot.jacks, Point(at.x + x, y)))
    return places


def cord_area(drawn: Sequence[Mark], count: int, room: tuple[int, int] | None = None) -> Box:
    """Where cords may hang about what is drawn; within a room's width and height if told."""
    whole = union(ink_box(mark) for mark in drawn)
    above, aside, below = 2000, CORD_ASIDE, CORD_ROOM * (1 + count)
    if room:
        above, aside = 0, max(0, min(aside, (room[0] - whole.width) // 2))
        below = max(0, min(below, room[1] - whole.height))
    return Box(
        whole.x - aside,
        whole.y - above,
        whole.width + 2 * aside,
        whole.height + above + below,
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
