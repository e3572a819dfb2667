"""An outage in plain sentences: what is silent, what to do plug by plug, what it costs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.tracing.outage.values import (
    NormalAct,
    Outage,
    Outcome,
    Patch,
    SilencedInput,
    Step,
    Together,
)
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.values import CordEnds
from slinediag.tracing.words import at_jack, normal_name

NONE_FOUND = "none found, but not every pair of cords was tried"
ALL = 10**6
"""Names are never counted where someone must act on them."""


def outage_lines(outage: Outage) -> list[str]:
    """The whole answer, what matters most first."""
    facility = outage.facility
    names = list(_failed_names(outage))
    several = len(names) > 1 or bool(outage.failure.places)
    failed = f"{listed(names, ALL)} {'fail' if several else 'fails'}"
    if not outage.silenced:
        lines = [f"Nothing falls silent when {failed}."]
        return [*lines, *_weakened_lines(outage)]
    lines = [f"SILENT when {failed}:"]
    lines += [f"  {line}" for line in _silent_lines(facility, outage.silenced)]
    lines += _do_this(facility, outage.together)
    lines += _costs(facility, outage)
    lines += _no_patch(facility, outage.silenced)
    lines += _other_ways(facility, outage)
    lines += _cut_short(facility, outage.silenced)
    lines += _weakened_lines(outage)
    lines += _back(facility, outage.together)
    return lines


def _failed_names(outage: Outage) -> Iterator[str]:
    facility, failure = outage.facility, outage.failure
    yield from (facility.equipment[box].printed for box in failure.boxes)
    yield from (f"bay {facility.bays[bay].printed}" for bay in failure.bays)
    yield from (f"all at {place}" for place in failure.places)
    yield from (f"cable {cable}" for cable in failure.cables)


def _silent_lines(facility: Facility, silenced: tuple[SilencedInput, ...]) -> Iterator[str]:
    """One line for each priority."""
    groups: dict[int | None, list[PortAddress]] = {}
    for each in silenced:
        groups.setdefault(each.priority, []).append(each.input)
    for priority, inputs in groups.items():
        names = listed(port_names(facility, inputs), ALL)
        yield f"priority {priority}: {names}" if priority is not None else names


def _do_this(facility: Facility, together: Together) -> Iterator[str]:
    if not together.steps:
        return
    yield "DO THIS:"
    yield from _numbered(step_sentence(facility, step) for step in together.steps)
    yield f"Then these are back: {listed(port_names(facility, together.restores), ALL)}."


def _numbered(sentences: Iterable[str]) -> Iterator[str]:
    return (f"  {number}. {sentence}" for number, sentence in enumerate(sentences, 1))


def step_sentence(facility: Facility, step: Step) -> str:
    """One step: the plug, the jack with its label, what it does, and what to beware of."""
    label = jack_label(facility, step.jack)
    at = jack_name(facility, step.jack) + (f" ({label})" if label else "")
    clauses = []
    if step.restores:
        clauses.append(f"{listed(port_names(facility, step.restores), ALL)} BACK")
    if step.interrupts:
        clauses.append(f"INTERRUPTS {listed(port_names(facility, step.interrupts), ALL)}")
    clauses += [_act_clause(facility, act) for act in step.acts]
    head = f"{_hand(step)} {at}"
    text = f"{head}: {'; '.join(clauses)}." if clauses else f"{head}."
    return f"{text} Mind: {step.caution}." if step.caution else text


def _hand(step: Step) -> str:
    """What the hand does, up to the jack."""
    if step.act == "pull":
        return "Pull the cord's other plug from" if step.second else "Pull the plug from"
    if step.second:
        return "The cord's other plug in"
    return f"Plug a {step.length:g} m cord into" if step.length is not None else "Plug in"


def _act_clause(facility: Facility, act: NormalAct) -> str:
    name = normal_name(facility, act.normal)
    source, target = (at_jack(facility, j) for j in (act.normal.source, act.normal.target))
    if act.effect == "taps":
        return f"taps the {name}, {target} keeps {source}"
    if act.effect == "breaks":
        return f"breaks the {name}, {source} no longer reaches {target} that way"
    if act.effect == "closes":
        return f"the {name} closes, {source} reaches {target} again"
    return f"the {name} is open already"


def _costs(facility: Facility, outage: Outage) -> Iterator[str]:
    lines = cost_lines(facility, outage.together)
    if lines:
        yield "WHAT IT COSTS:"
        yield from (f"  {line}" for line in lines)


def cost_lines(facility: Facility, together: Together) -> list[str]:
    """Harm, what is heard less, levels, and what goes without the boxes gone round."""
    lines = [f"{name} suffers." for name in port_names(facility, together.harmed)]
    groups: dict[str, list[PortAddress]] = {}
    for outcome in together.outcomes:
        for text in _outcome_clauses(facility, outcome):
            groups.setdefault(text, []).append(outcome.input)
    lines += [
        f"{listed(port_names(facility, inputs), ALL)}: {text}" for text, inputs in groups.items()
    ]
    off = [outcome.input for outcome in together.outcomes if not outcome.fits]
    told = [f" dB at {name}: " for name in port_names(facility, off)]
    lines += [caution_sentence(facility, each) for each in _lasting(together.cautions, told)]
    return lines


def _lasting(cautions: Iterable[str], told: Sequence[str]) -> Iterator[str]:
    """The cautions that hold once all is patched.

    Those of a plug are told with its step, the level of an input restored with what it lacks.
    """
    return (
        caution
        for caution in cautions
        if "phantom power from" not in caution and not any(at in caution for at in told)
    )


def caution_sentence(facility: Facility, caution: str) -> str:
    """A patch's caution as a sentence; a box that is gone round is called by its label."""
    box, _, words = caution.partition(": ")
    if box in facility.equipment:
        return f"Without {facility.equipment[box].printed}: {words}."
    return f"{caution[0].upper()}{caution[1:]}."


