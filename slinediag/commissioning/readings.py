"""The readings of a measuring point: between which contacts, with which plugs in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from slinediag.commissioning.bench import NOTHING, STATES, Ailment, Bench, Joined, State
from slinediag.commissioning.points import TIP_AND_RING, Shape

Purpose = Literal["normal", "line", "polarity", "isolation", "shield"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement: its code, its purpose, the plugs in, and the two contacts.

    Codes: ``N-T``, ``NA-T``, ``NAB-T``, ``NB-T`` the normal's tip with no plug, a plug in A, in
    both, in B; ``LA-T`` a plug's tip in A to the far end; ``PA`` the same tip to the other pole;
    ``IA-TR`` tip to ring; ``SA-N``, ``SA-F`` the shield at the jack and at the far end.
    """

    code: str
    purpose: Purpose
    state: State
    one: str
    other: str


@lru_cache(maxsize=1024)
def readings_of(shape: Shape) -> tuple[Reading, ...]:
    """All readings of points of a shape, in the order of fewest plugs put in and pulled."""
    return tuple(reading for state in STATES for reading in _in_state(shape, state))


def _in_state(shape: Shape, state: State) -> Iterator[Reading]:
    if shape.paired:
        for leg in TIP_AND_RING:
            yield Reading(f"N{state}-{leg}", "normal", state, f"A{leg}", f"B{leg}")
    for place in shape.places:
        if state != place or shape.across:
            continue
        wire = shape.wire(place)
        for leg in TIP_AND_RING:
            far = f"e{place}{leg}" if wire is not None else f"{place}{leg}"
            yield Reading(f"L{place}-{leg}", "line", place, f"p{place}{leg}", far)
        if wire is not None:
            yield Reading(f"P{place}", "polarity", place, f"p{place}T", f"e{place}R")
        for pair in ("TR", "TS", "RS") if wire is None or wire.balanced else ("TR", "TS"):
            ends = (f"p{place}{spring}" for spring in pair)
            yield Reading(f"I{place}-{pair}", "isolation", place, *ends)
        if wire is not None:
            yield Reading(f"S{place}-N", "shield", place, f"{place}S", f"h{place}")
            yield Reading(f"S{place}-F", "shield", place, f"h{place}", f"e{place}S")


@lru_cache(maxsize=1024)
def expected(shape: Shape) -> tuple[Joined, ...]:
    """What each reading of a point of this shape should be."""
    return read_with(shape, NOTHING)


def read_with(shape: Shape, ailment: Ailment) -> tuple[Joined, ...]:
    """What each reading is with an ailment."""
    bench = Bench(shape, ailment)
    return tuple(bench.joined(r.state, r.one, r.other) for r in readings_of(shape))
