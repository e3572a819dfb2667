"""Equipment as boxes: which port stands on which row, what is printed, and how wide it all is.

Inputs on the left edge, outputs on the right, in the order filed. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from slinediag.address import PortAddress
from slinediag.chart import symbols
from slinediag.chart.box_rows import IdleText, RowChoice, centred, side_rows
from slinediag.chart.fars import (
    NO_FARS,
    WIDEST_SHEET,
    Fars,
    Onward,
    PortFolds,
    cites_list,
    line_width,
    words_width,
)
from slinediag.chart.lettering import LABEL, LEADING, width, wrap
from slinediag.chart.numbering import NumberedNotes
from slinediag.chart.paths import PathGroup, PathStyle, Slot, inner_paths, ways_among
from slinediag.chart.plain_paths import said_in_box
from slinediag.chart.points import NOTE_MARK, PITCH
from slinediag.model.equipment import Equipment, Port

MARGIN = 1800
DISC_GAP = 1200
"""On either side of a priority."""
STATE_ROOM = 10_500
"""Kept free behind each input's label, so that a trial's marks need no new layout."""
PATH_ROOM = 8000
LISTED = ("paths", "bypass", "listed")
"""Printed in a box where the list tells of its paths."""
LEAST_WIDTH = 26_000
NAME_ROOM = 46_000
PART_ROOM = 14_000
"""Kept beside the label for which part of how many a box is."""
LONE, WIDENED = 3, 7_000
"""Letters of a word that does not stand alone on a line, and by how much a box is widened for
that."""
HEAD_GAP = 2000
LABEL_LEADING = 4600


@dataclass(frozen=True, slots=True)
class BoxPlan:
    """A piece of equipment as a node. ``names`` are printed above it, under its label.

    ``in_part``: some of its ports are drawn nowhere, nor the paths that lead there. ``onward``:
    its rows from which ways lead to other parts, or come from there; their words begin at
    ``words_x`` behind inputs, and end ``words_back`` before the right edge at outputs. ``said``:
    lines that tell its paths where these are not drawn. ``cited``: what says where its paths are
    listed is drawn once that is known. ``walled``: no way joins its inputs to its outputs.
    """

    equipment: Equipment
    width: int
    height: int
    inputs: tuple[Slot, ...]
    outputs: tuple[Slot, ...]
    idle_inputs: tuple[IdleText, ...]
    idle_outputs: tuple[IdleText, ...]
    names: tuple[str, ...]
    style: PathStyle
    paths: tuple[PathGroup, ...]
    note: int | None
    part: int = 1
    parts: int = 1
    in_part: bool = False
    onward: tuple[Onward, ...] = ()
    said: tuple[str, ...] = ()
    cited: bool = False
    walled: bool = False

    @property
    def id(self) -> str:
        """The node's id: the equipment's, numbered for parts after the first."""
        return self.equipment.id if self.part == 1 else f"{self.equipment.id}:{self.part}"

    @property
    def slots(self) -> tuple[Slot, ...]:
        """All its wired ports."""
        return (*self.inputs, *self.outputs)

    @property
    def divided(self) -> bool:
        """Whether only the paths between its own ports are drawn in its box."""
        return self.in_part or bool(self.onward)

    @property
    def words_x(self) -> int:
        """Where the words behind its inputs begin, and the room kept for a trial's marks ends."""
        return MARGIN + max((_input_width(s) for s in self.inputs), default=0) + DISC_GAP

    @property
    def words_back(self) -> int:
        """How far before its right edge the words at its outputs end."""
        return 2 * MARGIN + max((width(s.label) for s in self.outputs), default=0)

    @property
    def bar_room(self) -> tuple[int, int]:
        """Between which distances from its left edge a bar stands clear of words."""
        ins = [row for row in self.onward if row.port.side == "in"]
        outs = [row for row in self.onward if row.port.side == "out"]
        left = self.words_x + words_width(ins) if ins else 0
        return left, self.width - (self.words_back + words_width(outs) if outs else 0)

    @property
    def idle_widths(self) -> tuple[int, ...]:
        """The widths of what is printed of outputs without a line."""
        return tuple(width(idle.words) for idle in self.idle_outputs)

    @property
    def above(self) -> int:
        """Room above the box for its label and names."""
        return HEAD_GAP + LABEL_LEADING + LEADING * len(self.names)


