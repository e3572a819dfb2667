"""What a trial changes on a chart that is already in place: marks to be laid over the drawing.

The chart's own functions draw each position and box anew as the answer leaves it; nothing is
placed again. This module and ``charting`` alone know how a chart is put together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import pairwise

from slinediag.address import Address, Jack
from slinediag.chart import symbols
from slinediag.chart.boxes import draw_box
from slinediag.chart.cords import EDGE, Hung, draw_cord
from slinediag.chart.jackfield import draw_points
from slinediag.chart.moving import all_moved
from slinediag.chart.overlay import Outcome, outcome_of
from slinediag.chart.planning import taken_boxes
from slinediag.chart.plugs import HungCord, Plugs, plugs_of
from slinediag.chart.points import JACK_RADIUS
from slinediag.chart.subject import Position
from slinediag.damage import DEAD, NO_DAMAGE, Damage
from slinediag.drawing import styles
from slinediag.drawing.marks import Curve, Line, Mark, Rect, Ref, Style
from slinediag.drawing.query import ink_box
from slinediag.editor.charting import Chart
from slinediag.editor.cord_ground import hung_on
from slinediag.editor.hanging import hung_cord, hung_groups
from slinediag.geometry import Box, Point, around
from slinediag.tracing.values import Answer

BEHIND = 3_600
"""How far behind a jack a cut wire is crossed."""
CROSSED = 5_000
"""Height of the cross over a failed patch point."""
GAP = EDGE
"""What is left where a standing cord hung that is pulled."""
NO_WAYS: Mapping[HungCord, Hung] = {}
BLANK = Style(stroke=None, fill=styles.PAPER)


@dataclass(frozen=True, slots=True)
class Overlay:
    """What a trial changes on a chart: below its cords, the cords themselves, above them.

    ``anew``: positions and boxes of what is below, which are drawn as the trial leaves them;
    ``silent``: the jacks and ports that carry nothing now.
    """

    chart: Chart
    anew: tuple[Mark, ...]
    below: tuple[Mark, ...]
    cords: tuple[HungCord, ...]
    above: tuple[Mark, ...]
    silent: AbstractSet[Address] = frozenset()

    def marks(self, ways: Mapping[HungCord, Hung] = NO_WAYS) -> tuple[Mark, ...]:
        """All marks in painting order; a cord of which no way is known hangs in one curve."""
        return (*self.below, *self._hung(ways), *self.above)

    def _hung(self, ways: Mapping[HungCord, Hung]) -> Iterator[Mark]:
        for cord in self.cords:
            way = ways.get(cord)
            silent = not self.silent.isdisjoint(cord.ends)
            drawn = (
                draw_cord(way, silent=silent)
                if way is not None
                else hung_cord(self.chart.jacks, cord, silent=silent)
            )
            if drawn is not None:
                yield drawn

    def signs(self) -> list[Box]:
        """The room of what a cord must not cover, of all that is drawn anew."""
        return taken_boxes([mark for mark in self.anew if not _is_blank(mark)])


def overlay(chart: Chart, answer: Answer, damage: Damage = NO_DAMAGE) -> tuple[Mark, ...]:
    """The marks, in painting order, that turn the chart as filed into the chart under a trial."""
    return laid_over(chart, answer, damage).marks()


def laid_over(chart: Chart, answer: Answer, damage: Damage = NO_DAMAGE) -> Overlay:
    """What turns the chart as filed into the chart under a trial.

    The trial is done to the facility as damaged; what has failed of it is crossed out.
    """
    if answer.trial.empty and damage == NO_DAMAGE:
        return Overlay(chart, (), (), (), ())
    plugs = plugs_of(answer.facility, answer)
    outcome = outcome_of(answer)
    if damage != NO_DAMAGE:
        outcome = replace(outcome, silent=damage.silent)
    anew = (*_boxes(chart, outcome), *_positions(chart, answer, plugs, outcome))
    pulled = tuple(cord for cord in plugs.cords if cord.standing == "pulled")
    hung = tuple(hung_on(chart.drawing, pulled)) if pulled else ()
    gaps = tuple(Curve(*each.way, GAP) for each in hung)
    below = (
        *_silent(chart, outcome),
        *anew,
        *gaps,
        *_standing(chart, plugs, anew, hung, outcome.silent),
        *map(draw_cord, hung),
    )
    above = (
        *_dummies(chart, plugs),
        *_dead_positions(chart, damage),
        *_cuts(chart, damage),
    )
    tried = tuple(cord for cord in plugs.cords if cord.standing == "trial")
    return Overlay(chart, anew, below, tried, above, outcome.silent)


def _is_blank(mark: Mark) -> bool:
    return isinstance(mark, Rect) and mark.style == BLANK


def _positions(chart: Chart, answer: Answer, plugs: Plugs, outcome: Outcome) -> Iterator[Mark]:
    """Each position whose jacks or normals the trial touches or silences, in the place of how it
    was."""
    trial = answer.trial
    jacks = {jack for cord in (*trial.cords, *trial.pulled_cords) for jack in cord}
    jacks |= {*trial.plugs, *trial.pulled_plugs}
    touched = {Position(jack.bay, jack.position) for jack in jacks}
    for normal in answer.facility.normals:
        if normal.source in jacks or normal.target in jacks:
            touched |= {Position(j.bay, j.position) for j in (normal.source, normal.target)}
        elif normal.source in outcome.silent:
            touched.add(Position(normal.target.bay, normal.target.position))
    plans = tuple(plan for plan in chart.plan.points if plan.position in touched)
    for plan in plans:
        at = chart.there.nodes[plan.id].moved(*chart.shift)
        left = at.x + plan.left_x - JACK_RADIUS
        right = at.x + plan.right_x + JACK_RADIUS
        yield Rect(Box(left, at.y, right - left, at.height), BLANK)
    subject = replace(chart.plan.subject, plugs=plugs)
    yield from all_moved(
        draw_points(subject, plans, chart.there.nodes, outcome.silent), *chart.shift
    )


def _boxes(chart: Chart, outcome: Outcome) -> Iterator[Mark]:
    """Each box that is failed, or has an input that is lost or doubled."""
    touched = set(outcome.failed) | {
        port.equipment for port, change in outcome.changes.items() if change in ("lost", "doubled")
    }
    for plan in chart.plan.boxes:
        if plan.equipment.id in touched:
            at = chart.there.nodes[plan.id]
            drawn = draw_box(plan, at, outcome)
            ink = ink_box(drawn)
            head = Rect(Box(ink.x, ink.y, ink.width, at.y - ink.y), BLANK)
            yield from all_moved((head, drawn), *chart.shift)


def _silent(chart: Chart, outcome: Outcome) -> Iterator[Mark]:
    """Lines that fall silent, hollow and dashed in the place of solid."""
    names = {name for a in outcome.silent if (name := chart.net_of.get(a, "")) in chart.nets}
    for name in sorted(names):
        runs = chart.nets[name].runs
        yield Line(runs, Style(styles.PAPER, styles.W140))
        yield Line(runs, symbols.SILENT)
        yield Line(runs, symbols.HOLLOW)


def _standing(
    chart: Chart,
    plugs: Plugs,
    anew: tuple[Mark, ...],
    pulled: tuple[Hung, ...],
    silent: AbstractSet[Address],
) -> Iterator[Mark]:
    """The standing cords across what is drawn anew or pulled, in front of it as on paper; those
    that fall silent hollow and dashed."""
    standing = [cord for cord in plugs.cords if cord.standing == "standing"]
    hushed = [cord for cord in standing if not silent.isdisjoint(cord.ends)]
    blanks = [mark.box for mark in anew if isinstance(mark, Rect) and _is_blank(mark)]
    for each in pulled:
        run = chart.cords.get(frozenset(each.cord.ends), ())
        blanks += [around(piece).grown(GAP.width // 2) for piece in pairwise(run)]
    crossing = set()
    for cord in standing:
        run = chart.cords.get(frozenset(cord.ends), ())
        if any(around(piece).meets(blank) for piece in pairwise(run) for blank in blanks):
            crossing.add(str(cord))
    crossing -= set(map(str, hushed))
    if crossing:
        yield from (group for name, group in hung_groups(chart.drawing) if name in crossing)
    if hushed:
        yield from (draw_cord(each, silent=True) for each in hung_on(chart.drawing, hushed))


def _dummies(chart: Chart, plugs: Plugs) -> Iterator[Mark]:
    for dummy in plugs.dummies:
        at = chart.jacks.get(dummy.jack)
        if dummy.standing == "trial" and at is not None:
            yield from symbols.dummy_cap(at, Style(styles.BLUE, styles.W70))


def _dead_positions(chart: Chart, damage: Damage) -> Iterator[Mark]:
    """Patch points of failed bays, crossed out from corner to corner."""
    for plan in chart.plan.points:
        if plan.position.bay in damage.bays:
            at = chart.there.nodes[plan.id].moved(*chart.shift)
            left, right = at.x + plan.left_x, at.x + plan.right_x
            arm = CROSSED // 2
            for row in range(len(plan.rows)):
                y = at.y + plan.row_y(row)
                across = (Point(left, y - arm), Point(right, y + arm))
                back = (Point(left, y + arm), Point(right, y - arm))
                yield Line((across, back), DEAD, Ref(("failed",)))


def _cuts(chart: Chart, damage: Damage) -> Iterator[Mark]:
    """A cross on each wire that is cut, just behind its jack or port."""
    for end in sorted(damage.cut, key=str):
        at = chart.jacks.get(end) if isinstance(end, Jack) else chart.ports.get(end)
        outward = damage.cut[end]
        if at is not None:
            yield symbols.break_cross(at.moved(outward * BEHIND, 0))


def jacks_off_chart(chart: Chart, answer: Answer) -> tuple[Jack, ...]:
    """The jacks of a trial that the chart does not draw, being spare."""
    trial = answer.trial
    jacks = [jack for cord in trial.cords for jack in cord] + list(trial.plugs)
    return tuple(jack for jack in jacks if jack not in chart.jacks)
