"""What to measure next to tell causes apart that the readings so far leave tied."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slinediag.commissioning.bench import Bench, Joined
from slinediag.commissioning.faults import Explanation
from slinediag.commissioning.points import TIP_AND_RING, Shape, own_joints
from slinediag.commissioning.readings import Reading, readings_of

WEIGHED = 24
"""How many of the tied causes a test is chosen for, the likeliest."""


@dataclass(frozen=True, slots=True)
class NextTest:
    """A measurement, and which of the tied explanations, by number, each outcome leaves.

    ``planned`` where it is a reading of the sheet that was not taken.
    """

    reading: Reading
    planned: bool
    outcomes: tuple[tuple[Joined, tuple[int, ...]], ...]


def next_test(shape: Shape, tied: Sequence[Explanation], missing: Sequence[str]) -> NextTest | None:
    """The measurement that leaves the fewest tied at worst; None where none tells any apart.

    Readings of the sheet that were not taken come first where they tell as much.
    """
    tied = tied[:WEIGHED]
    benches = [Bench(shape, explanation.ailment) for explanation in tied]
    best: NextTest | None = None
    least = len(tied)
    for reading, planned in _choice(shape, missing):
        groups: dict[Joined, list[int]] = {}
        for n, bench in enumerate(benches):
            outcome = bench.joined(reading.state, reading.one, reading.other)
            groups.setdefault(outcome, []).append(n)
        worst = max(map(len, groups.values()), default=0)
        if worst < least:
            least = worst
            order: tuple[Joined, ...] = ("closed", "high", "open")
            outcomes = tuple((o, tuple(groups[o])) for o in order if o in groups)
            best = NextTest(reading, planned, outcomes)
    return best


def _choice(shape: Shape, missing: Sequence[str]) -> Iterator[tuple[Reading, bool]]:
    """Readings not taken, then probes at the rear of the jacks and at the far end of lines."""
    yield from ((r, True) for r in readings_of(shape) if r.code in missing)
    yield from ((r, False) for r in _probes(shape))


def _probes(shape: Shape) -> Iterator[Reading]:
    for place in shape.places:
        for leg in TIP_AND_RING:
            spring = f"{place}{leg}"
            yield Reading("rear", "normal", "", spring, f"{spring}N")
            yield Reading("rear", "normal", place, spring, f"{spring}N")
            yield Reading("rear", "line", place, f"p{spring}", spring)
            if shape.wire(place) is not None:
                yield Reading("rear", "line", place, f"e{spring}", spring)
        if shape.wire(place) is not None:
            yield Reading("tone", "line", "", f"e{place}T", f"x{place}T")
    if shape.paired:
        for one, other in own_joints(shape.kind):
            yield Reading("rear", "normal", "AB", one, other)