def _outcome_clauses(facility: Facility, outcome: Outcome) -> Iterator[str]:
    """What an input lacks once all is patched: the shorter of what is gone and what is left."""
    if outcome.missing and len(outcome.missing) < len(outcome.hears):
        yield f"without {listed(port_names(facility, outcome.missing))}."
    elif outcome.missing:
        yield f"only {listed(port_names(facility, outcome.hears))} heard there."
    if not outcome.fits and outcome.level_change is not None:
        yield f"level {outcome.level_change:+.1f} dB. Set it before it goes out."


def _no_patch(facility: Facility, silenced: tuple[SilencedInput, ...]) -> Iterator[str]:
    lines = without_patch(facility, silenced)
    if lines:
        yield "NO PATCH:"
        yield from (f"  {line}" for line in lines)


def without_patch(facility: Facility, silenced: Iterable[SilencedInput]) -> list[str]:
    """Inputs that no patch restores, those of one reason in one line, with what would cure it."""
    groups: dict[tuple[str, str], list[PortAddress]] = {}
    for each in silenced:
        if each.reason is not None:
            reason = NONE_FOUND if each.cut_short else reason_words(each.reason)
            groups.setdefault((reason, each.cure or ""), []).append(each.input)
    return [
        f"{listed(port_names(facility, inputs), ALL)}: {reason}. {cure}".strip()
        for (reason, cure), inputs in groups.items()
    ]


def reason_words(reason: str) -> str:
    """Why there is no patch, for a person: a move is a cord put in or pulled."""
    return re.sub(
        r"^no (\d) moves restore it$", r"no \1 cords, put in or pulled, bring it back", reason
    )


def _other_ways(facility: Facility, outage: Outage) -> Iterator[str]:
    """What else would do, one line for each input, best first."""
    done = {frozenset(cord) for cord in (*outage.together.cords, *outage.together.pulls)}
    lines = []
    for silenced in outage.silenced:
        others = [patch for patch in silenced.patches if not _moved(patch) <= done]
        if others:
            name = listed(port_names(facility, [silenced.input]))
            clauses = "; or ".join(patch_clause(facility, patch) for patch in others)
            lines.append(f"  {name}: {clauses}")
    if lines:
        yield "OTHER WAYS, the best first:"
        yield from lines


def _cut_short(facility: Facility, silenced: Iterable[SilencedInput]) -> Iterator[str]:
    """Which inputs may have a better patch than those found."""
    inputs = [each.input for each in silenced if each.cut_short and each.patches]
    if inputs:
        names = listed(port_names(facility, inputs), ALL)
        yield f"NOT EVERY PAIR OF CORDS was tried for {names}: there may be a better way."


def _moved(patch: Patch) -> set[frozenset[Jack]]:
    return {frozenset(cord) for cord in (*patch.cords, *patch.pulls)}


def patch_clause(facility: Facility, patch: Patch) -> str:
    """A patch in one line."""
    parts = [f"pull {_cord(facility, cord)}" for cord in patch.pulls]
    parts += [_cord(facility, cord) for cord in patch.cords]
    notes = [] if patch.full else ["not all it heard"]
    if patch.exchanged:
        notes.append("left and right exchanged")
    if not patch.fits and patch.level_change is not None:
        notes.append(f"level {patch.level_change:+.1f} dB")
    if patch.harmed:
        notes.append(f"HARMS {listed(port_names(facility, patch.harmed))}")
    return ", ".join(parts) + (f" ({'; '.join(notes)})" if notes else "")


def _cord(facility: Facility, cord: CordEnds) -> str:
    return " to ".join(jack_name(facility, jack) for jack in cord)


def _weakened_lines(outage: Outage) -> list[str]:
    facility = outage.facility
    if not outage.weakened:
        return []
    groups: dict[tuple[PortAddress, ...], list[PortAddress]] = {}
    for weakened in outage.weakened:
        groups.setdefault(weakened.lost, []).append(weakened.input)
    lines = ["WEAKENED, still heard:"]
    for lost, inputs in groups.items():
        gone = listed(port_names(facility, lost))
        lines.append(f"  {listed(port_names(facility, inputs))}: without {gone}.")
    return lines


def _back(facility: Facility, together: Together) -> Iterator[str]:
    if together.steps_back:
        yield "ONCE IT IS MENDED:"
        yield from _numbered(step_sentence(facility, step) for step in together.steps_back)
