"""Which plugs stand in which jacks, as filed or under a trial, and what they do to the normals."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from slinediag.address import Jack, jack_order
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_name
from slinediag.tracing.values import Answer, CordEnds

Standing = Literal["standing", "trial", "pulled"]


@dataclass(frozen=True, slots=True)
class HungCord:
    """A cord on the chart: its two jacks, why it hangs there, its name, and whether it howls."""

    ends: CordEnds
    standing: Standing
    name: str
    feedback: bool = False

    def __str__(self) -> str:
        return f"{self.ends[0]}={self.ends[1]}"


@dataclass(frozen=True, slots=True)
class DummyPlug:
    """A dummy plug on the chart."""

    jack: Jack
    standing: Standing


@dataclass(frozen=True)
class Plugs:
    """Everything plugged into the jackfield as the chart shows it."""

    cords: tuple[HungCord, ...]
    dummies: tuple[DummyPlug, ...]

    @cached_property
    def plugged(self) -> Mapping[Jack, Standing]:
        """The jacks that hold a plug, and whether it stands there or belongs to the trial."""
        held: dict[Jack, Standing] = {}
        for cord in self.cords:
            if cord.standing != "pulled":
                held.update(dict.fromkeys(cord.ends, cord.standing))
        held.update({d.jack: d.standing for d in self.dummies if d.standing != "pulled"})
        return held

    @cached_property
    def corded(self) -> frozenset[Jack]:
        """The jacks that cords hang from, pulled ones too."""
        return frozenset(jack for cord in self.cords for jack in cord.ends)

    @cached_property
    def jacks(self) -> frozenset[Jack]:
        """Every jack that holds or held a plug."""
        ends = {jack for cord in self.cords for jack in cord.ends}
        return frozenset(ends | {dummy.jack for dummy in self.dummies})

    def breaking(self, normal: Normal) -> tuple[Jack, ...]:
        """The jacks of a normal whose plugs break it."""
        return tuple(j for j, breaks in _acts(normal) if breaks and j in self.plugged)

    def tapping(self, normal: Normal) -> tuple[Jack, ...]:
        """The jacks of a normal whose plugs tap it."""
        return tuple(j for j, breaks in _acts(normal) if not breaks and j in self.plugged)


def _acts(normal: Normal) -> Iterator[tuple[Jack, bool]]:
    yield normal.source, broken_by_source(normal.kind)
    yield normal.target, broken_by_target(normal.kind)


def plugs_of(facility: Facility, answer: Answer | None) -> Plugs:
    """Standing cords and dummy plugs, then those of the trial, in the order given."""
    trial = answer.trial if answer else None
    pulled = {frozenset(ends) for ends in trial.pulled_cords} if trial else set()
    taken = set(trial.pulled_plugs) if trial else set()
    standing = sorted(facility.cords, key=lambda cord: jack_order(cord.source))
    cords = [_standing_cord(facility, (c.source, c.target), pulled) for c in standing]
    dummies = [
        DummyPlug(plug.jack, "pulled" if plug.jack in taken else "standing")
        for plug in sorted(facility.plugs, key=lambda plug: jack_order(plug.jack))
    ]
    if trial and answer:
        howling = {outcome.cord for outcome in answer.cords if outcome.feedback}
        cords += [
            HungCord(ends, "trial", _name(facility, f"cord {n}", ends), ends in howling)
            for n, ends in enumerate(trial.cords, start=1)
        ]
        dummies += [DummyPlug(jack, "trial") for jack in trial.plugs]
    return Plugs(tuple(cords), tuple(dummies))


def _standing_cord(facility: Facility, ends: CordEnds, pulled: set[frozenset[Jack]]) -> HungCord:
    if frozenset(ends) in pulled:
        return HungCord(ends, "pulled", _name(facility, "pulled", ends))
    return HungCord(ends, "standing", _name(facility, "standing cord", ends))


def _name(facility: Facility, word: str, ends: CordEnds) -> str:
    return f"{word}: {jack_name(facility, ends[0])} to {jack_name(facility, ends[1])}"
