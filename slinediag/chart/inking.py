"""Draws one sheet's share of a divided chart, about the layout's own origin."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack
from slinediag.chart.boxes import draw_box
from slinediag.chart.cords import draw_cords, hang_cords
from slinediag.chart.descriptions import Cables, cables_by_end, line_words
from slinediag.chart.division import Bench
from slinediag.chart.jackfield import Silent, draw_points
from slinediag.chart.laying import Laid, nets_on
from slinediag.chart.lines import draw_lines, ends_named, line_data, line_title
from slinediag.chart.onward import WIDEST, Whereabouts, draw_onward
from slinediag.chart.overlay import outcome_of
from slinediag.chart.planning import (
    cord_area,
    draw_dummies,
    jack_places,
    leaves,
    run_boxes,
    taken_boxes,
)
from slinediag.chart.plugs import HungCord, Plugs
from slinediag.chart.references import (
    WIDEST_ZONE,
    cord_end,
    draw_cord_reference,
    draw_reference,
    lead_of,
)
from slinediag.chart.shares import ELSEWHERE, CordReference, Reference
from slinediag.drawing.marks import Group, Line, Mark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.tracing.values import Answer

Zoner = Callable[[str], str]
"""The zone of what a reference points to, by the reference's name."""


@dataclass(frozen=True, slots=True)
class Inked:
    """What is drawn below the references, the cords above them, and where each jack lies."""

    below: tuple[Mark, ...]
    cords: tuple[Mark, ...]
    jacks: Mapping[Jack, Point]


def ink(
    bench: Bench,
    laid: Laid,
    answer: Answer | None,
    room: tuple[int, int] | None = None,
    *,
    hang: bool = True,
) -> Inked:
    """Everything of a share but the words of its references.

    ``room``: the width and height that cords keep within, as far as what they join does; none are
    drawn unless they are to ``hang``.
    """
    whole, share, there = bench.plan, laid.share, laid.there
    nets = nets_on(laid.boxes, share)
    plan = replace(whole, boxes=laid.boxes, points=laid.points, nets=nets)
    places = jack_places(plan, there)
    ends = {flag.jack: cord_end(there.nodes[flag.name]) for flag in share.cords}
    here = _plugs_here(whole.subject.plugs, {**places, **ends}, places)
    outcome = outcome_of(answer)
    points = {point.id: point for point in laid.points}
    cables = cables_by_end(whole.subject.facility)
    leads = {flag.name: lead_of(flag) for flag in share.references}
    lines = draw_lines(whole.subject.facility, nets, points, there, outcome, leads)
    below = (
        *(_as_whole(bench, cables, line) for line in lines.lines),
        *(draw_box(box, there.nodes[box.id], outcome) for box in laid.boxes),
        *lines.marks,
        *draw_points(whole.subject, laid.points, there.nodes, outcome.silent),
        *draw_dummies(here.dummies, places),
    )
    blanks = references(laid, blank, WIDEST)
    cords = _cords(
        whole.subject.facility,
        outcome.silent,
        here.cords if hang else (),
        laid,
        {**places, **ends},
        (*below, *blanks),
        room,
    )
    return Inked(below, cords, places)


def tag_hides(cords: Sequence[Mark], others: Sequence[Mark]) -> bool:
    """Whether a cord's tag lies on another, or on lettering or a symbol of what else is drawn."""
    tags = [ink_box(mark) for mark in leaves(cords) if mark.ref and "tag" in mark.ref.classes]
    taken = taken_boxes(others)
    return any(
        tag.meets(other) for number, tag in enumerate(tags) for other in (*tags[:number], *taken)
    )


def blank(name: str) -> str:
    """A zone as wide as any, while it is not known where the reference called so points."""
    del name
    return WIDEST_ZONE


def references(laid: Laid, zone: Zoner, where: Whereabouts | None) -> tuple[Group, ...]:
    """The references of a share with the zones of their mates, and where ways go on; None leaves
    that to be said later."""
    share, nodes = laid.share, laid.there.nodes
    parts = laid.boxes if where else ()

    def found(reference: Reference | CordReference) -> str:
        return "" if reference.mate == ELSEWHERE else zone(reference.name)

    return (
        *(draw_reference(r, nodes[r.name], found(r)) for r in share.references),
        *(draw_cord_reference(r, nodes[r.name], found(r)) for r in share.cords),
        *(words for box in parts for words in draw_onward(box, nodes[box.id], where or WIDEST)),
    )


def _plugs_here(plugs: Plugs, ends: Mapping[Jack, Point], places: Mapping[Jack, Point]) -> Plugs:
    """The cords that hang on the sheet, and the dummy plugs."""
    cords = tuple(
        cord
        for cord in plugs.cords
        if all(jack in ends for jack in cord.ends) and any(jack in places for jack in cord.ends)
    )
    return Plugs(cords, tuple(dummy for dummy in plugs.dummies if dummy.jack in places))


def _cords(
    facility: Facility,
    silent: Silent,
    cords: Sequence[HungCord],
    laid: Laid,
    jacks: Mapping[Jack, Point],
    drawn: Sequence[Mark],
    room: tuple[int, int] | None,
) -> tuple[Mark, ...]:
    if not cords:
        return ()
    boxes = [laid.there.nodes[box.id] for box in laid.boxes]
    area = cord_area(drawn, len(cords), room)
    hung = hang_cords(cords, jacks, taken_boxes(drawn), boxes, run_boxes(drawn), area)
    return draw_cords(hung, facility, silent)


def _as_whole(bench: Bench, cables: Cables, mark: Mark) -> Mark:
    """A line that names the ends of its whole net, however much of it stands elsewhere."""
    if not isinstance(mark, Line) or mark.ref is None or "line" not in mark.ref.classes:
        return mark
    net = bench.net[dict(mark.ref.data)["net"]]
    facility, silent = bench.plan.subject.facility, "silent" in mark.ref.classes
    desc = line_words(facility, cables, ends_named(net), silent=silent)
    data, title = line_data(facility, net), line_title(facility, net)
    return replace(mark, ref=replace(mark.ref, data=data, title=title, desc=desc))
