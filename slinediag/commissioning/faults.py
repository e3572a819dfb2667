"""What can be wrong at a measuring point, each with the ailment of contacts it comes to.

The weights order causes that the readings cannot tell apart, the commonest first: contacts get
dirty more often than wires break, and wires break more often than they were never right. Common
practice, from memory; no count stands behind them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.commissioning.bench import NOTHING, Ailment, Joined, together
from slinediag.commissioning.points import TIP_AND_RING, Leg, Place, Shape, own_joints
from slinediag.commissioning.readings import expected, read_with
from slinediag.model.bay import NormalKind

CauseKind = Literal[
    "break contact oxidised",
    "break contact not closing",
    "break contact not opening",
    "spring oxidised",
    "spring not meeting",
    "leg open",
    "legs swapped",
    "legs shorted",
    "shield lifted",
    "shield joined",
    "another normal",
    "normal leg open",
    "normal legs swapped",
    "wire elsewhere",
]

WEIGHTS: dict[CauseKind, int] = {
    "break contact oxidised": 1,
    "spring oxidised": 1,
    "break contact not closing": 2,
    "shield lifted": 2,
    "shield joined": 2,
    "leg open": 3,
    "legs swapped": 3,
    "another normal": 3,
    "break contact not opening": 4,
    "normal leg open": 4,
    "spring not meeting": 4,
    "legs shorted": 4,
    "wire elsewhere": 5,
    "normal legs swapped": 6,
}

COMES_AND_GOES: frozenset[CauseKind] = frozenset(
    {
        "break contact oxidised",
        "break contact not closing",
        "break contact not opening",
        "spring oxidised",
        "spring not meeting",
        "leg open",
        "legs shorted",
        "normal leg open",
    }
)
"""What may be there one moment and gone the next; a wiring error stands."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong: its kind, the jack, the leg or legs or springs, the normal."""

    kind: CauseKind
    place: Place | None = None
    legs: str = ""
    normal: NormalKind | None = None


@lru_cache(maxsize=1024)
def causes_of(shape: Shape) -> tuple[tuple[Cause, Ailment], ...]:
    """Every cause that shows in a reading of this shape, the likeliest first."""
    found = [
        (cause, ailment)
        for cause, ailment in _causes(shape)
        if read_with(shape, ailment) != expected(shape)
    ]
    return tuple(sorted(found, key=lambda c: WEIGHTS[c[0].kind]))


def _causes(shape: Shape) -> Iterator[tuple[Cause, Ailment]]:
    for place in shape.places:
        yield from _contact_causes(shape, place)
        yield from _line_causes(shape, place)
    if not shape.paired:
        return
    kinds: tuple[NormalKind, ...] = ("half", "full", "reverse-half", "parallel", "none")
    for kind in kinds:
        if kind != shape.kind:
            yield Cause("another normal", normal=kind), Ailment(kind=kind)
    for leg, (one, other) in zip(TIP_AND_RING, own_joints(shape.kind), strict=False):
        yield Cause("normal leg open", legs=leg), Ailment(contacts={f"{one}-{other}": "open"})
    yield Cause("normal legs swapped"), Ailment(crossed=frozenset("N"))


def breaks_at(shape: Shape, place: Place) -> bool:
    """Whether a plug in the jack is to break the point's normal."""
    return broken_by_source(shape.kind) if place == "A" else broken_by_target(shape.kind)


def _contact_causes(shape: Shape, place: Place) -> Iterator[tuple[Cause, Ailment]]:
    """Break contacts and springs of one jack, a leg at a time, and both legs at once."""
    for legs in ((leg,) for leg in TIP_AND_RING):
        yield from _contacts(shape, place, legs)
    yield from _contacts(shape, place, TIP_AND_RING)


def _contacts(shape: Shape, place: Place, legs: tuple[Leg, ...]) -> Iterator[tuple[Cause, Ailment]]:
    words = "".join(legs)
    breaks = [f"{place}{leg}-{place}{leg}N" for leg in legs]
    if breaks_at(shape, place):
        yield (
            Cause("break contact oxidised", place, words),
            Ailment(contacts=dict.fromkeys(breaks, "high")),
        )
        yield (
            Cause("break contact not closing", place, words),
            Ailment(contacts=dict.fromkeys(breaks, "open")),
        )
        yield (
            Cause("break contact not opening", place, words),
            Ailment(contacts=dict.fromkeys(breaks, "stuck")),
        )
    springs = [f"p{place}{leg}-{place}{leg}" for leg in legs]
    yield Cause("spring oxidised", place, words), Ailment(contacts=dict.fromkeys(springs, "high"))
    yield (
        Cause("spring not meeting", place, words),
        Ailment(contacts=dict.fromkeys(springs, "open")),
    )


def _line_causes(shape: Shape, place: Place) -> Iterator[tuple[Cause, Ailment]]:
    wire = shape.wire(place)
    for pair in ("TR", "TS", "RS"):
        short = (f"{place}{pair[0]}", f"{place}{pair[1]}")
        yield Cause("legs shorted", place, pair), Ailment(joins=(short,))
    if wire is None:
        return
    for leg in TIP_AND_RING:
        yield (
            Cause("leg open", place, leg),
            Ailment(contacts={f"e{place}{leg}-{place}{leg}": "open"}),
        )
    both: Ailment = Ailment(
        contacts={f"e{place}{leg}-{place}{leg}": "open" for leg in TIP_AND_RING}
    )
    yield Cause("leg open", place, "TR"), both
    elsewhere = tuple((f"e{place}{leg}", f"x{place}{leg}") for leg in TIP_AND_RING)
    yield Cause("wire elsewhere", place), Ailment(contacts=both.contacts, joins=elsewhere)
    yield Cause("legs swapped", place), Ailment(crossed=frozenset(place))
    near, far = (f"{place}S", f"h{place}"), (f"h{place}", f"e{place}S")
    for ends, joined, word in ((near, wire.joined_near, "N"), (far, wire.joined_far, "F")):
        if joined:
            lifted = Ailment(contacts={"-".join(ends): "open"})
            yield Cause("shield lifted", place, word), lifted
        else:
            yield Cause("shield joined", place, word), Ailment(joins=(ends,))


@dataclass(frozen=True, slots=True)
class Explanation:
    """One cause or two together, the ailment they come to, and what each reading would be."""

    causes: tuple[Cause, ...]
    ailment: Ailment
    reads: tuple[Joined, ...]

    @property
    def weight(self) -> int:
        """What the likeliest has least of."""
        return sum(WEIGHTS[cause.kind] for cause in self.causes)


@lru_cache(maxsize=1024)
def single_causes(shape: Shape) -> tuple[Explanation, ...]:
    """Nothing wrong, then every single cause, the likeliest first."""
    return (
        Explanation((), NOTHING, expected(shape)),
        *(Explanation((c,), a, read_with(shape, a)) for c, a in causes_of(shape)),
    )


@lru_cache(maxsize=256)
def pairs_of_causes(shape: Shape) -> tuple[Explanation, ...]:
    """Every two causes that can be at once, the likeliest first."""
    known = causes_of(shape)
    found = []
    for n, (one, ails) in enumerate(known):
        for other, fails in known[n + 1 :]:
            both = together(ails, fails)
            if both is not None:
                found.append(Explanation((one, other), both, read_with(shape, both)))
    return tuple(sorted(found, key=lambda e: e.weight))
