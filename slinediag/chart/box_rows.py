"""The rows of one side of a box: which port stands on which, and what is said of those between.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from slinediag.address import PortAddress, Side
from slinediag.chart.fars import PortFolds, row_words
from slinediag.chart.lettering import LEADING, wrap
from slinediag.chart.paths import Slot
from slinediag.chart.points import PITCH
from slinediag.chart.ranges import compressed
from slinediag.model.equipment import Equipment, Port

IDLE_ROOM = 24_000
SWAPPED = "+/−"
"""Printed at a port whose direct line is swapped."""


@dataclass(frozen=True, slots=True)
class IdleText:
    """Labels of ports that no line reaches, as one line of dimmed text."""

    words: str
    y: int


SideRows = tuple[tuple[Slot, ...], tuple[IdleText, ...], int]
"""One side of a box from its top on, and how many rows it takes."""


@dataclass(frozen=True, slots=True)
class RowChoice:
    """What decides on the rows of ports: which have a line, which are swapped, which share one."""

    wired: frozenset[PortAddress]
    swapped: frozenset[PortAddress]
    folds: PortFolds

    def label(self, box: Equipment, ports: Sequence[PortAddress]) -> str:
        """The label of a row: of its port, or of the run of its ports."""
        found = [box.facts[port.port, port.side].label for port in ports]
        words = row_words(found)
        return f"{words} {SWAPPED}" if ports[0] in self.swapped else words


def side_rows(box: Equipment, ports: Iterable[Port], side: Side, choice: RowChoice) -> SideRows:
    """The rows of one side in the order filed; neighbours without a line share rows."""
    slots: list[Slot] = []
    idle: list[IdleText] = []
    waiting: list[str] = []
    row = 0
    behind = {port for run in choice.folds.values() for port in run[1:]}
    for port in ports:
        facts = box.facts[port.id, side]
        if facts.address in behind:
            continue
        if facts.address not in choice.wired:
            waiting.append(facts.label)
            continue
        row = _rest(waiting, idle, row)
        priority = facts.priority if side == "in" else None
        members = choice.folds.get(facts.address, ())
        label = choice.label(box, members or (facts.address,))
        slots.append(Slot(facts.address, label, row * PITCH + PITCH // 2, priority, members))
        row += 1
    row = _rest(waiting, idle, row)
    return tuple(slots), tuple(idle), row


def _rest(waiting: list[str], idle: list[IdleText], row: int) -> int:
    """Put down the labels waiting, two lines of them to a row; the next free row."""
    if not waiting:
        return row
    lines = wrap(compressed(waiting), IDLE_ROOM)
    rows = -(-len(lines) // 2)
    first = row * PITCH + (rows * PITCH - (len(lines) - 1) * LEADING) // 2
    idle += [IdleText(words, first + n * LEADING) for n, words in enumerate(lines)]
    waiting.clear()
    return row + rows


def centred(
    slots: tuple[Slot, ...], idle: tuple[IdleText, ...], rows: int, used: int
) -> tuple[tuple[Slot, ...], tuple[IdleText, ...]]:
    """The shorter side in the middle of the box, on whole rows."""
    down = (rows - used) // 2 * PITCH
    return (
        tuple(replace(slot, y=slot.y + down) for slot in slots),
        tuple(IdleText(i.words, i.y + down) for i in idle),
    )
