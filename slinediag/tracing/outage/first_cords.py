"""The first cords of chains, those first of which most may come."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from slinediag.tracing.outage.board import Move, put
from slinediag.tracing.outage.hops import Hops
from slinediag.tracing.outage.rank import Outlook
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import View


class _Waiting(NamedTuple):
    """What stands in line by the best that may come of it, then cords by lower and higher end.

    A cord with its source; or, ``row`` not negative, from one source all cords of one length
    after which the same is missing, and behind them the longer ones. ``one`` is the place of what
    is missing among :meth:`Hops.by_worth`, ``row`` that of the length.
    """

    outlook: Outlook
    sure: bool
    one: int
    other: int
    source: int
    row: int = -1


class FirstCords:
    """The cords from sources to hops that may come to something, best outlook first.

    A search takes few of them, so cords are worked out no further than it takes to tell whether
    they are next. What stands in line is never worse than what it turns out to be.
    """

    def __init__(self, task: Task, view: View, sources: Iterable[int]) -> None:
        self._best, self._choice = task.best, task.choice
        self._hops = hops = Hops(task, view)
        least = task.choice.shortest_of_all
        self._taken = (task.choice.least(view.moves) or 0) + least
        net = _to_be_touched(task, view)
        kinds = enumerate(view.board.kinds)
        self._touching = {k for k, kind in kinds if not net or not net.isdisjoint(kind.cells)}
        length = self._taken + least
        self._sources = {k for k in sources if not self._best.beaten(hops.best_from(k, length))}
        self._worst = self._best.worst
        self._line: list[_Waiting] = []
        self._partly = not self._best.beaten(hops.harmless((True, 0, 0), length))
        for source in sorted(self._sources):
            for worth, (missing, _) in enumerate(hops.by_worth(source, self._partly)):
                outlook = hops.harmless(missing, length)
                if self._best.beaten(outlook):
                    break
                self._queue_row(source, worth, 0)

    def __iter__(self) -> Iterator[tuple[Outlook, Move]]:
        while self._line:
            outlook, sure, one, other, source, row = heapq.heappop(self._line)
            if self._best.beaten(outlook):
                return
            if not sure:
                self._open(source, one, row, outlook.length)
            elif not self._told_from_above(source, one + other - source, outlook.length):
                yield outlook, put(one, other)

    def _queue(self, waiting: _Waiting) -> None:
        if not self._best.beaten(waiting.outlook):
            heapq.heappush(self._line, waiting)

    def _queue_row(self, source: int, worth: int, row: int) -> None:
        rows = self._choice.by_length(source)
        if row < len(rows):
            missing = self._hops.by_worth(source, self._partly)[worth][0]
            outlook = self._hops.harmless(missing, self._taken + rows[row][0])
            self._queue(_Waiting(outlook, False, worth, 0, source, row))

    def _open(self, source: int, worth: int, row: int, length: int) -> None:
        """Put each of the cords of one length in line, and the longer ones."""
        hops = (
            self._hops.by_worth(source, self._partly)[worth][1]
            & self._choice.by_length(source)[row][1]
        )
        if source not in self._touching:
            hops &= self._touching
        for hop in hops:
            ends = (source, hop) if source <= hop else (hop, source)
            self._queue(_Waiting(self._hops.outlook(source, hop, length), True, *ends, source))
        self._queue_row(source, worth, row + 1)

    def _told_from_above(self, source: int, hop: int, length: int) -> bool:
        """Whether the cord is told from its other end: a higher kind that is a source too."""
        if hop <= source or hop not in self._sources or source not in self._hops:
            return False
        return self._worst is None or self._hops.outlook(hop, source, length) <= self._worst


def _to_be_touched(task: Task, view: View) -> frozenset[int]:
    """The cells of which a first cord must touch one, where a last cord alone doubles the input.

    Where the input is fed, though it hears nothing, and stays so with a plug in any jack on its
    net, a last cord restores it only if the first one's plugs change that net. None otherwise.
    """
    situation, number = task.situation, task.number
    if situation.has_loops or view.upstream(number) != 1 << number:
        return frozenset()
    for entry in view.kinds_at_inputs(1 << number):
        meets = view.meets(entry)
        for inputs, outputs in zip(meets.inputs, meets.outputs, strict=True):
            if inputs >> number & 1 and not outputs:
                return frozenset()
    board = view.board
    return frozenset(board.net(board.cell_of_input[number], view.effect.plugs))