def plan_boxes(
    boxes: Iterable[Equipment],
    wired: frozenset[PortAddress],
    notes: NumberedNotes,
    apart: Mapping[str, tuple[frozenset[str], ...]],
    swapped: frozenset[PortAddress] = frozenset(),
    folds: PortFolds = MappingProxyType({}),
    fars: Fars = NO_FARS,
) -> tuple[BoxPlan, ...]:
    """A node for each piece of equipment drawn, and one for each part that stands apart.

    ``apart``: by equipment, the inputs of each part after the first (detached representation,
    IEC 61082-1). ``swapped``: ports whose direct line exchanges + and −.
    ``folds``: ports that share a row. ``fars``: the rows that ways lead to from each row, which
    rows of equipment in parts name where these are in another part.
    """
    plans: list[BoxPlan] = []
    for box in boxes:
        parts = apart.get(box.id, ())
        gone = frozenset().union(*parts)
        groups = [tuple(port for port in box.inputs if port.id not in gone)]
        groups += [tuple(port for port in box.inputs if port.id in part) for part in parts]
        groups = [group for number, group in enumerate(groups) if group or not number]
        note = notes.of_equipment(box.id)
        for number, inputs in enumerate(groups, 1):
            outputs = box.outputs if number == 1 else ()
            own = {PortAddress(box.id, p.id, "in") for p in inputs}
            own |= {PortAddress(box.id, p.id, "out") for p in outputs}
            beyond = {
                row: found
                for row in own
                if (found := fars.get(row, ())) and not own.issuperset(far.port for far in found)
            }
            plan = plan_part(box, inputs, outputs, wired, note, swapped, folds=folds, fars=beyond)
            plans.append(replace(plan, part=number, parts=len(groups)))
    return tuple(plans)


