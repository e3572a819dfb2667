"""Cords of a trial on the chart: hung at once as one curve, then in a back room with all care.

What takes their place comes once the hand rests: a cord in hand is never waited for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QObject, QTimer, Signal

from slinediag.chart.cords import Hung
from slinediag.chart.plugs import HungCord
from slinediag.editor.backroom import Backroom
from slinediag.editor.charting import Chart
from slinediag.editor.cord_ground import ways_of
from slinediag.geometry import Box

RESTING = 60
"""Milliseconds after the last change of a trial until its cords are hung with care."""


class TriedCords(QObject):
    """The ways of a trial's cords on the chart that is shown, as they are found."""

    found = Signal()
    """More cords hang with care than did."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.room = Backroom(self, kept=True)
        self._chart: Chart | None = None
        self._ways: dict[HungCord, Hung] = {}
        self._old: Mapping[HungCord, Hung] = {}
        self._wanted: tuple[HungCord, ...] = ()
        self._signs: tuple[Box, ...] = ()
        self._rest = QTimer(self, singleShot=True, interval=RESTING)
        self._rest.timeout.connect(self._ask)
        self.room.answered.connect(self._take)

    @property
    def busy(self) -> bool:
        """Whether cords are still to be hung with care."""
        return self._rest.isActive() or self.room.busy

    def want(self, chart: Chart, cords: Sequence[HungCord], signs: Sequence[Box]) -> None:
        """Hang these cords; ``signs``: what else the trial draws, which they keep clear of.

        Cords that hang already stay as they are while the others come and go.
        """
        if chart is not self._chart:
            self._old = self._still_right(chart)
            self._chart, self._ways = chart, {}
        drawn = [cord for cord in cords if all(jack in chart.jacks for jack in cord.ends)]
        self._ways = {cord: self._ways[cord] for cord in drawn if cord in self._ways}
        self._wanted = tuple(cord for cord in drawn if cord not in self._ways)
        self._signs = tuple(signs)
        if self.room.busy:
            self.room.stop()
        if self._wanted and chart.ground:
            self._rest.start()
        else:
            self._rest.stop()

    @property
    def ways(self) -> Mapping[HungCord, Hung]:
        """What hangs with care so far; on a chart that is new, also where a cord hung before."""
        return {**self._old, **self._ways}

    def _still_right(self, chart: Chart) -> dict[HungCord, Hung]:
        """The cords whose jacks are where they were on the chart before."""
        was = self._chart.jacks if self._chart is not None else {}
        return {
            cord: hung
            for cord, hung in self.ways.items()
            if all(j in was and chart.jacks.get(j) == was[j] for j in cord.ends)
        }

    def _ask(self) -> None:
        if self._chart is not None:
            beside = tuple(self._ways.values())
            self.room.ask(ways_of, self._chart.ground, self._wanted, self._signs, beside)

    def _take(self, _number: int, hung: tuple[Hung, ...]) -> None:
        self._ways.update((each.cord, each) for each in hung)
        self._old, self._wanted = {}, ()
        self.found.emit()
