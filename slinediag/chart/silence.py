"""What falls silent under a trial: everything that carried audio before and carries none now."""

from __future__ import annotations

from slinediag.address import Address
from slinediag.circuit.circuit import Circuit
from slinediag.tracing.hearing import Hearing
from slinediag.tracing.tracer import tracer_of
from slinediag.tracing.trial import Bench
from slinediag.tracing.values import Answer


def silenced(answer: Answer) -> frozenset[Address]:
    """The jacks and ports whose nets carried audio at rest and carry none under the trial.

    A net carries what the outputs on it do; a failed one's, what its bypass lets through.
    """
    trial = answer.trial
    if trial.empty:
        return frozenset()
    tracer = tracer_of(answer.facility)
    with tracer.lock:
        before = _carrying(tracer.circuit, tracer.hearing)
        bench = Bench(tracer.circuit, tracer.hearing, tracer.phantom)
        try:
            bench.carry_out(trial)
            after = _carrying(tracer.circuit, Hearing(tracer.circuit, trial.failed))
        finally:
            bench.put_back()
    return before - after


def _carrying(circuit: Circuit, hearing: Hearing) -> frozenset[Address]:
    """The jacks and ports that audio reaches as plugs stand now."""
    sounding = sum(1 << n for n in range(len(circuit.outputs)) if hearing.audio(n))
    addresses: tuple[Address, ...] = (*circuit.jacks, *circuit.outputs, *circuit.inputs)
    return frozenset(a for a in addresses if circuit.sources_at(a) & sounding)
