"""Rules on stereo pairs: sides that part on the way, or change places."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import PortAddress
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.sides import is_left, partner_of


def _pairs(rest: Rest) -> Iterator[tuple[PortAddress, PortAddress]]:
    """The stereo pairs of inputs of equipment in use, left and right."""
    for entry in rest.circuit.inputs:
        other = partner_of(rest.facility, entry)
        if other is not None and is_left(rest.facility, entry) and rest.in_use(entry):
            yield entry, other


def pair_swapped(rest: Rest) -> Iterator[Case]:
    """Pairs of inputs of which left gets a pair's right, and right its left."""
    for left, right in _pairs(rest):
        for output in rest.tracer.feeds(left):
            partner = partner_of(rest.facility, output)
            crossed = partner in rest.tracer.feeds(right) if partner else False
            if partner and crossed and not is_left(rest.facility, output):
                message = (
                    f"Left and right change places: {rest.port(left)} gets {rest.port(output)}, "
                    f"{rest.port(right)} gets {rest.port(partner)}."
                )
                yield Case("warning", rest.spelled((left, right, output, partner)), message)


def pair_split(rest: Rest) -> Iterator[Case]:
    """Pairs of inputs that get one side of a stereo pair without its other side."""
    for left, right in _pairs(rest):
        feeds = rest.tracer.feeds(left), rest.tracer.feeds(right)
        if set(feeds[0]) & set(feeds[1]):
            continue  # one source to both sides is mono on purpose
        halves = ((left, right, feeds[0], feeds[1]), (right, left, feeds[1], feeds[0]))
        found = [case for half in halves for case in _missing(rest, *half)]
        yield from found[:1]


def _missing(
    rest: Rest,
    entry: PortAddress,
    other: PortAddress,
    feeds: tuple[PortAddress, ...],
    others: tuple[PortAddress, ...],
) -> Iterator[Case]:
    for output in feeds:
        partner = partner_of(rest.facility, output)
        if partner is not None and partner not in others:
            instead = " and ".join(rest.port(port) for port in others) or "nothing"
            message = (
                f"A stereo pair parts: {rest.port(entry)} gets {rest.port(output)}, but "
                f"{rest.port(other)} gets {instead}, not {rest.port(partner)}."
            )
            yield Case("warning", rest.spelled((entry, other, output, partner)), message)


RULES = (
    Rule(
        "pair-swapped",
        "left and right of a stereo pair change places on the way",
        "The left input of a pair gets the right output of another pair, and the other way round. "
        "Nobody hears it in mono; in stereo the picture is turned over.",
        "common practice",
        "Exchange the two wires, or the cords.",
        pair_swapped,
    ),
    Rule(
        "pair-split",
        "one side of a stereo pair goes with the other side of nothing",
        "One input of a pair gets a side of a stereo pair, and the other input gets something "
        "else or nothing. One source to both inputs is mono on purpose, and left alone.",
        "common practice",
        "Bring the other side along, or take the pair off with pairs: [].",
        pair_split,
    ),
)
