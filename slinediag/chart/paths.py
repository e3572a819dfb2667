"""The ways through equipment: which of them are drawn in its box, and how.

Lengths in micrometres.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from slinediag.address import PortAddress
from slinediag.model.equipment import Equipment

PathStyle = Literal["none", "rules", "bars", "listed"]


@dataclass(frozen=True, slots=True)
class Slot:
    """A wired port on its row: its address, label, the row's y from the top, its priority.

    ``members``: all ports that it stands for where lines are folded.
    """

    port: PortAddress
    label: str
    y: int
    priority: int | None = None
    members: tuple[PortAddress, ...] = ()

    @property
    def ports(self) -> tuple[PortAddress, ...]:
        """The port, or all that it stands for."""
        return self.members or (self.port,)


@dataclass(frozen=True, slots=True)
class PathGroup:
    """Inputs that all lead to the same outputs, by the y of their rows."""

    inputs: tuple[int, ...]
    outputs: tuple[int, ...]


def ways_among(
    box: Equipment, inputs: Iterable[Slot], outputs: Iterable[Slot]
) -> tuple[tuple[str, str], ...]:
    """The ways of a box from the ports of some rows to those of others, in their order.

    Of large equipment whose inputs all lead to all outputs that is far from looking at each.
    """
    ins, outs = ({p.port for row in rows for p in row.ports} for rows in (inputs, outputs))
    leading = ((box.ways_to[o], o) for o in box.ways_to if o in outs)
    return tuple((i, o) for found, o in leading for i in found if i in ins)


def inner_paths(
    ways: tuple[tuple[str, str], ...],
    inputs: tuple[Slot, ...],
    outputs: tuple[Slot, ...],
    in_part: bool,
) -> tuple[PathStyle, tuple[PathGroup, ...]]:
    """How paths are shown: straight rules, bars that join all to all, or by the list.

    Only between ports on rows of their own; groups whose rows interleave would cross. Of a box
    drawn in part, those whose two ports are drawn. Folded rows only one to one, each port to its
    like.
    """
    rows_in, rows_out = _rows_by_port(inputs), _rows_by_port(outputs)
    if in_part:
        ways = tuple((i, o) for i, o in ways if i in rows_in and o in rows_out)
    if not ways or not outputs:
        return "none", ()
    if any(i not in rows_in or o not in rows_out for i, o in ways):
        return "listed", ()
    by_rows = _one_to_one(ways, rows_in, rows_out)
    if by_rows is None:
        return "listed", ()
    y_in = {slot.port.port: slot.y for slot in inputs}
    y_out = {slot.port.port: slot.y for slot in outputs}
    groups = _groups(by_rows)
    if groups is None:
        return "listed", ()
    drawn = sorted(
        (
            PathGroup(tuple(sorted(y_in[i] for i in ins)), tuple(sorted(y_out[o] for o in outs)))
            for ins, outs in groups
        ),
        key=lambda group: (group.inputs, group.outputs),
    )
    ends = [(min(*g.inputs, *g.outputs), max(*g.inputs, *g.outputs)) for g in drawn]
    if any(one[1] >= other[0] for one, other in itertools.pairwise(ends)):
        return "listed", ()
    straight = all(g.inputs == g.outputs and len(g.inputs) == 1 for g in drawn)
    return ("rules" if straight else "bars"), tuple(drawn)


_PortRows = Mapping[str, tuple[Slot, int]]
"""By port, its row and its place in the run that the row stands for."""


def _rows_by_port(slots: tuple[Slot, ...]) -> _PortRows:
    return {port.port: (slot, place) for slot in slots for place, port in enumerate(slot.ports)}


def _one_to_one(
    ways: tuple[tuple[str, str], ...], rows_in: _PortRows, rows_out: _PortRows
) -> tuple[tuple[str, str], ...] | None:
    """The paths from row to row; None where folded ports are not joined each to its like."""
    if not any(slot.members for rows in (rows_in, rows_out) for slot, _ in rows.values()):
        return tuple(dict.fromkeys(ways))
    places: dict[tuple[str, str], set[tuple[int, int]]] = {}
    for entry, leaving in ways:
        (one, here), (other, there) = rows_in[entry], rows_out[leaving]
        places.setdefault((one.port.port, other.port.port), set()).add((here, there))
    for (entry, leaving), found in places.items():
        count = len(rows_in[entry][0].ports)
        if len(rows_out[leaving][0].ports) != count or found != {(n, n) for n in range(count)}:
            return None
    return tuple(places)


def _groups(
    ways: tuple[tuple[str, str], ...],
) -> list[tuple[tuple[str, ...], tuple[str, ...]]] | None:
    """The paths as groups in which every input leads to every output; None where they do not."""
    outs: dict[str, list[str]] = {}
    for entry, leaving in ways:
        outs.setdefault(entry, []).append(leaving)
    groups: dict[tuple[str, ...], list[str]] = {}
    for entry, reached_by in outs.items():
        groups.setdefault(tuple(sorted(reached_by)), []).append(entry)
    reached = [o for group in groups for o in group]
    if len(reached) != len(set(reached)):
        return None
    return [(tuple(ins), group) for group, ins in groups.items()]
