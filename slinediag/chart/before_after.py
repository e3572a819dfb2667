"""A trial's chart before and after on one page: twice the same places, one above the other."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial

from slinediag.chart.blocks import Block, prose
from slinediag.chart.compose import Composed, composed
from slinediag.chart.excerpt import Excerpt
from slinediag.chart.lettering import letter, width
from slinediag.chart.moving import all_moved
from slinediag.chart.one_sheet import BlockMaker, Content
from slinediag.chart.planning import FLOW, Plan
from slinediag.chart.plugs import plugs_of
from slinediag.chart.said import Said
from slinediag.chart.sheet import ISO_SIZES, sheet_named
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Mark, Ref
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point, union
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack
from slinediag.problems import RequestError, SheetTooSmall, problem
from slinediag.text import shorten
from slinediag.tracing.phrases import counted
from slinediag.tracing.values import CordEnds, Trial

BEFORE, AFTER = "Before: as filed", "After: with the trial"
NOTHING_TOUCHED = "nothing that is drawn is touched by this"
WITHOUT_BEFORE = (
    "Leave --before out: the chart shows where it stands, and ask or outage what it does"
)
PLANT_NOTES = "facility-notes"
NOTES_FILED = "Read the notes on the whole plant, which stand on the chart as filed."
MIND = "CAUTION:"
"""How a sentence on what to mind before the first plug begins."""
WORDS = "words"
"""The list of sentences on a trial."""
LEAST = ("cautions", WORDS, "legend")
"""The lists that stand beside both charts even where all others stand behind them."""
URGENT = (*LEAST, "remedy", "notes")
"""Those that do where there is room."""
HEADING = 9_000
"""From a heading's foot to the highest mark under it."""
DONE = 3_500
"""The same of the words that say what is done; the heading then stands their height above them."""
LINE = 6_000
"""From those words' foot to that of the heading."""
LEAST_LINE = 150_000
"""How wide these words may be over a chart that is narrower."""
APART = 16_000
"""Between the foot of one and the heading of the other."""


def both_shown(tried: bool, excerpt: Excerpt | None) -> str:
    """What is said under the headings of both; and of what a part leaves out that changes, too."""
    shown = "As filed, and under a trial." if tried else "As filed, and with what has failed."
    beyond = excerpt.beyond if excerpt is not None else 0
    more = f"{counted(beyond, 'input')} farther on also change{'s' * (beyond == 1)}, as listed. "
    return f"{shown} {more if beyond else ''}{FLOW}"


def as_filed(plan: Plan) -> Plan:
    """The same things in the same places, plugged as filed."""
    filed = plugs_of(plan.subject.facility, None)
    return replace(plan, subject=replace(plan.subject, plugs=filed))


def done_words(facility: Facility, trial: Trial) -> tuple[str, ...]:
    """What is done in a trial, thing by thing, jacks with the labels printed there."""

    def ends(cord: CordEnds) -> str:
        one, other = (labelled_jack(facility, jack) for jack in cord)
        return f"{one} to {other}"

    return (
        *(f"Cord {ends(cord)} pulled" for cord in trial.pulled_cords),
        *(f"Plug pulled from {labelled_jack(facility, jack)}" for jack in trial.pulled_plugs),
        *(f"Cord {ends(cord)}" for cord in trial.cords),
        *(f"Dummy plug in {labelled_jack(facility, jack)}" for jack in trial.plugs),
        *(f"{facility.equipment[box].printed} failed" for box in trial.failed),
    )


def both_ways(
    content: Content,
    before: Sequence[Mark],
    after: Sequence[Mark],
    done: Sequence[str],
    excerpt: Excerpt | None,
    urgent: BlockMaker,
) -> list[Content]:
    """A sheet's content with both: one above the other and side by side, first the way that suits
    how high and wide they are; of a part, with what may be said more briefly after that. Of one
    than which nothing less is drawn, at last with all lists behind the sheet but the ``urgent``.

    A trial is no revision, so that there is no table of these. ``done`` as for
    ``before_and_after``. RequestError where nothing is drawn in either.
    """
    if not before and not after:
        raise RequestError([problem(content.heading, NOTHING_TOUCHED, WITHOUT_BEFORE)])
    facility = content.facility
    unrevised = replace(facility, practice=replace(facility.practice, revisions=()))
    ways = [
        replace(content, facility=unrevised, marks=marks, extent=union(map(ink_box, marks)))
        for marks in before_and_after(before, after, done)
    ]
    if excerpt is None:
        return ways
    found = [
        replace(way, blocks=partial(listed, content.blocks), complete=listed is not _brief)
        for listed in (_all, _noted, _brief)
        for way in ways
    ]
    if excerpt.yields:
        return found
    return [
        *found,
        *(
            replace(
                way,
                blocks=partial(_among, urgent, names),
                complete=False,
                behind=partial(_besides, content.blocks, names),
            )
            for names in (URGENT, LEAST)
            for way in ways
        ),
    ]


