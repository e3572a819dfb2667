"""What falls silent, against a circuit built anew as the trial leaves the plant."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slinediag.chart.silence import silenced
from slinediag.circuit.circuit import Circuit
from slinediag.file.read import parse
from slinediag.model.facility import Cord, Plug
from slinediag.tracing.hearing import Hearing
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.bench.plants import plant_text
from tests.chart.plants import station

LARGE = parse(plant_text(96).encode(), "large.yaml").facility


def carrying(facility, failed=()):
    circuit = Circuit(facility)
    hearing = Hearing(circuit, failed)
    sounding = sum(1 << n for n in range(len(circuit.outputs)) if hearing.audio(n))
    every = (*circuit.jacks, *circuit.outputs, *circuit.inputs)
    return {address for address in every if circuit.sources_at(address) & sounding}


def rewired(facility, trial):
    """The plant as it would be filed with the trial's cords and plugs left in."""
    kept = [c for c in facility.cords if (c.source, c.target) not in trial.pulled_cords]
    cords = (*kept, *(Cord(one, other) for one, other in trial.cords))
    plugs = (*facility.plugs, *(Plug(jack) for jack in trial.plugs))
    return replace(facility, cords=cords, plugs=plugs)


def trials(facility):
    yield from (Trial(failed=(box,)) for box in sorted(facility.equipment))
    held = {jack for c in facility.cords for jack in (c.source, c.target)}
    free = [jack for jack in facility.jacks if jack not in held]
    yield from (Trial(plugs=(jack,)) for jack in free[::7])
    pairs = zip(free[::11], reversed(free[3::13]), strict=False)
    boxes = sorted(facility.equipment)
    for number, (one, other) in enumerate(pairs):
        if one != other:
            failed = (boxes[number % len(boxes)],) if number % 2 else ()
            yield Trial(cords=((one, other),), failed=failed)
    for cord in facility.cords:
        yield Trial(pulled_cords=((cord.source, cord.target),))


@pytest.mark.parametrize("facility", [station(), LARGE], ids=["station", "large"])
def test_what_falls_silent_is_what_a_circuit_built_anew_no_longer_carries(facility):
    before = carrying(facility)
    silent = 0
    for trial in trials(facility):
        found = silenced(ask(facility, trial))
        assert found == before - carrying(rewired(facility, trial), trial.failed), trial
        silent += bool(found)
    assert silent > 3


def test_nothing_falls_silent_without_a_trial():
    assert silenced(ask(station(), Trial())) == frozenset()
