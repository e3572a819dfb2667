"""What the patches of an outage cost, in plain sentences: harm, what is heard less, levels."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.outage.values import (
    EXCHANGED,
    OTHER_MIX,
    PHANTOM,
    Outcome,
    Patch,
    Stage,
    Sufferer,
)
from slinediag.tracing.phrases import ALL, listed, port_names

OF_HEARING = (OTHER_MIX, EXCHANGED)
"""How cautions begin that say what is heard: costs, told with those."""


def cost_lines(facility: Facility, stage: Stage) -> list[str]:
    """Harm, what is heard less or otherwise, levels of inputs restored."""
    groups: dict[str, list[PortAddress]] = {}
    for sufferer in stage.sufferers:
        words = "; ".join(_suffering(facility, sufferer))
        groups.setdefault(f"SUFFERS, {words}.", []).append(sufferer.input)
    for outcome in stage.outcomes:
        for text in _outcome_clauses(facility, outcome):
            groups.setdefault(text, []).append(outcome.input)
    lines = [
        f"{listed(port_names(facility, inputs), ALL)}: {text}" for text, inputs in groups.items()
    ]
    others = (each for each in lasting(facility, stage) if each.startswith(OF_HEARING))
    return [*lines, *(caution_sentence(facility, each) for each in others)]


def mind_lines(facility: Facility, told: Stage | Patch) -> list[str]:
    """What has to be minded before the first plug moves: phantom power at the jacks of any step,
    levels that do not fit on the way, and what goes without the boxes gone round."""
    steps = told.by_hand if isinstance(told, Patch) else told.steps
    hot = [
        f"{jack_name(facility, step.jack)}: {step.caution}."
        for step in steps
        if step.caution is not None and PHANTOM in step.caution
    ]
    others = (each for each in lasting(facility, told) if not each.startswith(OF_HEARING))
    return [*dict.fromkeys(hot), *(caution_sentence(facility, each) for each in others)]


def _suffering(facility: Facility, sufferer: Sufferer) -> Iterator[str]:
    """What an input has of it that patches harm."""
    if sufferer.tied:
        yield f"{listed(port_names(facility, sufferer.tied))} tied together there"
    if sufferer.silent:
        yield "silent"
    elif sufferer.lost:
        yield f"without {listed(port_names(facility, sufferer.lost))}"
    if sufferer.stray:
        yield f"{listed(port_names(facility, sufferer.stray))} heard there"


def lasting(facility: Facility, stage: Stage | Patch) -> Iterator[str]:
    """The cautions that hold once all is patched.

    Those of a plug are told with its step, the level of an input restored with what it lacks.
    """
    outcomes = () if isinstance(stage, Patch) else stage.outcomes
    off = [outcome.input for outcome in outcomes if not outcome.fits]
    told = [f" dB at {name}: " for name in port_names(facility, off)]
    return (
        caution
        for caution in stage.cautions
        if PHANTOM not in caution and not any(at in caution for at in told)
    )


def caution_sentence(facility: Facility, caution: str) -> str:
    """A patch's caution as a sentence; a box that is gone round is called by its label."""
    box, _, words = caution.partition(": ")
    if box in facility.equipment:
        return f"Without {facility.equipment[box].printed}: {words}."
    return f"{caution[0].upper()}{caution[1:]}."


def _outcome_clauses(facility: Facility, outcome: Outcome) -> Iterator[str]:
    """What an input lacks once all is patched: the shorter of what is gone and what is left."""
    heard, hears = outcome.heard, listed(port_names(facility, outcome.hears))
    missing = listed(port_names(facility, outcome.missing))
    if heard.manner == "instead" and not heard.mix:
        yield f"only {hears} heard there, instead of {missing}."
    elif outcome.missing and len(outcome.missing) < len(outcome.hears):
        yield f"without {missing}."
    elif outcome.missing:
        yield f"only {hears} heard there."
    if outcome.gained and (heard.manner != "instead" or heard.mix):
        yield f"{listed(port_names(facility, outcome.gained))} heard there, too."
    if not outcome.fits and outcome.level_change is not None:
        yield f"level {outcome.level_change:+.1f} dB. Set it before it goes out."
