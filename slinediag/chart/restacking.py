"""Boxes with the rows of their ports pushed apart, or closed up.

Lengths in micrometres.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from slinediag.chart.equipment import BoxPlan, IdleText, centred, inner_width
from slinediag.chart.lettering import LEADING
from slinediag.chart.paths import Slot, inner_paths
from slinediag.chart.plain_paths import said_in_box
from slinediag.chart.points import PITCH


def restacked(
    box: BoxPlan, rows_between_inputs: tuple[int, ...], rows_between_outputs: tuple[int, ...]
) -> BoxPlan:
    """The box with at least these distances, in rows, from each wired port to the next."""
    inputs, idle_inputs, low_in = _spaced(box.inputs, box.idle_inputs, rows_between_inputs)
    outputs, idle_outputs, low_out = _spaced(box.outputs, box.idle_outputs, rows_between_outputs)
    rows = max(low_in, low_out, 1)
    inputs, idle_inputs = centred(inputs, idle_inputs, rows, low_in)
    outputs, idle_outputs = centred(outputs, idle_outputs, rows, low_out)
    style, paths = inner_paths(box.equipment.ways, inputs, outputs, box.divided)
    if box.onward and style == "listed" != box.style:
        return box  # No room is kept to say where these paths are listed.
    said, wide = box.said if style == "listed" else (), box.width
    if style == "listed" != box.style:
        said = said_in_box(box.equipment, rows * PITCH)
        idle = (idle_inputs, idle_outputs)
        wide = max(wide, inner_width((inputs, outputs), idle, {style}, (), said))
    return replace(
        box,
        width=wide,
        height=rows * PITCH,
        said=said,
        inputs=inputs,
        outputs=outputs,
        idle_inputs=idle_inputs,
        idle_outputs=idle_outputs,
        style=style,
        paths=paths,
    )


def closed_up(box: BoxPlan) -> BoxPlan:
    """The box with its rows as near to each other as what stands between them lets them be; as it
    is where that would change how its paths are told."""
    inputs, idle_inputs, low_in = _closed(box.inputs, box.idle_inputs)
    outputs, idle_outputs, low_out = _closed(box.outputs, box.idle_outputs)
    rows = max(low_in, low_out, 1)
    inputs, idle_inputs = centred(inputs, idle_inputs, rows, low_in)
    outputs, idle_outputs = centred(outputs, idle_outputs, rows, low_out)
    style, paths = inner_paths(box.equipment.ways, inputs, outputs, box.divided)
    fits = not box.said or said_in_box(box.equipment, rows * PITCH) == box.said
    if box.onward or style != box.style or not fits:
        return box
    return replace(
        box,
        height=rows * PITCH,
        inputs=inputs,
        outputs=outputs,
        idle_inputs=idle_inputs,
        idle_outputs=idle_outputs,
        paths=paths,
    )


def _closed(
    slots: tuple[Slot, ...], idle: tuple[IdleText, ...]
) -> tuple[tuple[Slot, ...], tuple[IdleText, ...], int]:
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
) -> tuple[tuple[Slot, ...], tuple[IdleText, ...], int]:
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
