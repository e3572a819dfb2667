"""An answer in plain sentences, for a person who reads them once and under pressure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slinediag.address import Jack, PortAddress
from slinediag.model.bay import NormalKind
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_label, jack_name, labelled_jack
from slinediag.tracing.line_words import line_sentences
from slinediag.tracing.phantom_words import phantom_sentences
from slinediag.tracing.phrases import NAMED as NAMED
from slinediag.tracing.phrases import listed as listed
from slinediag.tracing.phrases import port_name as port_name
from slinediag.tracing.phrases import port_names as port_names
from slinediag.tracing.shield_words import shield_sentences
from slinediag.tracing.values import Act, Answer, Change, InputOutcome, PlugStep

GROUPED = 8
"""How many inputs a sentence names before it counts the rest."""

UNRANKED = 1_000_000
"""Behind every priority."""

WORST_FIRST: tuple[Change, ...] = ("doubled", "lost", "altered", "gained", "rerouted", "unchanged")

Difference = tuple[Change, tuple[PortAddress, ...], tuple[PortAddress, ...]]
"""A change with the origins no longer heard and those newly heard."""

NORMAL_NAMES: dict[NormalKind, str] = {
    "full": "full-normal",
    "half": "half-normal",
    "reverse-half": "reverse half-normal",
    "parallel": "parallel normal",
    "none": "no normal",
}

HARM: dict[Change, str] = {
    "doubled": "two sources tied together",
    "lost": "silent",
    "altered": "hears something else",
}


def verdict(answer: Answer) -> str:
    """One sentence: whether the trial is harmless, and if not what it harms."""
    onto = [reach for reach in answer.phantom if reach.new]
    if answer.harmless:
        mind = answer.gone_round or answer.exchanges
        below = "danger" if onto else "caution" if mind else ""
        but = f" But mind the {below} below." if below else ""
        return f"Harmless: no input is silenced, doubled or altered.{but}"
    parts = []
    if onto:
        ports = port_names(answer.facility, (reach.port for reach in onto))
        parts.append(f"PHANTOM onto {listed(ports)}")
    if any(cord.feedback for cord in answer.cords):
        parts.append("FEEDBACK")
    for change, words in HARM.items():
        inputs = by_priority(answer.facility, (o for o in answer.inputs if o.change == change))
        if inputs:
            parts.append(f"{words}: {listed(port_names(answer.facility, inputs))}")
    harms = "; ".join(parts)
    return f"NOT HARMLESS. {harms[0].upper()}{harms[1:]}."


def plug_sentences(answer: Answer) -> list[str]:
    """One sentence for each plug, in the order in which they are pulled and put in."""
    facility, trial = answer.facility, answer.trial
    pulls = [
        f"Pull the cord from {jack_name(facility, one)} to {jack_name(facility, other)}."
        for one, other in trial.pulled_cords
    ]
    pulls += [
        f"Pull the dummy plug from {jack_name(facility, jack)}." for jack in trial.pulled_plugs
    ]
    return pulls + [_plug_sentence(facility, step) for step in answer.plugs]


def cord_sentences(answer: Answer) -> list[str]:
    """For each cord that is dangerous, does nothing or cannot reach, and which to take of stock."""
    stocked = bool(answer.facility.practice.cord_lengths)
    sentences = []
    for outcome in answer.cords:
        one, other = (jack_name(answer.facility, jack) for jack in outcome.cord)
        if outcome.length is None:
            sentences.append(f"No stocked cord reaches from {one} to {other}.")
        elif stocked:
            sentences.append(f"A cord of {outcome.length:g} m reaches from {one} to {other}.")
        if outcome.feedback:
            sentences.append(
                f"DANGER: the cord {one} to {other} closes a feedback loop. "
                "Turn the monitors down before you patch it, or do not."
            )
        elif outcome.idle:
            sentences.append(f"The cord {one} to {other} is idle: it changes nothing at any input.")
    return sentences


def input_sentences(answer: Answer) -> list[str]:
    """What becomes of the inputs: worst first, then by priority; own feeds before what follows.

    Inputs further on that lose and gain the same share one sentence, highest priority named first.
    """
    facility = answer.facility
    failed = frozenset(answer.trial.failed)
    ranked = sorted(
        answer.inputs,
        key=lambda o: (WORST_FIRST.index(o.change), facility.facts(o.input).priority or UNRANKED),
    )
    alone = [o for o in ranked if not _further_on(o, failed)]
    groups: dict[Difference, list[InputOutcome]] = {}
    for outcome in ranked:
        if _further_on(outcome, failed):
            groups.setdefault(_difference(outcome), []).append(outcome)
    return [_input_sentence(facility, outcome, failed) for outcome in alone] + [
        _group_sentence(facility, difference, outcomes) for difference, outcomes in groups.items()
    ]


def caution_sentences(answer: Answer) -> list[str]:
    """A sentence for each box with a caution that the patch goes round, and where left and right
    are exchanged."""
    facility = answer.facility
    around = [
        f"CAUTION: {listed(port_names(facility, round_.inputs))} "
        f"go{'es' * (len(round_.inputs) == 1)} round "
        f"{facility.equipment[round_.equipment].printed}: "
        f"{facility.equipment[round_.equipment].caution}."
        for round_ in answer.gone_round
    ]
    exchanged = [
        f"CAUTION: left and right exchanged: {port_name(facility, each.input)} gets "
        f"{port_name(facility, each.output)}."
        for each in answer.exchanges
    ]
    return around + exchanged


def on_bypass(facility: Facility, failed: Iterable[str]) -> list[str]:
    """A caution for each failed box, by id, that lets audio pass by its bypass and has one filed:
    nothing need fall silent, and yet what it did for safety or the law is not done."""
    boxes = (facility.equipment[box] for box in failed)
    return [
        f"CAUTION: audio passes {box.printed} by its bypass, without what it does: {box.caution}."
        for box in boxes
        if box.caution and box.bypass_ways
    ]


def sentences(answer: Answer) -> list[str]:
    """The whole answer: verdict, dangers, cautions, plugs in their order, cords, inputs, lines,
    shields."""
    boxes = [answer.facility.equipment[box].printed for box in answer.trial.failed]
    dead = [f"Taken as failed: {listed(boxes)}."] if boxes else []
    return [
        verdict(answer),
        *dead,
        *phantom_sentences(answer),
        *on_bypass(answer.facility, answer.trial.failed),
        *caution_sentences(answer),
        *plug_sentences(answer),
        *cord_sentences(answer),
        *input_sentences(answer),
        *line_sentences(answer),
        *shield_sentences(answer),
    ]


def normal_name(facility: Facility, normal: Normal) -> str:
    """A normal in words: its kind, and where it is."""
    kind = NORMAL_NAMES[normal.kind]
    source, target = normal.source, normal.target
    if (source.bay, source.position) == (target.bay, target.position):
        bay = facility.bays[source.bay]
        return f"{kind} of {bay.printed} {source.position}"
    return f"{kind} from {jack_name(facility, source)} to {jack_name(facility, target)}"


def at_jack(facility: Facility, jack: Jack) -> str:
    """What is at a jack: its label, else its name."""
    return jack_label(facility, jack) or jack_name(facility, jack)


def by_priority(facility: Facility, outcomes: Iterable[InputOutcome]) -> list[PortAddress]:
    """Their inputs, highest priority first, then as they come."""
    inputs = [outcome.input for outcome in outcomes]
    return sorted(inputs, key=lambda port: facility.facts(port).priority or UNRANKED)


def _further_on(outcome: InputOutcome, failed: frozenset[str]) -> bool:
    """Whether it is only what comes to it that differs, its feeds being as before and alive."""
    return (
        outcome.change in ("lost", "altered", "gained")
        and outcome.feeds_before == outcome.feeds_after
        and not any(port.equipment in failed for port in outcome.feeds_after)
    )


def _difference(outcome: InputOutcome) -> Difference:
    before, after = outcome.hears_before, outcome.hears_after
    gone = tuple(port for port in before if port not in after)
    return outcome.change, gone, tuple(port for port in after if port not in before)


def _group_sentence(
    facility: Facility, difference: Difference, outcomes: Sequence[InputOutcome]
) -> str:
    change, gone, new = difference
    names = listed(port_names(facility, by_priority(facility, outcomes)), GROUPED)
    one = len(outcomes) == 1
    lost, gained = (listed(port_names(facility, ports)) for ports in (gone, new))
    if change == "lost":
        return f"Further on, {names} fall{'s' * one} SILENT: no more {lost}."
    parts = [f"no longer hear{'s' * one} {lost}"] if gone else []
    parts += [f"now hear{'s' * one} {gained}"] if new else []
    return f"Further on, {names} {' and '.join(parts)}."


def _plug_sentence(facility: Facility, step: PlugStep) -> str:
    what = "Dummy plug in" if step.cord is None else "Plug in"
    at = labelled_jack(facility, step.jack)
    acts = [_act_clause(facility, act) for act in step.acts] or ["breaks nothing; no normal here"]
    return f"{what} {at}: {'; '.join(acts)}."


def _act_clause(facility: Facility, act: Act) -> str:
    normal = act.normal
    name = normal_name(facility, normal)
    source, target = at_jack(facility, normal.source), at_jack(facility, normal.target)
    if act.effect == "taps":
        return f"taps the {name}, {target} keeps {source}"
    if act.effect == "breaks":
        return f"breaks the {name}, {source} no longer reaches {target} that way"
    return f"the {name} is open already"


def _input_sentence(facility: Facility, outcome: InputOutcome, failed: frozenset[str]) -> str:
    name = port_name(facility, outcome.input)
    feeds = listed(port_names(facility, outcome.feeds_after))
    if outcome.change == "doubled":
        return f"{name} is DOUBLED: {feeds} are tied together. Each loads the other."
    if outcome.change == "lost":
        return f"{name} falls SILENT{_why_silent(facility, outcome, failed)}."
    if outcome.change == "unchanged":
        return f"{name} is unchanged{f': gets {feeds}' if feeds else ''}."
    return f"{name} {_feed_clause(facility, outcome)}{_hearing_clause(facility, outcome)}."


def _why_silent(facility: Facility, outcome: InputOutcome, failed: frozenset[str]) -> str:
    dead = [port for port in outcome.feeds_after if port.equipment in failed]
    heard = listed(port_names(facility, outcome.hears_before))
    if dead:
        return f": {listed(port_names(facility, dead))} has failed. It heard {heard}"
    if not outcome.feeds_after:
        return f": nothing feeds it now. It heard {heard}"
    feeds = listed(port_names(facility, outcome.feeds_after))
    return f": {feeds} still feeds it, but carries nothing now. It heard {heard}"


def _feed_clause(facility: Facility, outcome: InputOutcome) -> str:
    before = listed(port_names(facility, outcome.feeds_before))
    after = listed(port_names(facility, outcome.feeds_after))
    if outcome.feeds_before == outcome.feeds_after:
        return f"still gets {after}"
    if not before:
        return f"now gets {after}"
    return f"now gets {after} instead of {before}" if after else f"no longer gets {before}"


def _hearing_clause(facility: Facility, outcome: InputOutcome) -> str:
    """What it hears less and more than before."""
    if outcome.change == "rerouted":
        return " and hears the same as before" if outcome.hears_after else " and hears nothing"
    _, gone, new = _difference(outcome)
    lost, gained = (listed(port_names(facility, ports)) for ports in (gone, new))
    if not outcome.hears_before:
        return f" and, silent before, hears {gained}"
    clauses = [f"no longer hears {lost}"] if gone else []
    clauses += [f"now hears {gained}"] if new else []
    return f"; it {' and '.join(clauses)}" if clauses else ""
