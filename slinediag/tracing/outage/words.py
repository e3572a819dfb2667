"""An outage in plain sentences: what is silent, what to do plug by plug, what it costs."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name, labelled_jack
from slinediag.tracing.outage.cost_words import cost_lines, mind_lines
from slinediag.tracing.outage.failure import outage_command
from slinediag.tracing.outage.no_patch_words import cure_lines, tried_words, without_patch
from slinediag.tracing.outage.values import (
    EXCHANGED,
    Dummies,
    Heard,
    Manner,
    NormalAct,
    Outage,
    Outcome,
    Patch,
    SilencedInput,
    Stage,
    Step,
    Together,
    WeakenedInput,
)
from slinediag.tracing.phrases import ALL, NAMED, listed, port_names
from slinediag.tracing.values import CordEnds
from slinediag.tracing.words import at_jack, normal_name, on_bypass

NO_DUMMY = "No dummy plug at hand: one plug of a cord does it, its other kept off all metal."
ELSE = "HEARS SOMETHING ELSE:"
WEAKER = "WEAKENED, still heard:"
MORE = "HEARS MORE THAN BEFORE:"
BACK: dict[Manner, str] = {"all": "BACK", "part": "BACK IN PART", "instead": "BACK, BUT WITH"}
NO_PATCH = "NO PATCH"
COSTS = "WHAT IT COSTS"
WORKSHOP = "FOR THE WORKSHOP, another day"
MIND_FIRST = "MIND FIRST"
SEE = f"; see {COSTS}"
THEN: dict[Manner, str] = {
    "all": "Then these are back",
    "part": "Back in part",
    "instead": "Back, but with something else",
}


def outage_lines(outage: Outage) -> list[str]:
    """The whole answer, what matters most first."""
    facility = outage.facility
    names = list(_failed_names(outage))
    several = len(names) > 1 or bool(outage.failure.places)
    failed = f"{listed(names, ALL)} {'fail' if several else 'fails'}"
    passing = on_bypass(facility, outage.failure.dead_boxes(facility))
    if not outage.silenced:
        lines = [f"Nothing falls silent when {failed}.", *passing]
        return [*lines, *_weakened_lines(outage)]
    lines = [*passing, f"SILENT when {failed}:"]
    lines += [f"  {line}" for line in _silent_lines(facility, outage.missed)]
    lines += [f"  {line}" for line in nowhere_lines(outage)]
    lines += [f"  {line}" for line in on_standby(facility, outage.missed)]
    lines += _do_this(facility, outage.together.by_hand)
    lines += _still_silent(facility, outage)
    lines += _costs(facility, outage)
    lines += _no_patch(facility, outage.missed)
    lines += _other_ways(facility, outage)
    lines += cut_short_lines(facility, outage.moves, outage.missed)
    lines += _weakened_lines(outage)
    lines += _back(facility, outage.together)
    lines += _cures(facility, outage.missed)
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


def nowhere_lines(outage: Outage) -> Iterator[str]:
    """The silent inputs that need nothing, since they led into what has failed and nowhere else,
    and that no step brings back on the way to another."""
    back = {port for step in outage.together.steps for port in step.restores}
    unmissed = (each.input for each in outage.silenced if not each.missed)
    inputs = [port for port in unmissed if port not in back]
    yield from nothing_to_plug(outage.facility, inputs)


def nothing_to_plug(
    facility: Facility, inputs: Sequence[PortAddress], most: int = ALL
) -> Iterator[str]:
    """That these inputs need nothing, if there are any; beyond ``most`` they are counted."""
    if inputs:
        names = listed(port_names(facility, inputs), most)
        lead = "it leads" if len(inputs) == 1 else "they lead"
        yield f"Nothing to plug for {names}: {lead} only to what has failed."


def on_standby(facility: Facility, silenced: Iterable[SilencedInput]) -> Iterator[str]:
    """What is heard where all but standby sources is silent."""
    groups: dict[tuple[PortAddress, ...], list[PortAddress]] = {}
    for each in silenced:
        if each.hears_after:
            groups.setdefault(each.hears_after, []).append(each.input)
    for origins, inputs in groups.items():
        names, heard = listed(port_names(facility, inputs), ALL), port_names(facility, origins)
        yield f"{names}: {listed(heard)} heard there instead, on standby."


def _do_this(facility: Facility, stage: Stage) -> Iterator[str]:
    if not stage.steps:
        return
    minded = mind_lines(facility, stage)
    if minded:
        yield f"{MIND_FIRST}:"
        yield from (f"  {line}" for line in minded)
    yield "DO THIS:"
    yield from _numbered(step_sentence(facility, step) for step in stage.steps)
    if any(step.dummy for step in stage.steps):
        yield f"  {NO_DUMMY}"
    see = SEE if cost_lines(facility, stage) else ""
    yield from back_again(facility, stage.outcomes, see)


def back_again(
    facility: Facility, outcomes: Iterable[Outcome], see: str = "", most: int = ALL
) -> Iterator[str]:
    """Which inputs are back, and which of them only in part or with something else.

    ``see`` says of these where it stands what they lack; beyond ``most`` inputs are counted.
    """
    for manner, inputs in by_manner(outcomes).items():
        names = listed(port_names(facility, inputs), most)
        yield f"{THEN[manner]}: {names}{see if manner != 'all' else ''}."


def by_manner(outcomes: Iterable[Outcome]) -> dict[Manner, list[PortAddress]]:
    """The inputs that are back with all, those in part and those with something else."""
    groups: dict[Manner, list[PortAddress]] = {"all": [], "part": [], "instead": []}
    for outcome in outcomes:
        groups[outcome.heard.manner].append(outcome.input)
    return {manner: inputs for manner, inputs in groups.items() if inputs}


def _still_silent(facility: Facility, outage: Outage) -> Iterator[str]:
    for words in still_silent(facility, outage):
        yield f"{words} OTHER WAYS would do for each alone."


def still_silent(facility: Facility, outage: Outage) -> Iterator[str]:
    """The inputs that have a patch, but none that stands beside those of others, if there are."""
    back = set(outage.together.restores)
    left = [each.input for each in outage.missed if each.patches and each.input not in back]
    if left:
        yield f"STILL SILENT beside the others: {listed(port_names(facility, left), ALL)}."


def more_back(outage: Outage, inputs: str, told: Stage) -> str:
    """That these inputs can be brought back beside those of the patches told, and what to type."""
    too = ", too" if told.restores else ""
    return f"{inputs} can be brought back{too}: {outage_command(outage.facility, outage.failure)}"


def _numbered(sentences: Iterable[str]) -> Iterator[str]:
    return (f"  {number}. {sentence}" for number, sentence in enumerate(sentences, 1))


def step_sentence(facility: Facility, step: Step) -> str:
    """One step: the plug, the jack with its label, what it does, and what to beware of."""
    at = labelled_jack(facility, step.jack)
    clauses = list(_restored_clauses(facility, step))
    if step.interrupts:
        clauses.append(f"INTERRUPTS {listed(port_names(facility, step.interrupts), ALL)}")
    clauses += [_act_clause(facility, act) for act in step.acts]
    head = f"{_hand(facility, step)} {at}"
    text = f"{head}: {'; '.join(clauses)}." if clauses else f"{head}."
    return text if step.caution is None else f"{text} Mind: {step.caution}."


def _restored_clauses(facility: Facility, step: Step) -> Iterator[str]:
    """Whom a plug restores, those that hear the same of what they did together."""
    groups: dict[str, list[PortAddress]] = {}
    for heard in sorted(step.heard, key=lambda each: _by_priority(facility, each.input)):
        groups.setdefault(back_words(facility, heard), []).append(heard.input)
    for words, inputs in groups.items():
        yield f"{listed(port_names(facility, inputs), ALL)} {words}"


def _by_priority(facility: Facility, port: PortAddress) -> tuple[bool, int]:
    """Where an input stands among others: those of a high priority first, of none last."""
    priority = facility.facts(port).priority
    return priority is None, priority or 0


def back_words(facility: Facility, heard: Heard, *, loud: bool = True) -> str:
    """That an input is back, wholly, in part or with something else; ``loud`` in capitals."""
    words = BACK[heard.manner] if loud else BACK[heard.manner].lower()
    if heard.manner != "instead":
        return words
    return f"{words} {listed(port_names(facility, heard.now))}"


def _hand(facility: Facility, step: Step) -> str:
    """What the hand does, up to the jack."""
    if step.dummy:
        return "Pull the dummy plug from" if step.act == "pull" else "Put a dummy plug into"
    if step.act == "pull":
        return "Pull the cord's other plug from" if step.second else "Pull the plug from"
    if step.hangs is not None:
        return f"The other plug of the cord from {jack_name(facility, step.hangs)} in"
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
    lines = cost_lines(facility, outage.together.by_hand)
    if lines:
        yield f"{COSTS}:"
        yield from (f"  {line}" for line in lines)


def _no_patch(facility: Facility, silenced: tuple[SilencedInput, ...]) -> Iterator[str]:
    lines = without_patch(facility, silenced)
    if lines:
        yield f"{NO_PATCH}:"
        yield from (f"  {line}" for line in lines)


def _cures(facility: Facility, silenced: tuple[SilencedInput, ...]) -> Iterator[str]:
    lines = cure_lines(facility, silenced)
    if lines:
        yield f"{WORKSHOP}:"
        yield from (f"  {line}" for line in lines)


def _other_ways(facility: Facility, outage: Outage) -> Iterator[str]:
    """What else would do, best first, inputs that have the same ways in one line.

    What is to be noted of all ways of an input is said once.
    """
    done = _moved(outage.together.by_hand)
    groups: dict[str, list[PortAddress]] = {}
    for silenced in outage.missed:
        others = [patch for patch in silenced.patches if not _moved(patch) <= done]
        if others:
            noted = [_notes(facility, patch) for patch in others]
            shared = [note for note in noted[0] if len(noted) > 1 and all(note in n for n in noted)]
            clauses = dict.fromkeys(patch_clause(facility, patch, shared) for patch in others)
            ways = "; or ".join(clauses)
            words = f" ({'; '.join(shared)}): {ways}" if shared else f": {ways}"
            groups.setdefault(words, []).append(silenced.input)
    if groups:
        yield "OTHER WAYS, the best first:"
    for words, inputs in groups.items():
        yield f"  {listed(port_names(facility, inputs), ALL)}{words}"


def cut_short_lines(
    facility: Facility, moves: int, silenced: Iterable[SilencedInput]
) -> Iterator[str]:
    """Which inputs may have a better patch than those found."""
    inputs = [each.input for each in silenced if each.cut_short and each.patches]
    if inputs:
        names = listed(port_names(facility, inputs), ALL)
        tried = tried_words(moves)
        yield f"NOT EVERY {tried.upper()} was tried for {names}: there may be a better way."


def _moved(patch: Patch | Stage) -> set[frozenset[Jack]]:
    """The jacks of each cord put in or pulled; of a dummy plug in its place, that jack alone."""
    put = (patch.dummies.get(cord, cord) for cord in patch.cords)
    return {frozenset(jacks) for jacks in (*put, *patch.pulls)}


def patch_clause(facility: Facility, patch: Patch, but: Container[str] = ()) -> str:
    """A patch in one line, with what is to be noted of it, some notes left out."""
    parts = [f"pull {_cord(facility, cord)}" for cord in patch.pulls]
    parts += [cord_words(facility, cord, patch.dummies) for cord in patch.cords]
    notes = [note for note in _notes(facility, patch) if note not in but]
    return ", ".join(parts) + (f" ({'; '.join(notes)})" if notes else "")


def _notes(facility: Facility, patch: Patch) -> list[str]:
    notes = [] if patch.full else ["not all it heard"]
    if patch.heard.manner == "instead":
        notes = [f"{listed(port_names(facility, patch.heard.now))} instead"]
    if patch.exchanged:
        notes.append(EXCHANGED)
    if not patch.fits and patch.level_change is not None:
        notes.append(f"level {patch.level_change:+.1f} dB")
    if patch.harmed_by_hand:
        notes.append(f"HARMS {listed(port_names(facility, patch.harmed_by_hand))}")
    return notes


def cord_words(facility: Facility, cord: CordEnds, dummies: Dummies) -> str:
    """A cord put in, or the dummy plugs that do as well."""
    if cord not in dummies:
        return _cord(facility, cord)
    jacks = [jack_name(facility, jack) for jack in dummies[cord]]
    return f"{dummy_words(cord, dummies)} {' and '.join(jacks)}"


def dummy_words(cord: CordEnds, dummies: Dummies) -> str:
    """What stands before the jacks of a cord that dummy plugs can replace; else nothing."""
    return ("", "a dummy plug in", "dummy plugs in")[len(dummies.get(cord, ()))]


def _cord(facility: Facility, cord: CordEnds) -> str:
    return " to ".join(jack_name(facility, jack) for jack in cord)


def _weakened_lines(outage: Outage) -> list[str]:
    facility = outage.facility
    groups = _weakened_groups(facility, (*outage.weakened, *outage.gaining))
    lines = []
    for head in (ELSE, WEAKER, MORE):
        told = groups.get(head, {})
        lines += [head] if told else []
        for words, inputs in told.items():
            most = NAMED if head == WEAKER else ALL
            lines.append(f"  {listed(port_names(facility, inputs), most)}: {words}.")
    return lines


def heard_else(outage: Outage, *, ranked: bool = False) -> Iterator[str]:
    """The inputs that hear something in place of what they heard, or beside it.

    ``ranked``: only those of a priority.
    """
    changed = (*outage.weakened, *outage.gaining)
    yield from else_lines(outage.facility, changed, ranked=ranked)


def else_lines(
    facility: Facility, weakened: Iterable[WeakenedInput], *, ranked: bool = False
) -> Iterator[str]:
    """Those of these inputs that hear something in place of what they heard, or beside it."""
    groups = _weakened_groups(facility, weakened)
    for head in (ELSE, MORE):
        for words, inputs in groups.get(head, {}).items():
            told = [p for p in inputs if not ranked or facility.facts(p).priority is not None]
            if told:
                yield f"{head} {listed(port_names(facility, told), ALL)}: {words}."


def weakened_sentence(facility: Facility, weakened: WeakenedInput) -> str:
    """What one input hears that the failure leaves something."""
    head, words = _weakened_words(facility, weakened)
    return f"{head} {listed(port_names(facility, [weakened.input]))}: {words}."


def _weakened_groups(
    facility: Facility, weakened: Iterable[WeakenedInput]
) -> dict[str, dict[str, list[PortAddress]]]:
    """Inputs that the failure leaves something, by heading and by what is said of them."""
    groups: dict[str, dict[str, list[PortAddress]]] = {}
    for each in weakened:
        head, words = _weakened_words(facility, each)
        groups.setdefault(head, {}).setdefault(words, []).append(each.input)
    return groups


def _weakened_words(facility: Facility, weakened: WeakenedInput) -> tuple[str, str]:
    """Under which heading an input stands that the failure leaves something, and what it hears."""
    lost, gained = (
        listed(port_names(facility, ports)) for ports in (weakened.lost, weakened.gained)
    )
    if not lost:
        return MORE, gained
    if not gained:
        return WEAKER, f"without {lost}"
    if weakened.hears == weakened.gained:
        return ELSE, f"{gained} instead of {lost}"
    return ELSE, f"{gained}, too; without {lost}"


def _back(facility: Facility, together: Together) -> Iterator[str]:
    if together.back_by_hand:
        yield "ONCE IT IS MENDED:"
        yield from _numbered(step_sentence(facility, step) for step in together.back_by_hand)
