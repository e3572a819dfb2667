"""The chart: a facility, and what a trial does to it, as one drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, partial
from typing import NamedTuple

from slinediag.chart.arrangement import ASPECT, arrange_after
from slinediag.chart.before_after import (
    as_filed,
    both_shown,
    both_ways,
    composed_one_way,
    urgently,
)
from slinediag.chart.beginning import too_small
from slinediag.chart.blocks import Block
from slinediag.chart.borne import sheet_borne, whole_borne
from slinediag.chart.boxes import draw_box
from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.compose import Composed, composed
from slinediag.chart.cords import draw_cords, hang_cords
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier, NothingKept, Say, Sheetful, unsaid
from slinediag.chart.enlarging import scale_to_read_at
from slinediag.chart.excerpt import Excerpt
from slinediag.chart.graph import Placed, chart_graph, settings_for
from slinediag.chart.inking import blank, ink, references
from slinediag.chart.jackfield import draw_points
from slinediag.chart.keeping import as_kept, kept_of, refuse_other_part
from slinediag.chart.laying import lay_out
from slinediag.chart.lines import draw_lines
from slinediag.chart.lists import lists
from slinediag.chart.one_sheet import Content
from slinediag.chart.overlay import Outcome, outcome_of
from slinediag.chart.planning import (
    Plan,
    cord_area,
    draw_dummies,
    jack_places,
    links,
    plan_chart,
    run_boxes,
    taken_boxes,
    with_places,
)
from slinediag.chart.request import Broken, Request
from slinediag.chart.said import OutageTable, Remedy, Said, heading_of
from slinediag.chart.shares import namer, shares
from slinediag.chart.sheet import (
    ISO_SIZES,
    custom,
    larger_in_series,
    sheet_named,
    sheet_of_size,
)
from slinediag.chart.sheetset import LEAST_POINTS, draw_set, leafed, shows_chart, too_large
from slinediag.chart.signs import one_sheet_signs
from slinediag.chart.standing import NOTHING, Standing
from slinediag.chart.zone_finder import Spots, point_out, zone_finder
from slinediag.drawing.marks import Drawing, Mark
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, union
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.problems import BothTooLarge, SheetTooSmall
from slinediag.progress import Tell, onward, silent, stages
from slinediag.tracing.values import Answer, Trial

SET_SHEET = "A3"
"""What a chart too large to hang whole is divided over: any office prints it."""
LARGEST = custom(2 * ISO_SIZES[-1].width, ISO_SIZES[-1].height)
"""Two A0 side by side: the largest single sheet that is drawn unasked."""
ROLL = 914_000
"""The widest roll of common plotters, 36 in (common practice)."""
STRIP = 2.5
"""Width to height from which a sheet is a strip, along which people walk instead of looking."""
WALL = 1000.0
"""From how far off a wall chart is read unless said, mm."""
UNNAMED = ("auto", "one")
"""What may be said in place of a sheet's name."""
LEAFED = (
    "Few positions stand on each sheet of {sheet}; larger sheets show more of the chart together"
)
FOLDED_FROM = 240
"""Positions above which a set is folded unasked, and nobody hangs the whole twice on one sheet."""
AROUND_FOLDED_FROM = 96
"""The same of a part around a thing, of which most is what leads there from afar."""


