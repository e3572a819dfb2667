"""Draws equipment: its box, ports, paths and lettering, and what a trial makes of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from slinediag.chart import symbols
from slinediag.chart.descriptions import equipment_words
from slinediag.chart.equipment import (
    DISC_GAP,
    HEAD_GAP,
    LISTED,
    MARGIN,
    BoxPlan,
    disc_room,
    standing_paths,
)
from slinediag.chart.hatching import hatch
from slinediag.chart.lettering import LABEL, LEADING, SMALL, letter, width
from slinediag.chart.overlay import Outcome
from slinediag.chart.paths import Slot
from slinediag.chart.walls import draw_wall
from slinediag.drawing import styles
from slinediag.drawing.marks import Anchor, Group, Line, Mark, Rect, Ref, Style, Text
from slinediag.drawing.query import text_box
from slinediag.geometry import Box, Point, Run, around

PATH_SPACE = 1500
LEAST_RULE = 2500
"""What is left of a path's rule beside the words of a trial."""
HEARS = "hears"
STAMP_HALF = 2000
STAMP_DROP = 900
"""The middle of the stamp below the box's edge, so that it clears the lettering of the last row."""
ON_SHEETS = re.compile(r"(?:in|out)(?:puts on|:) sheets? [1-9]", re.ASCII)
"""How a line begins that names the sheets with the inputs or outputs of equipment in parts."""
NUMBERS = re.compile(r"([0-9]+)", re.ASCII)


def draw_box(plan: BoxPlan, at: Box, outcome: Outcome) -> Group:
    """A piece of equipment as one group, its box at a place on the sheet."""
    failed = plan.equipment.id in outcome.failed
    inside = [*_ports(plan, at, outcome), *_paths(plan, at, outcome)]
    marks: list[Mark] = [Rect(at, styles.EQUIPMENT)]
    if failed:
        marks.append(hatch(at, list(_lettering_and_rules(inside))))
    marks += inside
    if not (failed or plan.onward):
        marks += draw_wall(plan, at, inside)
    marks += _head(plan, at)
    if failed:
        marks += _stamp(at)
    box = plan.equipment
    words = f"{box.printed}: {box.name}" if box.name != box.printed else box.name
    title = f"{words}, failed" if failed else words
    classes = ("equipment", "failed") if failed else ("equipment",)
    data = (("id", box.id), *([("part", f"{plan.part} of {plan.parts}")] if plan.parts > 1 else []))
    ref = Ref(classes, data, title=title, desc=equipment_words(box, failed=failed))
    return Group(tuple(marks), ref)


def _lettering_and_rules(marks: Iterable[Mark]) -> Iterator[Box]:
    """What the hatching of a failed box leaves free."""
    for mark in marks:
        if isinstance(mark, Text):
            yield text_box(mark).grown(700)
        elif isinstance(mark, Line):
            yield from (around(run).grown(700) for run in mark.runs)


