"""Why a silenced input has no patch, and what wiring would give it one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from slinediag.address import Jack
from slinediag.model.labels import jack_name
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.view import View
from slinediag.tracing.phrases import ALL, listed

NO_SOURCE = "no source reaches a jack"
NO_JACK = "no free jack leads to the input"
NOT_ALL_TRIED = "but not all were tried"

SPARE_SOURCE = "A second source on a jack, named in the file under 'instead', would cure it."
HALF_NORMAL = "A half-normal to "
TAKES_OFF = " would let a plug there take it off."
"""How the cure of an input begins and goes on to whose line a silent output is tied."""


def tied_at(cure: str | None) -> str | None:
    """The jack at which an input of this cure is tied to an output; None where it is not."""
    found = re.match(f"{HALF_NORMAL}(.+){re.escape(TAKES_OFF)}", cure or "")
    return found[1] if found else None


def untied(jacks: Sequence[str]) -> str:
    """The cure of inputs that are tied to silent outputs at these jacks."""
    if len(jacks) == 1:
        return f"{HALF_NORMAL}{jacks[0]}{TAKES_OFF} Where a parallel is meant, leave it."
    many = f"Half-normals to {listed(jacks, ALL)} would let plugs there take them off."
    return f"{many} Where parallels are meant, leave them."


def no_moves(moves: int) -> str:
    """The reason where sources and jacks are there, and still nothing does."""
    return f"no {moves} moves restore it"


def none_found(moves: int) -> str:
    """The reason where nothing was found, but the search was cut short before all was tried."""
    return f"no {moves} moves found that restore it, {NOT_ALL_TRIED}"


def was_cut_short(reason: str | None) -> bool:
    """Whether a reason says that not all was tried."""
    return reason is not None and reason.endswith(NOT_ALL_TRIED)


class Reasons:
    """Reasons and cures for the inputs of one situation that have no patch."""

    def __init__(self, situation: Situation, choice: JackChoice, keep: bool) -> None:
        self._situation = situation
        self._choice = choice
        self._view = View(situation)
        self._freed = frozenset() if keep else choice.freed_by(situation.pulls)

    def of(self, number: int, moves: int, cut_short: bool = False) -> tuple[str, str]:
        """The reason, and a cure in one sentence; ``cut_short``: not all was tried."""
        sources = self._jacks(self._view.kinds_that_carry(self._situation.wanted[number]))
        entries = self._jacks(self._view.kinds_at_inputs(self._view.upstream(number)))
        if not sources:
            return NO_SOURCE, SPARE_SOURCE
        if not entries:
            return NO_JACK, self._second_way(number)
        reason = none_found(moves) if cut_short else no_moves(moves)
        return reason, self._cure(number, sources, entries)

    def _second_way(self, number: int) -> str:
        """How to reach an input that no free jack leads to after the failure."""
        situation = self._situation
        at = situation.filed.carriers.get(situation.inputs[number])
        if at is None:
            return "Wiring it to a bay, below a half-normal, would cure it."
        if at.bay in situation.dead_bays:
            return "A jack for it on another bay, by a tie line or a normal, would cure it."
        if at not in situation.now.wires:
            return "A spare pair in another cable, from its jack, would cure it."
        if at in situation.board.occupied:
            return self._held(at)
        return f"A normal at {jack_name(situation.filed, at)} that a plug opens would cure it."

    def _held(self, jack: Jack) -> str:
        """What to pull out of the jack that carries an input."""
        facility = self._situation.filed
        for cord in facility.cords:
            if jack in (cord.source, cord.target):
                ends = " to ".join(jack_name(facility, end) for end in (cord.source, cord.target))
                return f"Pulling the standing cord {ends} would free its jack."
        return f"Pulling the dummy plug from {jack_name(facility, jack)} would free its jack."

    def _jacks(self, kinds: list[int]) -> list[Jack]:
        return [jack for kind in kinds for jack in self._choice.free(kind, self._freed)]

    def _cure(self, number: int, sources: list[Jack], entries: list[Jack]) -> str:
        situation = self._situation
        board, facility = situation.board, situation.filed
        if bits(board.outputs[board.cell_of_input[number]]):
            at = jack_name(facility, facility.carriers.get(situation.inputs[number], entries[0]))
            return untied([at])
        reach = situation.reach
        if not any(reach.reaches(one, other) for one in sources for other in entries):
            one, other = (facility.bays[jacks[0].bay].printed for jacks in (sources, entries))
            return f"No cord reaches: a tie line from {one} to {other} would cure it."
        return "A spare normal, or a tie line to a source it may hear, would cure it."
