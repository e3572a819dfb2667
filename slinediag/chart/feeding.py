"""What feeds each input as things stand on a chart: as filed, or as a trial or a failure leaves
them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import Jack, PortAddress
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.values import Answer, InputOutcome

CORDED, MOVED = "by cord", "newly"


@dataclass(frozen=True, slots=True)
class Feeding:
    """Which outputs feed each input, and by what that differs from how it is filed.

    ``failed``: equipment that sends on nothing but by its bypass. ``newly``: what is said of a feed
    that is not filed.
    """

    rest: Tracer
    left: Tracer
    outcomes: Mapping[PortAddress, InputOutcome]
    failed: frozenset[str]
    newly: str

    @classmethod
    def of(cls, facility: Facility, answer: Answer | None) -> Feeding:
        """As filed where there is no answer, else as it says; of what a failure leaves of the
        facility, where it is asked of that."""
        rest = tracer_of(facility)
        if answer is None:
            return cls(rest, rest, {}, frozenset(), "")
        trial = answer.trial
        pulled = trial.pulled_cords or trial.pulled_plugs
        return cls(
            rest,
            tracer_of(answer.facility),
            {outcome.input: outcome for outcome in answer.inputs},
            frozenset(trial.failed),
            CORDED if trial.cords and not pulled else MOVED,
        )

    def feeds(self, entry: PortAddress) -> tuple[PortAddress, ...]:
        """The outputs that feed an input, those aside that have failed and have no bypass."""
        found = self.outcomes.get(entry)
        feeds = self.left.feeds(entry) if found is None else found.feeds_after
        return tuple(out for out in feeds if not self._dead(out))

    def via(self, entries: Iterable[PortAddress]) -> tuple[Jack, ...]:
        """The jacks that filed feeds of inputs pass, in the order of the signal."""
        circuit = self.rest.circuit
        jacks = (
            jack
            for entry in entries
            for out in self.feeds(entry)
            if out in self.rest.feeds(entry)
            for jack in circuit.jacks_between(out, entry)
        )
        return tuple(dict.fromkeys(jacks))

    def silent(self, entry: PortAddress) -> bool:
        """Whether an input heard something as filed, and hears nothing now."""
        found = self.outcomes.get(entry)
        hears = self.left.hears(entry) if found is None else found.hears_after
        return not hears and bool(self.rest.hears(entry))

    def new(self, entries: Iterable[PortAddress]) -> tuple[PortAddress, ...]:
        """The outputs that feed one of these inputs and do not as filed."""
        found = (
            out
            for entry in entries
            for out in self.feeds(entry)
            if out not in self.rest.feeds(entry)
        )
        return tuple(dict.fromkeys(found))

    def entries(self, out: PortAddress) -> Iterator[PortAddress]:
        """The inputs by which a box leads to its output, as far as they are fed."""
        for entry, leads_to in self._ways(self.rest.facility.equipment[out.equipment]):
            address = PortAddress(out.equipment, entry, "in")
            if leads_to == out.port and self.feeds(address):
                yield address

    def _ways(self, box: Equipment) -> Sequence[tuple[str, str]]:
        return box.bypass_ways if box.id in self.failed else box.ways

    def _dead(self, out: PortAddress) -> bool:
        if out.equipment not in self.failed:
            return False
        box = self.rest.facility.equipment[out.equipment]
        return all(leads_to != out.port for _, leads_to in box.bypass_ways)