def draw(
    facility: Facility,
    answer: Answer | None = None,
    *,
    sheet: str = "auto",
    effort: Effort = "quick",
    words: Sequence[str] = (),
    done: Sequence[str] = (),
    broken: Broken | None = None,
    left: Answer | None = None,
    outages: OutageTable | None = None,
    remedy: Remedy | None = None,
    read_at: float | None = 0.0,
    excerpt: Excerpt | None = None,
    before: bool = False,
    fold: bool | None = None,
    keep: Earlier | None = None,
    tell: Tell = silent,
    say: Say = unsaid,
) -> tuple[Drawing, ...]:
    """The chart of a facility as filed, or as a trial's answer leaves it.

    ``sheet``: ``auto`` for the smallest standard sheet that fits, ``one`` for one as large as
    needed, or a sheet's name. What does not fit is divided over a set of sheets of that name;
    ``auto`` takes one sheet off a roll up to the length of two A0 first, unless that is a strip;
    then a set of A3, or of what is larger where these have no room at the scale asked for.

    ``words``: sentences that say what the trial does, ``done`` what is done in it and what has
    failed, thing by thing; ``broken``: bays, places and cables that have failed with it. ``left``:
    what these leave, and the trial done to that does.
    ``outages``: what to patch when something fails; ``remedy``: what to do where it has.
    ``read_at``: from how far off, in mm, the chart's labels must be read; on paper they are
    never below 2.5 mm. None is 1000 for a wall chart, one sheet up to A0 that ``auto`` finds, and
    2.5 mm for all else and for what is larger than A0 at that height.
    ``excerpt``: the part of the chart that is drawn, all where it is None.
    ``before``: the chart as filed stands above or beside the one under the trial, on one sheet
    always; with ``auto``, one as large as needed where no standard one will do. BothTooLarge where
    a named sheet has no room for that, or where it is surely more than anybody hangs.
    ``fold``: whether runs of parallel circuits are drawn as one line each; None folds what would
    have no room on a standard sheet, or on the named one, otherwise. A set of up to
    ``FOLDED_FROM`` positions is folded only if that is asked for: over sheets few lines cross, and
    people look there for each circuit by itself. Larger ones are folded: about a tenth fewer
    sheets, and few crossings on the worst of them; and so is a part around a thing of more than
    ``AROUND_FOLDED_FROM``.
    ``keep``: an earlier drawing of much the same. What it shows stays in its order and place, and
    on its sheet; ``auto`` and None go by it where it will do. ``say`` takes what could not be kept.
    SheetTooSmall where a named sheet is too small even for a set; RequestError for an unknown one,
    and for an earlier drawing of a part where the whole is wanted, or the other way round.
    """
    tell = onward(tell)
    heading = heading_of(answer.trial if answer else Trial(), bool(broken))
    said = Said(tuple(words), outages, heading, remedy, tuple(done))
    scale = scale_to_read_at(read_at or 0.0)
    set_sheet = sheet_named(SET_SHEET if sheet in UNNAMED else sheet, UNNAMED)
    single = before or sheet == "one"

    def requested(folded: bool) -> Request:
        plan = plan_chart(facility, answer, excerpt, fold=folded)
        lost = broken or {}
        return Request(facility, answer, plan, set_sheet, effort, said, scale, folded, left, lost)

    if keep is not None:
        refuse_other_part(keep, excerpt is not None)
        keep = kept_of(keep, requested(False).plan, single, say)
    if keep is not None and keep.several:
        request = requested(keep.folded if fold is None else fold)
        kept_sheet = sheet_of_size(*keep.size) if sheet == "auto" else None
        return _set_on(replace(request, sheet=kept_sheet or set_sheet), tell, keep, say)
    limit = ISO_SIZES[-1] if sheet == "auto" else set_sheet
    foldings = (False, True) if fold is None and sheet != "one" else (bool(fold),)
    if fold is None and keep is not None and keep.folded:
        foldings = (True,)
    wall = [scale_to_read_at(WALL)] if read_at is None and sheet == "auto" else []
    scales = as_kept([*wall, scale], keep)
    requests = [requested(folded) for folded in foldings]
    times = 2 if before else 1
    tried = [sheet == "one" or not too_large(request, limit, times) for request in requests]
    large = len(requests[0].plan.told.drawn) > FOLDED_FROM
    if before and (excerpt is None or excerpt.yields) and sheet != "one":
        unhung = large or too_large(requests[-1], LARGEST, times)
        if unhung if sheet == "auto" else not any(tried):
            raise BothTooLarge(set_sheet.name if sheet != "auto" else sheet, None)
    roomy = sheet == "auto" and (before or not too_large(requests[-1], LARGEST))
    *trying, arranging, dividing = stages(tell, (*tried, roomy and not tried[-1], 1))
    wish = _Wish(sheet, before, scale, keep, say)
    arranged = None
    for request, may_fit, telling in zip(requests, tried, trying, strict=True):
        arranged = None
        if may_fit:
            arranged, found = _fitted(wish, request, scales, telling)
            if found:
                return found
    if before and sheet != "auto":
        arranged = arranged or _arranged(requests[-1], before, dividing, keep)
        try:
            arranged.on(sheet, scale)
        except SheetTooSmall as small:
            raise BothTooLarge(set_sheet.name, small.smallest) from None
    if roomy:
        arranged = arranged or _arranged(requests[-1], before, arranging, keep)
        whole = _on_roll(wish, requests, arranged, dividing)
        if whole is not None:
            return (whole,)
    if keep is not None:
        say(NothingKept("the earlier drawing is one sheet, this is a set of them"))
    around = excerpt is not None and bool(excerpt.closeness)
    many = len(requests[0].plan.told.drawn) > (AROUND_FOLDED_FROM if around else FOLDED_FROM)
    request = requests[-1 if many else 0]
    if sheet == "auto":
        return _set_as_small_as_may_be(request, dividing)
    drawings = _set_on(request, dividing)
    if leafed(request, sum(map(shows_chart, drawings)), LEAST_POINTS):
        say(LEAFED.format(sheet=set_sheet.name))
    return drawings


