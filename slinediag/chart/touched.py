"""The part of a chart that a trial or a failure touches: what a change request has to show.

That is where plugs go in or out and what has failed; and, for each input that hears something else,
what feeds it as filed and under the trial.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Protocol

from slinediag.address import Jack, PortAddress
from slinediag.chart.chart import hangs
from slinediag.chart.earlier import Earlier, NothingKept, Say
from slinediag.chart.excerpt import Excerpt, patched
from slinediag.chart.silence import carrying
from slinediag.chart.subject import Position
from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.problems import BothTooLarge
from slinediag.progress import Tell, stages
from slinediag.tracing.tracer import Tracer, tracer_of
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, Trial

CHANGED, NEAR = "what the trial changes", "where the trial is done"
FAILURE_CHANGED, FAILURE_NEAR = "what the failure changes", "around what has failed"
"""What the parts are called; the latter where no plug goes in or out."""
WHOLE = "the whole chart"
OTHER_PART = "the earlier drawing shows more or less of the chart than has room now"


class DrawPart(Protocol):
    """Draws the chart of a part, the whole where it is None, so that an earlier one stays."""

    def __call__(
        self, *, sheet: str, excerpt: Excerpt | None, keep: Earlier | None, tell: Tell, say: Say
    ) -> tuple[Drawing, ...]:
        """The sheets; BothTooLarge where the one that is asked for has no room."""


def both_on_sheet(
    draw_part: DrawPart,
    sheet: str,
    facility: Facility,
    then: Answer,
    keep: Earlier | None,
    tell: Tell,
    say: Say,
) -> tuple[Drawing, ...]:
    """The chart before and after on one sheet: the whole, or what the trial touches, as much of it
    as a named sheet has room for, or as can be hung where it is ``auto``; of the least all.

    ``then`` as for ``touched``. BothTooLarge where a named sheet has no room for the least.
    """
    refused = BothTooLarge(sheet, None)
    parts: list[Excerpt | None] = [None, *touched(facility, then)]
    tellers = stages(tell, (3, 2, 2, 2)[: len(parts)])
    for part, telling in zip(parts, tellers, strict=True):
        telling(0.0, f"trying {part.name if part is not None else WHOLE}")
        said: list[str] = []
        stays = keep is not None and keep.part == (part is not None)
        kept = keep if stays else None
        try:
            made = draw_part(sheet=sheet, excerpt=part, keep=kept, tell=telling, say=said.append)
        except BothTooLarge as small:
            refused = small
            continue
        if part is not parts[-1] and not hangs(made[0]):
            continue
        if keep is not None and not stays:
            said.append(NothingKept(OTHER_PART))
        for words in said:
            say(words)
        return made
    raise BothTooLarge(refused.asked, refused.smallest, touched=True)


def touched(facility: Facility, then: Answer) -> tuple[Excerpt, ...]:
    """The parts that show what a trial does, the largest first: with every input that hears
    something else; with those alone that are fed by something else; and without inputs beside
    these at plugged jacks, for which nothing changes.

    ``then``: the trial done to the facility, or to what a failure leaves of it.
    """
    rest, after = tracer_of(facility), tracer_of(patched(then.facility, then.trial))
    near = _fed_by_else(rest, after, frozenset(then.trial.failed))
    heard = {o.input for o in then.inputs if o.change != "unchanged"}
    if then.facility is not facility:
        inputs = tuple(facility.inputs())
        silent = carrying(ask(facility, Trial()), inputs) - carrying(then, inputs)
        heard |= {port for port in inputs if port in silent}
    every = near | heard
    tried = replace(then.trial, failed=()) != Trial()
    names = (CHANGED, NEAR) if tried else (FAILURE_CHANGED, FAILURE_NEAR)
    whole = _part(facility, then, (rest, after), every, names[0])
    beyond = len(every - near)
    few = _part(facility, then, (rest, after), near, names[1 if beyond else 0], beyond)
    least = _part(facility, then, (rest, after), near, names[1], beyond, beside=False)
    parts = [*([whole] if beyond else []), few, *([least] if least != few else [])]
    return (*(replace(part, yields=True) for part in parts[:-1]), parts[-1])


def _fed_by_else(rest: Tracer, after: Tracer, dead: frozenset[str]) -> set[PortAddress]:
    """The inputs that other outputs feed than as filed, and those before and behind dead boxes."""
    found = set()
    for entry in rest.circuit.inputs:
        before = rest.feeds(entry)
        sources = {port.equipment for port in before}
        if before != after.feeds(entry) or entry.equipment in dead or sources & dead:
            found.add(entry)
    return found


def _part(
    facility: Facility,
    then: Answer,
    tracers: Iterable[Tracer],
    targets: Iterable[PortAddress],
    name: str,
    beyond: int = 0,
    *,
    beside: bool = True,
) -> Excerpt:
    """What feeds these inputs, and where plugs go in and out with what is wired there; if
    ``beside``, with all inputs on the lines there."""
    plugged = set(_plugged(then))
    jacks, ports = set(plugged), set(targets)
    for tracer in tracers:
        with tracer.lock:
            circuit = tracer.circuit
            others = {circuit.inputs[n] for jack in plugged for n in circuit.inputs_with(jack)}
        for target in sorted({*targets, *(others if beside else ())}):
            for source in tracer.feeds(target):
                ports |= {source, target}
                with tracer.lock:
                    jacks.update(circuit.jacks_between(source, target))
    positions = {Position(jack.bay, jack.position) for jack in jacks}
    ports.update(_wired(facility, plugged))
    return Excerpt(name, frozenset(positions), frozenset(ports), beyond=beyond)


def _plugged(then: Answer) -> Iterator[Jack]:
    """The jacks that plugs go in or come out of, and the far ends of normals there."""
    trial = then.trial
    for cord in (*trial.cords, *trial.pulled_cords):
        yield from cord
    yield from (*trial.plugs, *trial.pulled_plugs)
    for act in (act for step in then.plugs for act in step.acts):
        yield from (act.normal.source, act.normal.target)


def _wired(facility: Facility, jacks: Iterable[Jack]) -> Iterator[PortAddress]:
    """The ports at the rear of both jacks of these positions."""
    for jack in jacks:
        for row in facility.bays[jack.bay].jack_rows:
            wire = facility.wires.get(Jack(jack.bay, row, jack.position))
            if wire is not None:
                yield wire.to
