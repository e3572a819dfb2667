"""The test plan: every reading in walking order, with what it should be and by what limit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from slinediag.address import Address, Jack, port_order
from slinediag.commissioning.bench import State
from slinediag.commissioning.limits import (
    EARTH_WAY,
    LEVEL,
    OPEN,
    PHANTOM,
    PHANTOM_SPREAD,
    SHIELD,
    contact_limit,
    line_allowance,
    normal_limit,
)
from slinediag.commissioning.points import (
    MeasuringPoint,
    Place,
    RearLine,
    measuring_points,
    rear_lines,
)
from slinediag.commissioning.readings import Reading, expected, readings_of
from slinediag.commissioning.walking import Walk, walk
from slinediag.model.facility import Facility
from slinediag.tracing.phrases import port_name
from slinediag.tracing.shields.loops import shields_at_rest
from slinediag.tracing.tracer import tracer_of

Unit = Literal["ohm", "dBu", "V"]


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One box of the sheet: what is measured where, and what it should be.

    ``joined`` says of a reading in ohm whether it is to be joined, with ``limit`` at most, or
    open, above ``limit``; a level or voltage is to be ``target`` within ``limit``.
    """

    number: int
    point: str
    code: str
    plugs: str
    one: str
    other: str
    unit: Unit
    joined: bool | None
    target: float | None
    limit: float

    @property
    def of_point(self) -> bool:
        """Whether it is a reading of a measuring point, units unplugged."""
        return self.unit == "ohm" and self.code != "G"

    @property
    def expected(self) -> str:
        """What the box should hold, in words."""
        if self.joined is not None:
            return f"at most {self.limit:g}" if self.joined else "open"
        return f"{self.target:.2f} ± {self.limit:g}"


@dataclass(frozen=True)
class CommissioningPlan:
    """The whole plan: its points, the walk, and its rows in walking order.

    Loops by cord, levels and phantom come last, when units are plugged in again.
    """

    facility: Facility
    points: tuple[MeasuringPoint, ...]
    walk: Walk
    rows: tuple[PlanRow, ...]


def plan_tests(facility: Facility) -> CommissioningPlan:
    """The commissioning tests of a facility."""
    points = measuring_points(facility)
    walked = walk(facility, points)
    writer = _Writer(facility)
    rows: list[PlanRow] = []
    for visit in walked.visits:
        for point, state in visit.reads:
            rows += writer.rows(point, state, len(rows) + 1)
    rows += _loops(facility, len(rows) + 1)
    rows += _levels(facility, len(rows) + 1)
    rows += _phantom(facility, len(rows) + 1)
    return CommissioningPlan(facility, points, walked, tuple(rows))


class _Writer:
    """Writes the rows of a point: where to put the probes, and by what limit."""

    def __init__(self, facility: Facility) -> None:
        self._facility = facility
        self._rear = rear_lines(facility)
        self._contact, self._normal = contact_limit(facility), normal_limit(facility)

    def rows(self, point: MeasuringPoint, state: State, first: int) -> Iterator[PlanRow]:
        """The rows of a point in one state, numbered from ``first``."""
        wanted = zip(readings_of(point.shape), expected(point.shape), strict=True)
        in_state = [(r, e) for r, e in wanted if r.state == state]
        for n, (reading, should) in enumerate(in_state, first):
            joined = should != "open"
            yield PlanRow(
                number=n,
                point=point.name,
                code=reading.code,
                plugs=self.plugs(point, state),
                one=self.probe(point, reading.one),
                other=self.probe(point, reading.other),
                unit="ohm",
                joined=joined,
                target=None,
                limit=self.limit(point, reading) if joined else OPEN,
            )

    @staticmethod
    def plugs(point: MeasuringPoint, state: State) -> str:
        """The jacks that hold a test plug, in words."""
        jacks = [str(point.a)] if "A" in state else []
        jacks += [str(point.b)] if "B" in state else []
        return f"plug in {' and '.join(jacks)}" if jacks else "no plug"

    def probe(self, point: MeasuringPoint, contact: str) -> str:
        """Where a probe goes, in words."""
        kind = contact[0] if contact[0] in "pehx" else ""
        if kind == "x":
            return "other jacks, by a tone"
        place: Place = "A" if contact[len(kind)] == "A" else "B"
        jack = point.jack(place)
        spring = contact[len(kind) + 1 :]
        if kind == "p":
            return f"plug {SPRINGS[spring]} in {jack}"
        if not kind:
            return f"rear {SPRINGS.get(spring, spring)} of {jack}"
        line = self._rear[jack]
        if kind == "h":
            return f"cable shield of {jack}"
        return f"{self.pole(line, spring)} of {end_words(self._facility, line.far)}"

    @staticmethod
    def pole(line: RearLine, spring: str) -> str:
        """The contact at the far end of a line that a spring is planned to meet."""
        if spring == "S":
            return "shield contact"
        tip = (spring == "T") != line.wire.swapped
        if isinstance(line.far, Jack):
            return "rear tip" if tip else "rear ring"
        return "pole +" if tip else "pole -"

    def limit(self, point: MeasuringPoint, reading: Reading) -> float:
        """Ohm that a joined reading may have at most."""
        if reading.purpose == "normal":
            return self._normal
        if reading.purpose == "shield":
            return SHIELD
        place: Place = "A" if "A" in reading.state else "B"
        line = self._rear.get(point.jack(place))
        allowance = line_allowance(self._facility, line.cable) if line is not None else 0.0
        return round(self._contact + allowance, 3)


