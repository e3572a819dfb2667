"""What falls silent under a trial: everything that carried audio before and carries none now."""

from __future__ import annotations

from collections.abc import Iterable

from slinediag.address import Address, Jack, PortAddress
from slinediag.circuit.circuit import Circuit
from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.trial import Bench
from slinediag.tracing.values import Answer, Trial


def silenced(answer: Answer) -> frozenset[Address]:
    """The jacks and ports whose nets carried audio at rest and carry none under the trial.

    A net carries what the outputs on it do; a failed one's, what its bypass lets through.
    """
    if answer.trial.empty:
        return frozenset()
    tracer = tracer_of(answer.facility)
    circuit, hearing = tracer.circuit, tracer.hearing
    sending = _Sending(tracer, answer)
    with tracer.lock:
        touched = _touched(circuit, answer.trial, sending.quiet())
        carried = {
            address
            for address in touched
            if any(hearing.audio(output) for output in bits(circuit.sources_at(address)))
        }
        bench = Bench(circuit, hearing, tracer.phantom)
        try:
            bench.carry_out(answer.trial)
            return frozenset(
                address
                for address in carried
                if not any(sending.sends(output) for output in bits(circuit.sources_at(address)))
            )
        finally:
            bench.put_back()


def carrying(answer: Answer, addresses: Iterable[Address]) -> frozenset[Address]:
    """Those of these jacks and ports whose nets carry audio under an answer's trial."""
    tracer = tracer_of(answer.facility)
    circuit = tracer.circuit
    sending = _Sending(tracer, answer)
    with tracer.lock:
        bench = Bench(circuit, tracer.hearing, tracer.phantom)
        try:
            bench.carry_out(answer.trial)
            return frozenset(
                address
                for address in addresses
                if any(sending.sends(output) for output in bits(circuit.sources_at(address)))
            )
        finally:
            bench.put_back()


def _touched(circuit: Circuit, trial: Trial, quiet: list[int]) -> set[Address]:
    """All on the nets, at rest, of outputs that go quiet and of jacks that plugs go in or out of.

    Nothing else can fall silent.
    """
    jacks: list[Jack] = [jack for cord in (*trial.pulled_cords, *trial.cords) for jack in cord]
    outputs = [circuit.outputs[n] for n in quiet]
    starts: list[Address] = [*jacks, *trial.pulled_plugs, *trial.plugs, *outputs]
    return {address for start in starts for address in circuit.ends_with(start)}


class _Sending:
    """Which outputs carry audio under a trial, from what its answer says that inputs hear."""

    def __init__(self, tracer: Tracer, answer: Answer) -> None:
        self._circuit: Circuit = tracer.circuit
        self._hearing: Hearing = tracer.hearing
        self._failed = frozenset(answer.trial.failed)
        numbers = tracer.circuit.input_number
        self._hears = {numbers[o.input]: bool(o.hears_after) for o in answer.inputs}

    def quiet(self) -> list[int]:
        """The outputs that carried audio at rest and carry none now."""
        changed = set(self._hearing.outputs_of(self._failed))
        for number in self._hears:
            changed.update(self._hearing.outputs_beyond(number))
        return [n for n in sorted(changed) if self._hearing.audio(n) and not self.sends(n)]

    def sends(self, output: int) -> bool:
        """Whether an output carries audio now."""
        port = self._circuit.outputs[output]
        if port.equipment in self._failed:
            box = self._circuit.facility.equipment[port.equipment]
            entries = (PortAddress(box.id, i, "in") for i, o in box.bypass_ways if o == port.port)
            return any(self._heard(self._circuit.input_number[entry]) for entry in entries)
        if self._hearing.origins >> output & 1:
            return True
        return any(self._heard(number) for number in self._hearing.inputs_behind(output))

    def _heard(self, number: int) -> bool:
        return self._hears.get(number, bool(self._hearing.hears[number]))
