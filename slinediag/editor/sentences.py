"""The words of an answer, each sentence with the thing it speaks of."""

from __future__ import annotations

from slinediag.editor.things import Box, Thing
from slinediag.model.labels import jack_name
from slinediag.tracing.values import Answer
from slinediag.tracing.words import port_name, sentences


def told(answer: Answer) -> tuple[tuple[str, Thing | None], ...]:
    """What a trial does, sentence by sentence in order; with each the first thing it names."""
    names = _names(answer)
    return tuple((sentence, _first_named(sentence, names)) for sentence in sentences(answer))


def _names(answer: Answer) -> dict[str, Thing]:
    """The things an answer speaks of, by the names it gives them."""
    facility, trial = answer.facility, answer.trial
    jacks = [jack for cord in (*trial.pulled_cords, *trial.cords) for jack in cord]
    jacks += [*trial.pulled_plugs, *trial.plugs, *(plug.jack for plug in answer.live)]
    ports = [outcome.input for outcome in answer.inputs]
    ports += [reach.port for reach in answer.phantom]
    names: dict[str, Thing] = {facility.equipment[b].printed: Box(b) for b in trial.failed}
    names |= {port_name(facility, port): port for port in ports}
    return names | {jack_name(facility, jack): jack for jack in jacks}


def _first_named(sentence: str, names: dict[str, Thing]) -> Thing | None:
    best: tuple[int, int, Thing] | None = None
    for name, thing in names.items():
        at = sentence.find(name)
        if at >= 0 and (best is None or (at, -len(name)) < best[:2]):
            best = at, -len(name), thing
    return best[2] if best is not None else None