def _set_on(
    request: Request, tell: Tell, keep: Earlier | None = None, say: Say = unsaid
) -> tuple[Drawing, ...]:
    """A set of the sheets that are asked for; SheetTooSmall says what has no room, and what would
    do."""
    try:
        return draw_set(request, 0, tell, keep, say)
    except SheetTooSmall:
        raise too_small(request) from None


@dataclass(frozen=True, slots=True)
class _Wish:
    """What is asked of a chart on one sheet: the sheet and its scale, whether the chart before
    stands above, and the earlier drawing that stays, if any."""

    sheet: str
    before: bool
    scale: Fraction
    keep: Earlier | None
    say: Say


def _fitted(
    wish: _Wish, request: Request, scales: Sequence[Fraction], tell: Tell
) -> tuple[Arranged, tuple[Drawing, ...]]:
    """The chart arranged, and on the sheet wished for at the first scale with room for it, if any;
    arranged afresh where what is kept has none."""
    arranged = _arranged(request, wish.before, tell, wish.keep)
    found = _on_one(arranged, wish.sheet, scales)
    if not found and wish.keep is not None:
        found = _on_one(_arranged(request, wish.before, tell), wish.sheet, scales)
        if found:
            wish.say(NothingKept("as things stood they have no room on this sheet"))
    return arranged, found


def _on_roll(
    wish: _Wish, requests: Sequence[Request], arranged: Arranged, tell: Tell
) -> Drawing | None:
    """A chart on one sheet as large as needed, unfolded where that can be hung, else that of the
    last request, which is arranged; None where neither can."""
    if len(requests) > 1 and not wish.before and not too_large(requests[0], LARGEST):
        unfolded = _arranged(requests[0], wish.before, tell, wish.keep)
        (whole,) = _composed(unfolded, "one", wish.scale)
        if hangs(whole):
            return whole
    (whole,) = _composed(arranged, "one", wish.scale)
    return whole if wish.before or hangs(whole) else None


def _set_as_small_as_may_be(request: Request, tell: Tell) -> tuple[Drawing, ...]:
    """A set of the request's sheets, or of the next larger ones where these have no room at its
    scale, or for little; SheetTooSmall where none has any."""
    least_points = LEAST_POINTS if request.scale > 1 else 0
    for sheet in (request.sheet, *larger_in_series(request.sheet)):
        try:
            return draw_set(replace(request, sheet=sheet), least_points, tell)
        except SheetTooSmall:
            least_points = LEAST_POINTS
    return draw_set(replace(request, sheet=sheet), 0, tell)


@dataclass(frozen=True, slots=True)
class Arranged:
    """What goes on one sheet, in the ways in which it may, and how it stands in the layout."""

    ways: Sequence[Content]
    request: Request
    standing: Standing

    def on(self, sheet: str, scale: Fraction) -> Composed:
        """All of it on a sheet, in the way that suits that; SheetTooSmall."""
        if sheet == "one":
            return composed(self.ways[0], sheet, scale)
        return composed_one_way(self.ways, sheet, scale)


def _on_one(arranged: Arranged, sheet: str, scales: Sequence[Fraction]) -> tuple[Drawing, ...]:
    """What is arranged on one sheet at the first of these scales that it has room for, and the
    lists behind it; nothing where there is none."""
    for scale in scales:
        try:
            return _composed(arranged, sheet, scale)
        except SheetTooSmall:
            continue
    return ()


def _composed(arranged: Arranged, sheet: str, scale: Fraction) -> tuple[Drawing, ...]:
    """The sheet, which bears how it stands, and the lists behind it."""
    made = arranged.on(sheet, scale)
    stood = Earlier(
        part=arranged.request.plan.excerpt is not None,
        folded=arranged.request.folded,
        size=(made.drawing.width, made.drawing.height),
        scale=made.scale,
        sheets={1: Sheetful(arranged.standing, made.shift)},
    )
    bears = (*whole_borne(stood), *sheet_borne(stood, 1))
    return (replace(made.drawing, bears=bears), *made.behind)


