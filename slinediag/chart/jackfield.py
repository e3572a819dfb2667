"""Draws patch points: jacks, normals with their marks, strip labels, and what plugs do to them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace

from slinediag.address import Address, Jack
from slinediag.chart import symbols
from slinediag.chart.descriptions import (
    NormalsAt,
    normal_state,
    normals_by_jack,
    point_words,
)
from slinediag.chart.lettering import SMALL, letter, width
from slinediag.chart.plugs import Plugs
from slinediag.chart.points import (
    CAPTION_ROOM,
    INLINE_GAP,
    JACK_RADIUS,
    LABEL_INSET,
    SLASH_BEFORE,
    SWAP_ROOM,
    PointPlan,
    PointRow,
    Spot,
    mult_caption,
    slash_room,
)
from slinediag.chart.subject import Position, Subject
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Ref, Style
from slinediag.geometry import Box, Point, Run
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Normal

STRIP_BASELINE = 4350
TITLE_BASELINE, TITLE_OVER_CROSS = -600, -1750
"""From a row's line to the baselines of labels and number: a number stands nearer to its own labels
than to those of the row above; over the cross of a broken normal it makes room for that. Labels
stand a quarter of their height clear of the triangles above them.
"""
NOTE_GAP = 1400
"""From a number to the note's frame behind it: clear of it, also where the frame is seen small."""
NOTE_RISE = -300
"""Of a note's frame over the middle of the number that it stands behind: it is higher than that."""
ABOVE_LABEL, BELOW_TITLE = -500, 3700
"""Baselines of title and strip label beside a jack alone on its row."""
TAG_BASELINE, TAG_OVER_CAP = -2100, -3600
REAR_BASELINE = -1000
GAP_HALF = 2200

Silent = AbstractSet[Address]

WORDS: dict[NormalKind, str] = {
    "full": "Full-normal",
    "half": "Half-normal",
    "reverse-half": "Reverse half-normal",
    "parallel": "Parallel normal",
    "none": "Non-normaled",
}


def draw_points(
    subject: Subject,
    plans: Iterable[PointPlan],
    nodes: Mapping[str, Box],
    silent: Silent = frozenset(),
) -> tuple[Group, ...]:
    """Each position as one group, its node, or the two of its jacks, in place on the sheet.

    Positions that are folded into one are one group with all of them as members.

    ``silent``: what falls silent; closed normals there are hollow and dashed as lines are.
    """
    at = normals_by_jack(subject.facility)
    tied = {jack for mult in subject.facility.mults.values() for jack in mult.jacks}
    groups: dict[Position, list[PointPlan]] = {}
    for plan in plans:
        groups.setdefault(plan.position, []).append(plan)
    return tuple(
        Group(
            tuple(mark for plan in group for mark in _node(subject, plan, nodes[plan.id], silent)),
            _point_ref(subject, at, group[0], _explained(group, at, tied)),
        )
        for group in groups.values()
    )


def _node(subject: Subject, plan: PointPlan, at: Box, silent: Silent) -> Iterator[Mark]:
    for number, row in enumerate(plan.rows):
        y = at.y + plan.row_y(number)
        left, right = Point(at.x + plan.left_x, y), Point(at.x + plan.right_x, y)
        if row.normal is not None:
            yield from _normal(subject, row, row.normal, left, right, silent)
        yield from _row(subject.plugs, row, left, right)


def _explained(
    plans: Iterable[PointPlan], at: NormalsAt, tied: AbstractSet[Jack]
) -> tuple[str, ...]:
    """What a legend has to say of a position's jacks that bear no marks, in words of their data."""
    found = set()
    for row in (row for plan in plans for row in plan.rows):
        jacks = [spot.jack for spot in (row.left, row.right) if spot]
        if any(jack in tied and jack not in at for jack in jacks):
            found.add("of-mult")
        if row.normal is None and len(jacks) == 2 and not row.through:
            found.add("non-normaled")
        if not any(jack in at or jack in tied for jack in jacks) and len(jacks) == 1:
            found.add("lone")
    return tuple(sorted(found))


def _point_ref(
    subject: Subject, at: NormalsAt, plan: PointPlan, explained: Sequence[str] = ()
) -> Ref:
    """What a node stands for: its jacks and its own normal, in data and in words; ``explained``:
    what its jacks are."""
    bay = subject.facility.bays[plan.position.bay]
    jacks = [Jack(bay.id, row, plan.position.number) for row in bay.jack_rows]
    normal = plan.rows[0].normal
    own = normal is not None and not plan.rows[0].entry
    kind: NormalKind = normal.kind if normal is not None and own else "none"
    data = [("top", str(jacks[0]))]
    if len(jacks) > 1:
        data.append(("bottom", str(jacks[1])))
    data.append(("normal", kind))
    if explained:
        data.append(("signs", " ".join(explained)))
    desc = " ".join(point_words(subject.facility, at, place) for place in plan.positions)
    title = _sentence(plan, normal if own else None)
    if not plan.members:
        return Ref(("point",), tuple(data), title, desc)
    tops = " ".join(str(Jack(bay.id, "T", place.number)) for place in plan.members)
    title = f"{len(plan.members)} positions drawn as one: {title} and so on"
    return Ref(("point", "folded"), (*data, ("members", tops)), title, desc)


