"""What failed bays, places and cables do, beside what a trial does: worked out from the circuit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from slinediag.address import Address, PortAddress
from slinediag.chart.silence import carrying
from slinediag.editor.things import Box, Thing
from slinediag.editor.trials import Item, failed_items, item_words, with_failed
from slinediag.model.facility import Facility
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.phrases import listed, port_name
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, Trial


@dataclass(frozen=True, slots=True)
class Damage:
    """What of a drawing is dead and what is silent, in all: by the failure and by the trial.

    ``cut``: the jacks and ports at whose rear a wire is open, with the side of it, −1 for left.
    """

    silent: frozenset[Address] = frozenset()
    bays: frozenset[str] = frozenset()
    cut: Mapping[Address, int] = field(default_factory=dict)


WHOLE = Damage()


def damage_of(
    facility: Facility, failure: Failure, answer: Answer, drawn: Iterable[Address]
) -> Damage:
    """What a failure, and the trial done to what is left, come to on a drawing of these."""
    if failure == Failure():
        return WHOLE
    addresses = tuple(drawn)
    before = carrying(ask(facility, Trial()), addresses)
    return Damage(
        silent=before - carrying(answer, addresses),
        bays=failure.dead_bays(facility),
        cut=dict(_cut(facility, failure)),
    )


def _cut(facility: Facility, failure: Failure) -> Iterator[tuple[Address, int]]:
    for jack, wire in facility.wires.items():
        if failure.cuts(wire.cable):
            yield jack, -1 if jack.row == "T" else 1
    for line in facility.lines.values():
        if failure.cuts(line.cable):
            end = line.target
            if isinstance(end, PortAddress):
                yield end, -1
            else:
                yield end, -1 if end.row == "T" else 1


def silenced_by(
    facility: Facility, failure: Failure, answer: Answer
) -> tuple[tuple[str, Thing | None], ...]:
    """What has failed beside boxes and which inputs are silent now, in one sentence that leads to
    the first of them."""
    if failure == Failure():
        return ()
    inputs = [
        PortAddress(box.id, port.id, "in")
        for box in facility.equipment.values()
        for port in box.inputs
    ]
    rest = ask(facility, Trial())
    silent = carrying(rest, inputs) - carrying(answer, inputs)
    named = [port for port in inputs if port in silent]
    words = [item_words(facility, item) for item in failed_items(failure)]
    what = listed([words[0], *(each[0].lower() + each[1:] for each in words[1:])])
    if not named:
        return ((f"{what}: no input is silent.", None),)
    names = listed([port_name(facility, port) for port in named])
    return ((f"{what}: silent now {names}.", named[0]),)


def failed_things(facility: Facility, item: Item) -> tuple[Thing, ...]:
    """What of the facility has failed with a bay, a place or a cable."""
    failure = with_failed(Failure(), item)
    boxes = tuple(Box(box) for box in failure.dead_boxes(facility))
    bays = failure.dead_bays(facility)
    jacks = tuple(j for bay in facility.bays.values() if bay.id in bays for j in bay.jacks())
    return (*boxes, *jacks, *(end for end, _ in _cut(facility, failure)))