def _arranged(request: Request, before: bool, tell: Tell, keep: Earlier | None = None) -> Arranged:
    """The drawing laid out, and what stands beside it."""
    plan, answer, effort = request.plan, request.answer, request.effort
    stood = keep.standing(1) if keep else NOTHING
    if not before:
        plan = with_places(plan)
    laying, filing = stages(tell, (1, int(before)))
    laying(0.0, "laying out")
    whole = draw_whole(plan, answer, effort, tell=laying, before=stood)
    drawn, spots = whole.marks, whole.spots
    if before:
        filing(0.0, "laying out")
        filed = draw_whole(plan, None, effort, as_filed(plan), before=stood)
        drawn = (*filed.marks, *drawn)
    boxes = [box for box, _ in spots.boxes]
    signs = one_sheet_signs(drawn, named=any(box.onward for box in plan.boxes))

    def listed(said: Said, room: int) -> tuple[Block, ...]:
        made = lists(plan.told, boxes, plan.notes, said, room, plan.points)
        return (*made, brief_legend(signs, room))

    content = Content(
        facility=request.facility,
        marks=whole.marks,
        extent=union(map(ink_box, whole.marks)) if whole.marks else Box(0, 0, 0, 0),
        blocks=cache(partial(listed, request.said)),
        heading=request.heading,
        subheading=both_shown(request.tried, plan.excerpt) if before else request.flow,
        keep=keep,
        tried=request.tried,
        under=request.under,
        finder=partial(zone_finder, spots) if spots.many and not before else None,
        pointing=partial(point_out, spots, answer),
    )
    if not before:
        return Arranged((content,), request, whole.standing)
    urgent = cache(partial(listed, urgently(request.said)))
    ways = both_ways(content, filed.marks, whole.marks, request.said.done, plan.excerpt, urgent)
    return Arranged(ways, request, whole.standing)


def hangs(drawing: Drawing) -> bool:
    """Whether a sheet can be plotted on a roll and hung: no wider than that, and no long strip."""
    long, short = sorted((drawing.width, drawing.height), reverse=True)
    return short <= ROLL and long <= min(LARGEST.width, STRIP * short)


class Whole(NamedTuple):
    """Everything that is drawn, in painting order, about the layout's own origin; how it stands,
    and where what is."""

    marks: tuple[Mark, ...]
    standing: Standing
    spots: Spots


def draw_whole(
    plan: Plan,
    answer: Answer | None,
    effort: Effort,
    shown: Plan | None = None,
    tell: Tell = silent,
    before: Standing = NOTHING,
) -> Whole:
    """Draw all of a plan on one sheet.

    Places are those of ``plan``; what stands there is what ``shown`` says, the plan itself unless
    it is given. ``before``: what stood on an earlier drawing, which stays.
    """
    if plan.excerpt is not None:
        return _draw_excerpt(plan, answer, effort, shown or plan, before)
    chart = chart_graph(plan.boxes, plan.points, plan.nets)
    if not chart.graph.nodes:
        return Whole((), NOTHING, Spots(plan.told))
    settings = settings_for(effort)
    there, standing = arrange_after(before, chart, settings, links(plan), tell=tell)
    plan = shown or plan
    outcome = outcome_of(answer)
    points = {point.id: point for point in plan.points}
    lines = draw_lines(plan.subject.facility, plan.nets, points, there, outcome)
    boxes = [draw_box(box, there.nodes[box.id], outcome) for box in plan.boxes]
    jackfield = draw_points(plan.subject, plan.points, there.nodes, outcome.silent)
    dummies = draw_dummies(plan.subject.plugs.dummies, jack_places(plan, there))
    drawn = (*lines.lines, *boxes, *lines.marks, *jackfield, *dummies)
    marks = (*drawn, *_cords(plan, there, drawn, outcome))
    return Whole(marks, standing, Spots.of(plan.told, plan.boxes, plan.points, there.nodes))


def _draw_excerpt(
    plan: Plan, answer: Answer | None, effort: Effort, shown: Plan, before: Standing
) -> Whole:
    """A part of the chart, its lines to the rest ended in references."""
    bench = Bench(plan)
    if not bench.units:
        return Whole((), NOTHING, Spots(plan.told))
    (share,) = shares(bench, {1: [unit.id for unit in bench.units]}, namer(bench))
    laid = lay_out(bench, share, effort, {}, ASPECT, before)
    inked = ink(Bench(shown), laid, answer)
    marks = (*inked.below, *references(laid, blank, None), *inked.cords)
    spots = Spots.of(plan.told, laid.boxes, laid.points, laid.there.nodes)
    return Whole(marks, laid.standing, spots)


def _cords(plan: Plan, there: Placed, drawn: Sequence[Mark], outcome: Outcome) -> tuple[Mark, ...]:
    cords = plan.subject.plugs.cords
    if not cords:
        return ()
    boxes = [there.nodes[box.id] for box in plan.boxes]
    taken, runs, area = taken_boxes(drawn), run_boxes(drawn), cord_area(drawn, len(cords))
    hung = hang_cords(cords, jack_places(plan, there), taken, boxes, runs, area)
    return draw_cords(hung, plan.subject.facility, outcome.silent)
