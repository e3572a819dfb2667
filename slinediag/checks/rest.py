"""The facility at rest, as rules look at it: its circuit, what is heard, its shields, its lines."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import NamedTuple

from slinediag.address import Address, Jack, PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Cord, Facility, Line, Mult, Plug
from slinediag.model.labels import jack_name
from slinediag.tracing.hearing import Hearing
from slinediag.tracing.line import LineFacts, line_at
from slinediag.tracing.shields.loops import Shields, shields_at_rest
from slinediag.tracing.tracer import Tracer
from slinediag.tracing.treble import cord_capacitances
from slinediag.tracing.words import port_name


class UnfitLabel(NamedTuple):
    """A label that does not fit its strip: its jacks, what it reads in full, what would do."""

    jacks: tuple[Jack, ...]
    label: str
    cure: str


class Rest:
    """A facility with its standing cords and dummy plugs in.

    ``today`` is the day by which the age of cords is judged, ``unfit_labels`` what does not fit
    the strips as they are lettered; None leaves either unjudged. The tracer's lock is to be held
    as long as rules look at it.
    """

    def __init__(
        self,
        tracer: Tracer,
        today: datetime.date | None = None,
        unfit_labels: tuple[UnfitLabel, ...] | None = None,
    ) -> None:
        self.tracer = tracer
        self.today = today
        self.unfit_labels = unfit_labels

    @property
    def facility(self) -> Facility:
        """The facility as filed."""
        return self.tracer.facility

    @property
    def circuit(self) -> Circuit:
        """What is joined to what."""
        return self.tracer.circuit

    @property
    def hearing(self) -> Hearing:
        """What every input hears."""
        return self.tracer.hearing

    @cached_property
    def shields(self) -> Shields:
        """What metal is joined to what."""
        return shields_at_rest(self.facility)

    @cached_property
    def lines(self) -> tuple[LineFacts, ...]:
        """The lines at the inputs that something feeds, in natural order."""
        cords = cord_capacitances((c.source, c.length) for c in self.facility.cords)
        return tuple(
            line_at(self.circuit, number, frozenset(), self.tracer.capacitances, cords)
            for number, feeds in enumerate(self.hearing.feeds)
            if feeds
        )

    # ---- what is in use

    def used(self) -> Iterator[Equipment]:
        """The equipment in use, as filed: neither spare nor removed."""
        for box in self.facility.equipment.values():
            if box.state not in ("spare", "removed"):
                yield box

    def in_use(self, port: PortAddress) -> bool:
        """Whether the port's equipment is in use."""
        return self.facility.equipment[port.equipment].state not in ("spare", "removed")

    def set_aside(self, jack: Jack) -> bool:
        """Whether the jack's position is spare or reserved."""
        return self.facility.point(jack).state in ("spare", "reserved")

    # ---- what is at a jack or port

    @cached_property
    def line_at(self) -> dict[Address, Line]:
        """Lines and ties by their ends."""
        return {
            end: line for line in self.facility.lines.values() for end in (line.source, line.target)
        }

    @cached_property
    def mult_at(self) -> dict[Jack, Mult]:
        """Mults by their jacks."""
        return {jack: mult for mult in self.facility.mults.values() for jack in mult.jacks}

    @cached_property
    def plug_at(self) -> dict[Jack, Cord | Plug]:
        """Standing cords and dummy plugs by their jacks."""
        held: dict[Jack, Cord | Plug] = {plug.jack: plug for plug in self.facility.plugs}
        for cord in self.facility.cords:
            held[cord.source] = held[cord.target] = cord
        return held

    def rear_empty(self, jack: Jack) -> bool:
        """Whether neither a wire nor a tie nor a mult is at the rear of a jack."""
        return (
            jack not in self.facility.wires
            and jack not in self.line_at
            and jack not in self.mult_at
        )

    def wired(self, port: PortAddress) -> bool:
        """Whether a port is wired to a jack or a line."""
        return port in self.facility.carriers or port in self.line_at

    # ---- names

    def spelled(self, addresses: Iterable[Address]) -> tuple[str, ...]:
        """Addresses as answers write them, each once."""
        return tuple(dict.fromkeys(self.facility.spelled(address) for address in addresses))

    def port(self, port: PortAddress) -> str:
        """A port as people say it."""
        return port_name(self.facility, port)

    def jack(self, jack: Jack) -> str:
        """A jack as people say it."""
        return jack_name(self.facility, jack)

    def at(self, port: PortAddress) -> str:
        """Where a port is wired, in words: its jack, or nothing where it has none."""
        carrier = self.facility.carriers.get(port)
        return f" at {self.jack(carrier)}" if carrier else ""
