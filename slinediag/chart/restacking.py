"""Boxes with the rows of their ports pushed apart.

Lengths in micrometres.
"""

from __future__ import annotations

from dataclasses import replace

from slinediag.chart.equipment import BoxPlan, IdleText, centred, inner_width
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
