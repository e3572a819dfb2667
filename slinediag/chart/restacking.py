"""Boxes with the rows of their ports pushed apart, or closed up.

Lengths in micrometres.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from slinediag.chart.box_rows import IdleText, SideRows, centred
from slinediag.chart.equipment import BoxPlan, inner_width
from slinediag.chart.lettering import LEADING
from slinediag.chart.paths import Slot, inner_paths, ways_among
from slinediag.chart.plain_paths import said_in_box
from slinediag.chart.points import PITCH


def restacked(
    box: BoxPlan, rows_between_inputs: tuple[int, ...], rows_between_outputs: tuple[int, ...]
) -> BoxPlan:
    """The box with at least these distances, in rows, from each wired port to the next."""
    inputs = _spaced(box.inputs, box.idle_inputs, rows_between_inputs)
    outputs = _spaced(box.outputs, box.idle_outputs, rows_between_outputs)
    made = _with_rows(box, inputs, outputs)
    if made.style == box.style:
        return made
    if made.style != "listed":
        return replace(made, said=())
    if box.onward:
        return box  # No room is kept to say where these paths are listed.
    said = said_in_box(box.equipment, made.height)
    idle = (made.idle_inputs, made.idle_outputs)
    wide = inner_width((made.inputs, made.outputs), idle, {made.style}, (), said)
    return replace(made, width=max(box.width, wide), said=said)


def closed_up(box: BoxPlan) -> BoxPlan:
    """The box with its rows as near to each other as what stands between them lets them be; as it
    is where that would change how its paths are told."""
    inputs = _closed(box.inputs, box.idle_inputs)
    made = _with_rows(box, inputs, _closed(box.outputs, box.idle_outputs))
    fits = not box.said or said_in_box(box.equipment, made.height) == box.said
    return made if made.style == box.style and fits and not box.onward else box


def _with_rows(box: BoxPlan, inputs: SideRows, outputs: SideRows) -> BoxPlan:
    """The box with these rows, the shorter side in its middle, and its paths as they run then."""
    rows = max(inputs[-1], outputs[-1], 1)
    slots_in, idle_inputs = centred(*inputs[:2], rows, inputs[-1])
    slots_out, idle_outputs = centred(*outputs[:2], rows, outputs[-1])
    whole = box.equipment
    ways = ways_among(whole, slots_in, slots_out) if box.divided else whole.ways
    style, paths = inner_paths(ways, slots_in, slots_out, box.divided)
    return replace(
        box,
        height=rows * PITCH,
        inputs=slots_in,
        outputs=slots_out,
        idle_inputs=idle_inputs,
        idle_outputs=idle_outputs,
        style=style,
        paths=paths,
    )


def _closed(slots: tuple[Slot, ...], idle: tuple[IdleText, ...]) -> SideRows:
    """One side at the top of its box, a row for each port and for two lines between, and the rows
    it takes then."""
    order: list[Slot | IdleText] = sorted((*slots, *idle), key=lambda item: item.y)
    placed_slots: list[Slot] = []
    placed_idle: list[IdleText] = []
    row = 0
    for lines, run in groupby(order, key=lambda item: isinstance(item, IdleText)):
        items = list(run)
        rows = -(-len(items) // 2) if lines else len(items)
        first = row * PITCH + (rows * PITCH - (len(items) - 1) * LEADING) // 2
        for n, item in enumerate(items):
            if isinstance(item, IdleText):
                placed_idle.append(replace(item, y=first + n * LEADING))
            else:
                placed_slots.append(replace(item, y=(row + n) * PITCH + PITCH // 2))
        row += rows
    return tuple(placed_slots), tuple(placed_idle), row


def _spaced(
    slots: tuple[Slot, ...], idle: tuple[IdleText, ...], wanted: tuple[int, ...]
) -> SideRows:
    """One side moved to the top of its box and pushed apart, and the rows it takes then."""
    if not slots and not idle:
        return (), (), 0
    top = min([slot.y for slot in slots] + [words.y for words in idle]) // PITCH * PITCH
    order: list[Slot | IdleText] = sorted((*slots, *idle), key=lambda item: item.y)
    pushed = 0
    number = 0
    placed_slots: list[Slot] = []
    placed_idle: list[IdleText] = []
    for item in order:
        if isinstance(item, IdleText):
            placed_idle.append(replace(item, y=item.y - top + pushed))
            continue
        if placed_slots:
            here = item.y - top + pushed - placed_slots[-1].y
            pushed += max(0, wanted[number - 1] * PITCH - here)
        placed_slots.append(replace(item, y=item.y - top + pushed))
        number += 1
    lowest = max([slot.y for slot in placed_slots] + [words.y for words in placed_idle])
    return tuple(placed_slots), tuple(placed_idle), lowest // PITCH + 1
