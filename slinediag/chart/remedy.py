"""What to do now that something has failed: the patches that an outage tells, plug by plug."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slinediag.chart.said import Remedy
from slinediag.tracing.outage.cost_words import cost_lines
from slinediag.tracing.outage.values import Outage, Step
from slinediag.tracing.outage.words import (
    NO_DUMMY,
    step_sentence,
    steps_by_hand,
    still_silent,
    without_patch,
)
from slinediag.tracing.phrases import counted

MOST_CORDS = 4
"""How many cords put in or pulled a chart tells; what is left is for the outage itself."""
NOTHING = "Nothing: no input falls silent."
NO_PATCH = "NO PATCH"
MORE = "{} can be brought back, too: the outage says how."


def remedy(outage: Outage) -> Remedy:
    """The first patches in steps, what they cost, and what has no patch.

    In the words of the outage, but for what each plug does to normals, which the chart shows.
    """
    if not outage.silenced:
        return Remedy((), (NOTHING,))
    facility = outage.facility
    told = _first(outage.together.steps)
    steps = steps_by_hand(told)
    sentences = tuple(step_sentence(facility, replace(step, acts=())) for step in steps)
    return Remedy(sentences, tuple(_beside(outage, told)))


def _first(steps: Sequence[Step]) -> Sequence[Step]:
    """The steps of the first patches that come to so many cords, each patch to its end."""
    cords, end = set[frozenset[object]](), 0
    for number, step in enumerate(steps, 1):
        cords.add(frozenset(step.cord))
        if len(cords) > MOST_CORDS:
            return steps[:end]
        if step.last:
            end = number
    return steps


def _beside(outage: Outage, told: Sequence[Step]) -> Iterator[str]:
    """What is said below the steps."""
    facility, together = outage.facility, outage.together
    if any(step.dummy for step in told):
        yield NO_DUMMY.strip()
    back = {port for step in told for port in step.restores}
    later = {port for step in together.steps[len(told) :] for port in step.restores}
    left = later.intersection(together.restores) - back
    if left:
        yield MORE.format(counted(len(left), "more input"))
    outcomes = tuple(outcome for outcome in together.outcomes if outcome.input in back)
    yield from cost_lines(facility, replace(together, outcomes=outcomes))
    yield from still_silent(facility, outage)
    yield from (f"{NO_PATCH}: {line}" for line in without_patch(facility, outage.silenced))
