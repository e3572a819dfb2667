"""One value written anew in the place of another, as an edit of the lines that hold it."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.file import emit
from slinediag.file.edits import Edit, Lines
from slinediag.file.nodes import Node, Scalar
from slinediag.file.plain import Plain


@dataclass(frozen=True, slots=True)
class Slot:
    """Where a value stands: its node, the end of its key or dash, and the column of that.

    ``flow`` says that it stands in brackets or braces.
    """

    node: Node
    opened: int
    indent: int
    flow: bool


def replaced(lines: Lines, slot: Slot, new: Plain) -> Edit:
    """The edit that writes ``new`` in the place of a slot's value."""
    node = slot.node
    if node.start == node.end:
        return filled(lines, slot, new)
    tail = lines.line_end if lines.text[node.end - 1] in "\r\n" else ""
    if isinstance(node, Scalar) or node.flow or node.alias or not lines.begins(node.start):
        return Edit(node.start, node.end, inline(lines, slot, new) + tail)
    between = lines.text[slot.opened : node.start]
    below = emit.block_lines(new, slot.indent + emit.STEP)
    if not below and "#" not in between:
        return Edit(slot.opened + between.find(":") + 1, node.end, f" {emit.flow(new)}{tail}")
    below = below or [" " * (slot.indent + emit.STEP) + emit.flow(new)]
    return Edit(lines.start(node.start), node.end, lines.line_end.join(below) + tail)


def inline(lines: Lines, slot: Slot, new: Plain) -> str:
    """A value that begins on the line of its key: broken into lines where it is too long."""
    flow, column = emit.flow(new), lines.indent(slot.node.start)
    if slot.flow or column + len(flow) <= emit.WIDTH or lines.begins(slot.node.start):
        return flow
    first, *more = emit.wrapped(" " * column + flow, slot.indent + 2 * emit.STEP)
    return lines.line_end.join([first[column:], *more])


def filled(lines: Lines, slot: Slot, new: Plain) -> Edit:
    """The edit that writes a value where a key or dash has nothing behind it."""
    at = slot.node.start
    if slot.flow:
        colon = "" if ":" in lines.text[slot.opened : at] else ":"
        return Edit(at, at, f"{colon} {emit.flow(new)}")
    first, *more = emit.headed_lines("", new, slot.indent, False)
    if first:
        return Edit(at, at, lines.line_end.join([first, *more]))
    after = lines.after(at)
    return Edit(after, after, lines.join(more))