def _sentence(plan: PointPlan, own: Normal | None) -> str:
    """The position's own normal, whatever normals from elsewhere end at it."""
    title = f"{plan.position.bay} {plan.position.number}"
    if own is not None:
        return f"{normal_words(own)}: {plug_words(own)}"
    entering = any(row.entry for row in plan.rows)
    led = "no normal of its own" if entering else "no line without a cord"
    return f"{WORDS['none']} {title}: {led}"


def normal_words(normal: Normal) -> str:
    """A normal by its kind and its two jacks."""
    return f"{WORDS[normal.kind]} {normal.source} to {normal.target}"


def plug_words(normal: Normal) -> str:
    """What a plug in either jack of a normal does."""
    first = "breaks" if broken_by_source(normal.kind) else "taps"
    second = "breaks" if broken_by_target(normal.kind) else "taps"
    one = f"{normal.source.row}{normal.source.position}"
    other = f"{normal.target.row}{normal.target.position}"
    return f"a plug in {one} {first}, a plug in {other} {second}"


def _row(plugs: Plugs, row: PointRow, left: Point, right: Point) -> Iterator[Mark]:
    """One line of a node: title, captions, and both jacks with what is behind them."""
    yield from _title(plugs, row, left, right)
    if row.through:
        caption = mult_caption(row)
        middle = Point((left.x + right.x) // 2, left.y + STRIP_BASELINE)
        yield symbols.small_grey(middle, caption, "middle")
    if row.entry:
        yield symbols.small_grey(left.moved(LABEL_INSET, STRIP_BASELINE), row.entry)
    if row.left is not None:
        yield from _spot(plugs, row, row.left, left, -1)
        yield from _rear(row.left, left, -1)
    if row.right is not None:
        yield from _spot(plugs, row, row.right, right, 1)
        yield from _rear(row.right, right, 1)


def _title(plugs: Plugs, row: PointRow, left: Point, right: Point) -> Iterator[Mark]:
    """The position in bold above the middle, a note's number behind it; beside a jack alone."""
    if not row.entry and (row.left is None or row.right is None):
        yield from _inline_title(row, left, right)
        return
    middle = (left.x + right.x) // 2
    note = symbols.note_mark_width(row.note) + NOTE_GAP if row.note is not None else 0
    taken = width(row.title, SMALL, "bold")
    crossed = row.normal is not None and plugs.breaking(row.normal)
    rise = TITLE_OVER_CROSS if crossed else TITLE_BASELINE
    at = Point(middle - (taken + note) // 2, left.y + rise)
    yield letter(at, row.title, weight="bold", ref=Ref(("position",)))
    if row.note is not None:
        yield from symbols.note_mark(at.moved(taken + NOTE_GAP, NOTE_RISE - SMALL // 2), row.note)


def _inline_title(row: PointRow, left: Point, right: Point) -> Iterator[Mark]:
    """The title of a jack alone on its row, beside it where another's normal would run."""
    note = symbols.note_mark_width(row.note) + NOTE_GAP if row.note is not None else 0
    taken = width(row.title, SMALL, "bold")
    x = left.x + JACK_RADIUS + INLINE_GAP
    if row.left is None:
        x = right.x - JACK_RADIUS - INLINE_GAP - taken - note
    spot = row.left or row.right
    rise = ABOVE_LABEL if spot is not None and spot.label else SMALL // 2
    at = Point(x, left.y + rise)
    yield letter(at, row.title, weight="bold", ref=Ref(("position",)))
    if row.note is not None:
        yield from symbols.note_mark(at.moved(taken + NOTE_GAP, -SMALL // 2), row.note)


def _spot(plugs: Plugs, row: PointRow, spot: Spot, at: Point, outward: int) -> Iterator[Mark]:
    """A jack with its plug, its row where that is not what one expects, and its label."""
    members = " ".join(map(str, spot.members))
    yield symbols.jack(at, plugs.plugged.get(spot.jack), str(spot.jack), members)
    if row.tags:
        capped = any(dummy.jack == spot.jack for dummy in plugs.dummies)
        rise = TAG_OVER_CAP if capped else TAG_BASELINE
        # In bold, as a row that stands the other way round is nothing to overlook.
        yield letter(at.moved(0, rise), spot.jack.row, anchor="middle", weight="bold")
    if spot.label:
        alone = not row.entry and (row.left is None or row.right is None)
        foot = at.moved(-outward * LABEL_INSET, STRIP_BASELINE)
        if alone:
            foot = at.moved(-outward * (JACK_RADIUS + INLINE_GAP), BELOW_TITLE)
        colour = styles.TEXT_GREY if spot.dim else styles.BLACK
        yield letter(
            foot,
            spot.label,
            anchor="start" if outward < 0 else "end",
            colour=colour,
            ref=Ref(("strip",), (("jack", str(spot.jack)),)),
        )


def _rear(spot: Spot, jack_at: Point, outward: int) -> Iterator[Mark]:
    """What is marked on the line behind a jack: swapped wires, a slash, names of what is there."""
    at = jack_at.moved(outward * JACK_RADIUS, 0)
    if spot.swapped:
        yield from symbols.swap_mark(at.moved(outward * SWAP_ROOM // 2, 0))
        at = at.moved(outward * SWAP_ROOM, 0)
    if spot.count:
        room = slash_room(spot.count)
        x = SLASH_BEFORE if outward > 0 else SLASH_BEFORE - room
        yield from symbols.slash(at.moved(x, 0), spot.count)
        at = at.moved(outward * room, 0)
    if spot.rear:
        foot = at.moved(outward * CAPTION_ROOM, REAR_BASELINE)
        named = symbols.small_grey(foot, spot.rear, "start" if outward > 0 else "end")
        yield replace(named, ref=Ref(("tie-name",)))


def _normal(
    subject: Subject, row: PointRow, normal: Normal, left: Point, right: Point, silent: Silent
) -> Iterator[Mark]:
    """The straight between the two ends, parted and crossed where broken, and the marks on it."""
    plugs = subject.plugs
    breaking, tapped = plugs.breaking(normal), plugs.tapping(normal)
    start = left if row.entry else left.moved(JACK_RADIUS, 0)
    end = right.moved(-JACK_RADIUS, 0)
    hushed = not breaking and normal.source in silent
    states = (("broken", breaking), ("tapped", tapped), ("silent", hushed))
    data = (("normal", str(normal)), ("kind", normal.kind))
    members = " ".join(map(str, row.normals))
    ref = Ref(
        ("normal", *(name for name, holds in states if holds)),
        (*data, ("members", members)) if members else data,
        title=f"{normal_words(normal)}: {plug_words(normal)}",
        desc=normal_state(subject.facility, plugs, normal, silent=hushed),
    )
    yield from _straight(start, end, ref, parted=bool(breaking), hushed=hushed)
    if breaking:
        # Parted, its two halves may carry different things.
        middle = Point((start.x + end.x) // 2, start.y)
        ends = (row.left.jack if row.left else normal.source, row.right and row.right.jack)
        halves = ((start, middle.moved(-GAP_HALF, 0)), (middle.moved(GAP_HALF, 0), end))
        for jack, half in zip(ends, halves, strict=True):
            if jack in silent:
                yield from _hushed(half)
    yield from _marks_at(plugs, row, normal, left, right)


def _hushed(half: Run) -> Iterator[Mark]:
    """Half of a parted normal made hollow and dashed, over the solid one."""
    for style in (Style(styles.PAPER, styles.W100), symbols.SILENT, symbols.HOLLOW):
        yield Line((half,), style, Ref(("hollow",)))


def _marks_at(
    plugs: Plugs, row: PointRow, normal: Normal, left: Point, right: Point
) -> Iterator[Mark]:
    """What a plug at either end does: a triangle, lifted where it has, or a dot, ringed."""
    breaking, tapping = plugs.breaking(normal), plugs.tapping(normal)
    backwards = row.left is not None and row.left.jack == normal.target
    ends = (right, left) if backwards else (left, right)
    sides = ((normal.source, ends[0]), (normal.target, ends[1]))
    breaks = (broken_by_source(normal.kind), broken_by_target(normal.kind))
    for (jack, at), opens in zip(sides, breaks, strict=True):
        inward = 1 if at == left else -1
        if opens:
            yield symbols.break_mark(at, inward, lifted=jack in breaking)
            continue
        yield symbols.tap_mark(at, inward)
        if jack in tapping:
            trial = plugs.plugged[jack] == "trial"
            yield symbols.tap_ring(at, inward, trial=trial)


def _straight(start: Point, end: Point, ref: Ref, *, parted: bool, hushed: bool) -> Iterator[Mark]:
    """A normal's line: whole, parted about a cross, or hollow and dashed."""
    if parted:
        middle = Point((start.x + end.x) // 2, start.y)
        gap = (middle.moved(-GAP_HALF, 0), middle.moved(GAP_HALF, 0))
        yield Line(((start, gap[0]), (gap[1], end)), styles.LINE, ref)
        yield symbols.break_cross(middle)
        return
    yield Line(((start, end),), symbols.SILENT if hushed else styles.LINE, ref)
    if hushed:
        yield Line(((start, end),), symbols.HOLLOW, Ref(("hollow",)))
