"""Why an input has no patch, in plain words, and apart from that what wiring would cure it.

At a rack in the night only the first is of use; the second is for the workshop.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.tracing.outage.reasons import NO_JACK, NO_SOURCE, none_found, tied_at, untied
from slinediag.tracing.outage.values import SilencedInput
from slinediag.tracing.phrases import ALL, listed, port_names

PLAIN = {
    NO_SOURCE: "nothing that may be heard there is on a working jack",
    NO_JACK: "no free jack leads there",
}
TIED = "a silent output is wired there too, and no plug takes it off"


def without_patch(facility: Facility, silenced: Iterable[SilencedInput]) -> list[str]:
    """Inputs that no patch restores and why, those of one reason in one line."""
    groups: dict[str, list[PortAddress]] = {}
    for each in silenced:
        if each.reason is not None:
            groups.setdefault(reason_words(each.reason, each.cure), []).append(each.input)
    return [
        f"{listed(port_names(facility, inputs), ALL)}: {why}." for why, inputs in groups.items()
    ]


def why_without(silenced: SilencedInput) -> str:
    """Why no patch restores an input, with what would cure it; empty where one does."""
    if silenced.reason is None:
        return ""
    return f"{reason_words(silenced.reason, silenced.cure)}. {silenced.cure or ''}".strip()


def cure_lines(facility: Facility, silenced: Iterable[SilencedInput]) -> list[str]:
    """What wiring would give inputs of a priority a patch, those of one cure in one line.

    Of all inputs where the facility files no priority.
    """
    every = not any_priority(facility)
    groups: dict[str, list[tuple[PortAddress, str]]] = {}
    for each in silenced:
        if each.cure is not None and (every or each.priority is not None):
            kind = TIED if tied_at(each.cure) else each.cure
            groups.setdefault(kind, []).append((each.input, each.cure))
    return [
        f"{listed(port_names(facility, [port for port, _ in found]), ALL)}: "
        f"{one_cure([cure for _, cure in found])}"
        for found in groups.values()
    ]


def any_priority(facility: Facility) -> bool:
    """Whether any input of a facility has a priority."""
    return any(
        box.facts[port.id, "in"].priority is not None
        for box in facility.equipment.values()
        for port in box.inputs
    )


def one_cure(cures: Iterable[str]) -> str:
    """The cure of inputs that share it but for the jack at which each is tied to what is dead."""
    known = list(dict.fromkeys(cures))
    jacks = [jack for cure in known if (jack := tied_at(cure))]
    return untied(jacks) if jacks else known[0]


def reason_words(reason: str, cure: str | None = None) -> str:
    """Why there is no patch, for a person: a move is a cord put in or pulled."""
    if reason in PLAIN:
        return PLAIN[reason]
    found = re.fullmatch(r"no (\d) moves (restore it|found .*)", reason)
    if found is None:
        return reason
    moves = int(found[1])
    if reason == none_found(moves):
        return f"none found, {not_all_tried(moves)}"
    if tied_at(cure):
        return TIED
    if moves == 1:
        return "no single cord, put in or pulled, brings it back"
    return f"no {moves} cords, put in or pulled, bring it back"


def not_all_tried(moves: int) -> str:
    """That a search for so many moves was cut short."""
    return f"but not every {tried_words(moves)} was tried"


def tried_words(moves: int) -> str:
    """What a search for so many moves goes through."""
    return {1: "cord", 2: "pair of cords"}.get(moves, f"set of {moves} cords")