def _head(plan: BoxPlan, at: Box) -> Iterator[Mark]:
    """The label, large and bold, with its note's number; under it name and place."""
    below = LEADING * len(plan.names)
    foot = Point(at.x, at.y - HEAD_GAP - below)
    name_foot = HEAD_GAP - 300
    label = letter(foot, plan.equipment.printed, height=LABEL, weight="bold", ref=Ref(("label",)))
    yield label
    x = label.width + MARGIN
    if plan.note is not None:
        yield from symbols.note_mark(foot.moved(x, -LABEL // 2), plan.note)
        x += symbols.note_mark_width(plan.note) + MARGIN
    if plan.parts > 1:
        yield symbols.small_grey(foot.moved(x, 0), f"{plan.part} of {plan.parts}")
    last, sheets = len(plan.names) - 1, False
    for number, words in enumerate(plan.names):
        foot = Point(at.x, at.y - name_foot - (last - number) * LEADING)
        # Under name and place; from the first line with sheets on there is nothing else.
        sheets = sheets or (plan.parts > 1 and ON_SHEETS.match(words) is not None)
        yield from (
            _sheets(plan.equipment.id, words, foot)
            if sheets
            else (symbols.small_grey(foot, words),)
        )


def _sheets(box: str, words: str, foot: Point) -> Iterator[Mark]:
    """A line that names sheets with other parts of a box; each number leads to the part there."""
    for piece in NUMBERS.split(words):
        text = symbols.small_grey(foot, piece)
        if piece.isdecimal():
            data = (("at", box), ("sheet", piece))
            yield Group((text,), Ref(("to-sheet",), data, title=f"To sheet {piece}"))
        elif piece:
            yield text
        foot = foot.moved(width(piece), 0)


def _ports(plan: BoxPlan, at: Box, outcome: Outcome) -> Iterator[Mark]:
    for slot in plan.inputs:
        yield from _input(plan, slot, at, outcome)
    for slot in plan.outputs:
        foot = Point(at.right - MARGIN, at.y + slot.y + SMALL // 2)
        if slot.label:
            yield letter(foot, slot.label, anchor="end", ref=_port_ref(slot))
    for idle in plan.idle_inputs:
        yield _idle(Point(at.x + MARGIN, at.y + idle.y + SMALL // 2), idle.words, "start")
    for idle in plan.idle_outputs:
        yield _idle(Point(at.right - MARGIN, at.y + idle.y + SMALL // 2), idle.words, "end")


def _idle(foot: Point, words: str, anchor: Anchor) -> Text:
    """Ports that no line reaches."""
    return letter(foot, words, anchor=anchor, colour=styles.TEXT_GREY, ref=Ref(("idle",)))


def _port_ref(slot: Slot) -> Ref:
    """What a port's label stands for; all ports of a run where it does for more than one."""
    if not slot.members:
        return Ref(("port",))
    return Ref(("port",), (("members", " ".join(map(str, slot.members))),))


def _input(plan: BoxPlan, slot: Slot, at: Box, outcome: Outcome) -> Iterator[Mark]:
    """An input's label, its priority, and behind them what the trial makes of it."""
    line = at.y + slot.y
    if slot.label:
        yield letter(Point(at.x + MARGIN, line + SMALL // 2), slot.label, ref=_port_ref(slot))
    x = at.x + MARGIN + width(slot.label) + (DISC_GAP if slot.label else 0)
    if slot.priority is not None:
        half = symbols.priority_mark_width(slot.priority) // 2
        yield from symbols.priority_mark(Point(x + half, line), slot.priority)
    x = _state_x(slot, at)
    change = outcome.changes.get(slot.port)
    if change == "doubled":
        yield from symbols.warning_mark(Point(x, line))
    elif change == "lost":
        yield letter(Point(x, line + SMALL // 2), "silent", weight="bold", ref=Ref(("silent",)))
    lines = _hears(plan, slot, at, outcome)
    first = line + (SMALL - LEADING * (len(lines) - 1)) // 2
    for number, words in enumerate(lines):
        foot = Point(x, first + LEADING * number)
        yield letter(foot, words, weight="bold", ref=Ref(("hears",)))


def _hears(plan: BoxPlan, slot: Slot, at: Box, outcome: Outcome) -> tuple[str, ...]:
    """What an input hears under a trial instead of what it heard, in the lines that have room
    between it and what else stands in its box; none where none have."""
    name = outcome.hears.get(slot.port)
    if name is None or slot.members:
        return ()
    room = _state_end(plan, at, outcome) - _state_x(slot, at)
    for lines in ((f"{HEARS} {name}",), (HEARS, name)):
        if max(width(words, SMALL, "bold") for words in lines) <= room:
            return lines
    return ()


def _state_end(plan: BoxPlan, at: Box, outcome: Outcome) -> int:
    """How far to the right the marks of a trial may reach in a box."""
    style, _ = standing_paths(plan, failed=plan.equipment.id in outcome.failed)
    if style == "listed" or plan.onward:
        return at.x + plan.words_x - DISC_GAP
    labels = [width(slot.label) for slot in plan.outputs]
    labels += [width(idle.words) for idle in plan.idle_outputs]
    words = max(labels) + MARGIN if labels else 0
    rule = PATH_SPACE + LEAST_RULE + PATH_SPACE if style != "none" else 0
    return at.right - MARGIN - words - rule


def _state_x(slot: Slot, at: Box) -> int:
    """Where the marks of a trial stand: behind an input's label and priority."""
    disc = disc_room(slot)
    return at.x + MARGIN + width(slot.label) + disc + (DISC_GAP if slot.label and not disc else 0)


def _paths(plan: BoxPlan, at: Box, outcome: Outcome) -> Iterator[Mark]:
    """Thin rules, or bars that join all to all; or a word that the paths are listed.

    Of a failed box only the bypass, which stands without it.
    """
    failed = plan.equipment.id in outcome.failed
    style, groups = standing_paths(plan, failed=failed)
    if style == "listed" and failed:
        yield from _in_middle(plan, at, LISTED[1:])
        return
    if style == "listed" and not (plan.onward or plan.cited):
        yield from _in_middle(plan, at, plan.said or (LISTED[0], LISTED[2]))
        return
    if style in ("none", "listed"):
        return
    inputs = {slot.y: slot for slot in plan.inputs}
    outputs = {slot.y: slot for slot in plan.outputs}
    starts = {y: _rule_start(plan, slot, at, outcome) for y, slot in inputs.items()}
    ends = {y: at.right - MARGIN - width(slot.label) - PATH_SPACE for y, slot in outputs.items()}
    left, right = plan.bar_room
    bar = (max(*starts.values(), at.x + left) + min(*ends.values(), at.x + right)) // 2
    runs: list[Run] = []
    for group in groups:
        if style == "rules":
            y = at.y + group.inputs[0]
            runs.append((Point(starts[group.inputs[0]], y), Point(ends[group.inputs[0]], y)))
            continue
        runs += [(Point(starts[y], at.y + y), Point(bar, at.y + y)) for y in group.inputs]
        runs += [(Point(bar, at.y + y), Point(ends[y], at.y + y)) for y in group.outputs]
        ys = (*group.inputs, *group.outputs)
        if max(ys) > min(ys):
            runs.append((Point(bar, at.y + min(ys)), Point(bar, at.y + max(ys))))
    # Black and wider where it stands among the grey rules of the hatching.
    ink = styles.LINE if failed else styles.widened(styles.PATH_RULE, styles.W25)
    yield Line(tuple(runs), ink, Ref(("path", "bypass") if failed else ("path",)))


def _rule_start(plan: BoxPlan, slot: Slot, at: Box, outcome: Outcome) -> int:
    x = _state_x(slot, at)
    lines = _hears(plan, slot, at, outcome)
    if lines:
        return x + max(width(words, SMALL, "bold") for words in lines) + PATH_SPACE
    change = outcome.changes.get(slot.port)
    if change == "lost":
        return x + width("silent", SMALL, "bold") + PATH_SPACE
    return x + 4600 + PATH_SPACE if change == "doubled" else x + 300


def _in_middle(plan: BoxPlan, at: Box, lines: Sequence[str]) -> Iterator[Mark]:
    """Words between the inputs and the outputs of a box."""
    right = max(
        [width(slot.label) for slot in plan.outputs]
        + [width(idle.words) for idle in plan.idle_outputs]
    )
    x = at.right - MARGIN - right - 2 * MARGIN - max(map(width, lines))
    first = at.y + (at.height - LEADING * (len(lines) - 1) + SMALL) // 2
    for number, words in enumerate(lines):
        yield symbols.small_grey(Point(x, first + LEADING * number), words)


def _stamp(at: Box) -> Iterator[Mark]:
    """FAILED in a filled frame across the middle of the box's lower edge."""
    words = letter(
        Point(at.x + at.width // 2, at.bottom + STAMP_DROP + SMALL // 2),
        "FAILED",
        anchor="middle",
        weight="bold",
        colour=styles.PAPER,
    )
    half = words.width // 2 + 1500
    top = at.bottom + STAMP_DROP - STAMP_HALF
    frame = Box(at.x + at.width // 2 - half, top, 2 * half, 2 * STAMP_HALF)
    yield Rect(frame, Style(stroke=None, fill=styles.BLACK), 500, Ref(("stamp",)))
    yield words
