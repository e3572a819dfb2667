"""What to do now that something has failed: the patches that an outage tells, plug by plug."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from slinediag.chart.said import Remedy
from slinediag.tracing.outage.cost_words import cost_lines, mind_lines
from slinediag.tracing.outage.no_patch_words import without_patch
from slinediag.tracing.outage.values import FEW, Outage, Stage
from slinediag.tracing.outage.words import (
    NO_DUMMY,
    NO_PATCH,
    cut_short_lines,
    heard_else,
    more_back,
    nowhere_lines,
    on_standby,
    step_sentence,
    still_silent,
)
from slinediag.tracing.phrases import counted

MOST_CORDS = FEW
"""How many cords put in or pulled a chart tells; what is left is for the command."""
NOTHING = "Nothing: no input of working equipment falls silent."
NOTHING_MORE = (
    "Nothing more: as the trial stands, no further input of working equipment falls silent."
)
ONCE_FILED = "With what is tried put into the file: "
"""Before a command that takes no trial."""


def remedy(outage: Outage, *, tried: bool = False) -> Remedy:
    """The first patches in steps, what they cost, and what has no patch; cautions come first.

    In the words of the outage, but for what each plug does to normals, which the chart shows.
    ``tried``: whether plugs of a trial, which may silence inputs themselves, are in or out before.
    """
    facility = outage.facility
    if not outage.silenced:
        nothing = NOTHING_MORE if tried else NOTHING
        return Remedy((), (nothing, *heard_else(outage)))
    told = outage.together.first(MOST_CORDS)
    steps = tuple(step_sentence(facility, replace(step, acts=())) for step in told.steps)
    return Remedy(steps, tuple(_beside(outage, told, tried)), tuple(mind_lines(facility, told)))


def _beside(outage: Outage, told: Stage, tried: bool) -> Iterator[str]:
    """What is said below the steps."""
    facility, silenced = outage.facility, outage.missed
    if any(step.dummy for step in told.steps):
        yield NO_DUMMY
    back = set(told.restores)
    left = set(outage.together.restores) - back
    if left:
        first = ONCE_FILED if tried else ""
        yield f"{first}{more_back(outage, counted(len(left), 'more input'), told)}"
    yield from cost_lines(facility, told)
    yield from still_silent(facility, outage)
    yield from (f"{NO_PATCH}: {line}" for line in without_patch(facility, silenced))
    yield from nowhere_lines(outage)
    yield from on_standby(facility, [each for each in silenced if each.input not in back])
    known = [each for each in silenced if each.input in back]
    yield from cut_short_lines(facility, outage.moves, known)
    yield from heard_else(outage)