def plan_part(
    box: Equipment,
    ports_in: tuple[Port, ...],
    ports_out: tuple[Port, ...],
    wired: frozenset[PortAddress],
    note: int | None,
    swapped: frozenset[PortAddress] = frozenset(),
    *,
    in_part: bool = False,
    folds: PortFolds = MappingProxyType({}),
    fars: Fars = NO_FARS,
) -> BoxPlan:
    """A box, or a part of it, with these ports: rows, texts and size.

    ``fars``: the rows that ways lead to from each row, wherever these are drawn.
    """
    choice = RowChoice(wired, swapped, folds)
    inputs, idle_inputs, rows_in = side_rows(box, ports_in, "in", choice)
    outputs, idle_outputs, rows_out = side_rows(box, ports_out, "out", choice)
    rows = max(rows_in, rows_out, 1)
    inputs, idle_inputs = centred(inputs, idle_inputs, rows, rows_in)
    outputs, idle_outputs = centred(outputs, idle_outputs, rows, rows_out)
    rows_here = {slot.port for slot in (*inputs, *outputs)}
    beyond = any(far.port not in rows_here for row in rows_here for far in fars.get(row, ()))
    ways = ways_among(box, inputs, outputs) if in_part or beyond else box.ways
    style, paths = inner_paths(ways, inputs, outputs, in_part or beyond)
    onward = _onward(box, (*inputs, *outputs), fars, drawn=style != "listed") if beyond else ()
    styles = {style, inner_paths(box.bypass_ways, inputs, outputs, in_part)[0]}
    said = said_in_box(box, rows * PITCH) if style == "listed" and not onward else ()
    idle = (idle_inputs, idle_outputs)
    across = inner_width((inputs, outputs), idle, styles, onward, said)
    head = width(box.printed, LABEL, "bold") + PART_ROOM
    head += NOTE_MARK + MARGIN if note is not None else 0
    words = _names(box)
    wish = min(max((width(w) for w in words), default=0), NAME_ROOM)
    room = -(-max(across, head, wish, LEAST_WIDTH) // 1000) * 1000
    room = max((_with_no_lone_word(w, room) for w in words), default=room)
    names = [line for w in words for line in wrap(w, room)]
    return BoxPlan(
        equipment=box,
        width=room,
        height=rows * PITCH,
        inputs=inputs,
        outputs=outputs,
        idle_inputs=idle_inputs,
        idle_outputs=idle_outputs,
        names=tuple(names),
        style=style,
        paths=paths,
        note=note,
        in_part=in_part,
        onward=onward,
        said=said,
        walled=bool(inputs and outputs) and not _joined(box, ports_in, ports_out),
    )


def _joined(box: Equipment, inputs: Sequence[Port], outputs: Sequence[Port]) -> bool:
    """Whether a way of a box, or of its bypass, leads from one of these inputs to one of these
    outputs."""
    ends = {port.id for port in inputs}, {port.id for port in outputs}
    if any(not ends[0].isdisjoint(box.ways_to.get(port, ())) for port in ends[1]):
        return True
    return any(i in ends[0] and o in ends[1] for i, o in box.bypass_ways)


def _with_no_lone_word(words: str, room: int) -> int:
    """The width of a box, or so much more that a last word as short as a letter or a number does
    not stand alone on a line above it."""
    lines = wrap(words, room)
    if len(lines) < 2 or len(lines[-1]) > LONE:
        return room
    wider = range(room, room + WIDENED + 1, 1000)
    return next((wide for wide in wider if len(wrap(words, wide)) < len(lines)), room)


def is_cited(plan: BoxPlan) -> bool:
    """Whether a box says where its paths are listed: they are neither drawn nor said in it."""
    return plan.style == "listed" and not plan.said


def _onward(
    box: Equipment, slots: Sequence[Slot], fars: Fars, *, drawn: bool
) -> tuple[Onward, ...]:
    """The rows with ways to others that are not drawn in the box."""
    here = frozenset(slot.port for slot in slots)
    told = [(slot, fars.get(slot.port, ())) for slot in slots]
    if drawn:
        told = [(slot, tuple(f for f in found if f.port not in here)) for slot, found in told]
    return tuple(
        Onward(
            slot.port,
            found,
            here & {far.port for far in found},
            every=all(_leads_everywhere(box, port) for port in slot.ports),
            ports=slot.ports,
        )
        for slot, found in told
        if found
    )


def _leads_everywhere(box: Equipment, port: PortAddress) -> bool:
    """Whether there is a way from an input to every output, or to an output from every input."""
    inward = port.side == "in"
    ends = (box.ways_from if inward else box.ways_to).get(port.port, ())
    return {*ends} == {other.id for other in (box.outputs if inward else box.inputs)}


def _names(box: Equipment) -> list[str]:
    """What is printed under the label: the name unless it says the same, place, spare state."""
    words = [] if box.name.casefold() == box.printed.casefold() else [box.name]
    if box.place:
        words.append(box.place)
    if box.state == "spare":
        words.append("(spare)")
    joined = " · ".join(words)
    return [joined] if joined and width(joined) <= NAME_ROOM else words


def inner_width(
    slots: tuple[tuple[Slot, ...], tuple[Slot, ...]],
    idle: tuple[tuple[IdleText, ...], tuple[IdleText, ...]],
    path_styles: Collection[PathStyle],
    onward: Sequence[Onward],
    said: Sequence[str],
) -> int:
    """The width that a box takes for what stands in it; ``slots`` and ``idle``: of both sides."""
    (inputs, outputs), (idle_inputs, idle_outputs) = slots, idle
    left = max([_input_width(s) for s in inputs] + [width(i.words) for i in idle_inputs], default=0)
    right = max(
        [width(s.label) for s in outputs] + [width(i.words) for i in idle_outputs], default=0
    )
    middle = 2 * MARGIN if left and right else 0
    if "rules" in path_styles or "bars" in path_styles:
        middle = PATH_ROOM
    if "listed" in path_styles and not onward:
        lines = [*map(width, said or LISTED), 0 if said else listed_words(WIDEST_SHEET)]
        middle = max(lines) + 4 * MARGIN
    if onward and cites_list(onward):
        middle = max(middle, listed_words(WIDEST_SHEET) + 2 * MARGIN)
    for side in ("in", "out"):
        words = words_width(row for row in onward if row.port.side == side)
        middle += words + MARGIN if words else 0
    return left + middle + right + 2 * MARGIN


def listed_words(sheet: str) -> int:
    """The room of what says on which sheet the ways through a part are listed."""
    return line_width("sheet", sheet)


def _input_width(slot: Slot) -> int:
    """An input's label, its priority, and what is kept free for a trial's marks."""
    return width(slot.label) + disc_room(slot) + STATE_ROOM


def disc_room(slot: Slot) -> int:
    """The room that an input's priority takes behind its label; none where it has no priority."""
    if slot.priority is None:
        return 0
    return symbols.priority_mark_width(slot.priority) + 2 * DISC_GAP


def standing_paths(plan: BoxPlan, *, failed: bool) -> tuple[PathStyle, tuple[PathGroup, ...]]:
    """The paths that stand and how they are shown: of a failed box its bypass alone."""
    if failed:
        return inner_paths(plan.equipment.bypass_ways, plan.inputs, plan.outputs, plan.in_part)
    return plan.style, plan.paths