def probe_words(
    facility: Facility, point: MeasuringPoint, reading: Reading
) -> tuple[str, str, str]:
    """Where the two probes of a reading go, and which plugs are in, in words."""
    writer = _Writer(facility)
    one, other = (writer.probe(point, contact) for contact in (reading.one, reading.other))
    return one, other, writer.plugs(point, reading.state)


SPRINGS = {
    "T": "tip",
    "R": "ring",
    "S": "sleeve",
    "TN": "tip break contact",
    "RN": "ring break contact",
}


def end_words(facility: Facility, end: Address) -> str:
    """A far end in words: the label of its port, or its jack."""
    return str(end) if isinstance(end, Jack) else port_name(facility, end)


def _loops(facility: Facility, first: int) -> Iterator[PlanRow]:
    """For each standing cord, pulled: whether its jacks' sleeves are joined without it already.

    Where they are, the cord's shield closes a ground loop.
    """
    loops = shields_at_rest(facility).loops
    closing = {frozenset(loop.cord.jacks) for loop in loops if loop.cord is not None}
    for n, cord in enumerate(facility.cords, first):
        joined = frozenset((cord.source, cord.target)) in closing
        yield PlanRow(
            number=n,
            point=str(cord),
            code="G",
            plugs="this cord out, all others in, units plugged in",
            one=f"sleeve of {cord.source}",
            other=f"sleeve of {cord.target}",
            unit="ohm",
            joined=joined,
            target=None,
            limit=EARTH_WAY if joined else OPEN,
        )


def _levels(facility: Facility, first: int) -> Iterator[PlanRow]:
    """The level at every input with one feed, tone sent at that feed's own level; units on."""
    tracer = tracer_of(facility)
    inputs = sorted(tracer.circuit.inputs, key=port_order)
    levels = [(port, tracer.levels[tracer.circuit.input_number[port]]) for port in inputs]
    known = [(port, level) for port, level in levels if level is not None]
    for n, (port, level) in enumerate(known, first):
        feed = tracer.feeds(port)[0]
        yield PlanRow(
            number=n,
            point=facility.spelled(port),
            code="V",
            plugs="as filed, units on",
            one=f"1 kHz tone of {facility.facts(feed).level:g} dBu for {port_name(facility, feed)}",
            other=port_name(facility, port),
            unit="dBu",
            joined=None,
            target=round(level, 2),
            limit=LEVEL,
        )


def _phantom(facility: Facility, first: int) -> Iterator[PlanRow]:
    """Both legs of every input that gives phantom, measured at the jack that carries it."""
    number = first
    for port in sorted(facility.inputs(), key=port_order):
        box = facility.equipment[port.equipment]
        jack = facility.carriers.get(port)
        if box.removed or jack is None or facility.facts(port).phantom != "gives":
            continue
        for leg in ("T", "R"):
            yield PlanRow(
                number=number,
                point=str(jack),
                code=f"F-{leg}",
                plugs=f"phantom on, test plug in {jack}",
                one=f"plug {SPRINGS[leg]}",
                other="plug sleeve",
                unit="V",
                joined=None,
                target=PHANTOM,
                limit=PHANTOM_SPREAD,
            )
            number += 1
