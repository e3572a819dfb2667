"""What to mind of an outage's patches, and what they cost, in plain sentences."""

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

TRIM = 20.0
"""dB that the control of a line input makes up for. Source: common practice, none published."""
OF_HEARING = (OTHER_MIX, EXCHANGED)
"""How cautions begin that say what is heard: costs, told with those."""


def cost_lines(facility: Facility, stage: Stage) -> list[str]:
    """Harm, and what is heard less or otherwise."""
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
    levels that do not fit, there and on the way, and what goes without the boxes gone round."""
    steps = told.by_hand if isinstance(told, Patch) else told.steps
    hot = [
        f"{jack_name(facility, step.jack)}: {step.caution}."
        for step in steps
        if step.caution is not None and PHANTOM in step.caution
    ]
    others = (each for each in lasting(facility, told) if not each.startswith(OF_HEARING))
    lasts = (caution_sentence(facility, each) for each in others)
    return [*dict.fromkeys(hot), *_level_lines(facility, told), *lasts]


def _level_lines(facility: Facility, told: Stage | Patch) -> Iterator[str]:
    """The levels that do not fit at the inputs restored, those of one level in one line."""
    changes = (
        [(told.heard.input, told.fits, told.level_change)]
        if isinstance(told, Patch)
        else [(each.input, each.fits, each.level_change) for each in told.outcomes]
    )
    groups: dict[str, list[PortAddress]] = {}
    for port, fits, change in changes:
        if not fits and change is not None:
            between = "a preamplifier" if change < 0 else "a pad"
            more = f", or put {between} between" if abs(change) > TRIM else ""
            words = f"level {change:+.1f} dB. Set it before it goes out{more}."
            groups.setdefault(words, []).append(port)
    for words, ports in groups.items():
        yield f"{listed(port_names(facility, ports), ALL)}: {words}"


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

    Those of a plug are told with its step, the level of an input restored by itself.
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