def urgently(said: Said) -> Said:
    """Of what is said of a trial whether it is harmless, and the cautions."""
    words = (each for n, each in enumerate(said.words) if not n or each.startswith(MIND))
    return replace(said, words=tuple(words))


def composed_one_way(ways: Sequence[Content], sheet: str, least: Fraction) -> Composed:
    """The first of these contents that fits a sheet of this name; with ``auto``, of the complete
    ones that which takes the smallest.

    SheetTooSmall, with the smallest that would do for any, where none fits.
    """
    found: list[Composed] = []
    refused: list[SheetTooSmall] = []
    for content in ways:
        if sheet == "auto" and not content.complete:
            continue
        try:
            found.append(composed(content, sheet, least))
        except SheetTooSmall as small:
            refused.append(small)
            continue
        if sheet != "auto":
            break
    if found:
        return min(found, key=lambda made: made.drawing.width * made.drawing.height)

    def area(small: SheetTooSmall) -> int:
        would_do = sheet_named(small.smallest) if small.smallest else ISO_SIZES[-1]
        return would_do.width * would_do.height

    raise min(refused, key=area)


def _all(blocks: BlockMaker, room: int) -> Sequence[Block]:
    """The lists as they come."""
    return blocks(room)


def _noted(blocks: BlockMaker, room: int) -> tuple[Block, ...]:
    """The lists with the plant's notes beside the cautions."""
    made = blocks(room)
    first = [block for block in made if block.name in ("cautions", PLANT_NOTES)]
    return (*first, *(block for block in made if block not in first))


def _brief(blocks: BlockMaker, room: int) -> tuple[Block, ...]:
    """The lists with the place of the plant's notes instead of these."""
    where = prose(NOTES_FILED, room, "•", 3200)
    return tuple(
        replace(block, items=(where,)) if block.name == PLANT_NOTES else block
        for block in _noted(blocks, room)
    )


def _among(blocks: BlockMaker, names: Collection[str], room: int) -> tuple[Block, ...]:
    """The lists of these names."""
    return tuple(block for block in blocks(room) if block.name in names)


def _besides(blocks: BlockMaker, names: Collection[str], room: int) -> tuple[Block, ...]:
    """The lists behind a sheet that bears those of these names, of the words on a trial some."""
    return tuple(b for b in blocks(room) if b.name == WORDS or b.name not in names)


def before_and_after(
    before: Sequence[Mark], after: Sequence[Mark], done: Sequence[str] = ()
) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Both under a heading each: one above the other and side by side, first the way that suits
    how high and wide they are.

    Both must stand about one origin; they keep their places to each other in one direction, so
    that the eye finds a thing of one in the other by going straight down, or straight across.
    ``done``: what is done between them, which stands under the heading of the second.
    """
    extent = union(map(ink_box, (*before, *after)))
    said = _in_one_line(done, max(extent.width, LEAST_LINE))
    above = DONE + LINE if said else HEADING
    first = _headed(BEFORE, before, Point(extent.x, extent.y - above), "before")
    second = _headed(AFTER, after, Point(extent.x, extent.y - above), "after", said)
    below = (first, *all_moved((second,), 0, extent.height + above + styles.H50 + APART))
    beside = (first, *all_moved((second,), max(extent.width, ink_box(first).width) + APART, 0))
    return (below, beside) if extent.width >= extent.height else (beside, below)


def _in_one_line(done: Sequence[str], room: int) -> str:
    """As many of these as have room in a line, and how many there are more."""
    for count in range(len(done), 0, -1):
        more = [f"and {len(done) - count} more"] if count < len(done) else []
        said = "; ".join([*done[:count], *more])
        if width(said, styles.H35) <= room:
            return said
    return shorten(done[0], styles.H35, room) or "" if done else ""


def _headed(words: str, marks: Sequence[Mark], at: Point, name: str, said: str = "") -> Group:
    """Marks under their heading and what is said below that, named in the drawing."""
    heading = letter(at, words, height=styles.H50, weight="bold", ref=Ref(("heading",)))
    below = (letter(at.moved(0, LINE), said, height=styles.H35),) if said else ()
    return Group((heading, *below, *marks), Ref((name,), title=words))
