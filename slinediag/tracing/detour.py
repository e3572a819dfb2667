"""Equipment that a trial's patch goes round, though it did something for safety or the law."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slinediag.address import PortAddress
from slinediag.tracing.hearing import Hearing, bits


@dataclass(frozen=True, slots=True)
class GoneRound:
    """A box that audio passed on its way to some inputs and now does not."""

    equipment: str
    inputs: tuple[PortAddress, ...]


def boxes_behind(
    hearing: Hearing, inputs: tuple[PortAddress, ...], number: int, feeds: Mapping[int, int]
) -> set[str]:
    """The boxes whose paths lead to an input; ``feeds`` are those that differ from rest."""
    seen, queue = {number}, [number]
    for entry in queue:
        for output in bits(feeds.get(entry, hearing.feeds[entry])):
            for before in hearing.inputs_behind(output):
                if before not in seen:
                    seen.add(before)
                    queue.append(before)
    return {inputs[entry].equipment for entry in seen - {number}}


def gone_round(
    hearing: Hearing,
    inputs: tuple[PortAddress, ...],
    cautioned: frozenset[str],
    feeds: Mapping[int, int],
    hears: Mapping[int, int],
) -> tuple[GoneRound, ...]:
    """The boxes of ``cautioned`` that inputs with other feeds now hear without, by their ids.

    ``feeds`` and ``hears`` are by input number what differs from rest. An input that hears
    nothing goes round nothing.
    """
    found: dict[str, list[PortAddress]] = {}
    for number in sorted(feeds):
        if not cautioned or not hears.get(number, hearing.hears[number]):
            continue
        before = boxes_behind(hearing, inputs, number, {})
        after = boxes_behind(hearing, inputs, number, feeds)
        for box in sorted((before - after) & cautioned):
            found.setdefault(box, []).append(inputs[number])
    return tuple(GoneRound(box, tuple(found[box])) for box in sorted(found))
