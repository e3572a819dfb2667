"""Rules on the two legs of lines: one leg only, legs shorted, legs exchanged."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Address, Jack, PortAddress
from slinediag.checks.finding import Severity
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.sides import partner_of
from slinediag.tracing.words import listed


def legs_joined(rest: Rest, one: Address, other: Address) -> frozenset[tuple[int, int]]:
    """Which legs of two addresses are on one net: pairs of legs, 0 for + and 1 for -."""
    here, there = rest.circuit.contact_nets(one), rest.circuit.contact_nets(other)
    legs = (0, 1)
    return frozenset((m, t) for m in legs for t in legs if here[m] == there[t])


def one_leg(rest: Rest) -> Iterator[Case]:
    """Outputs joined to inputs on one leg only.

    All that a file can say joins both legs: wires, lines, mults, cords and normals join + and - in
    pairs, straight or exchanged, and a plug opens both break contacts. So whatever joins one leg of
    a port joins the other leg of it likewise, and a sound circuit has no such case. The rule
    watches the circuit itself: a contact that is missing on one leg comes out here, as an error.
    """
    for output in rest.circuit.outputs:
        for end in rest.circuit.ends_with(output):
            if isinstance(end, Jack) or end.side == "out":
                continue
            if len(legs_joined(rest, output, end)) == 1:
                message = f"{rest.port(output)} reaches {rest.port(end)} on one leg only."
                yield Case("error", rest.spelled((end, output)), message)


def legs_shorted(rest: Rest) -> Iterator[Case]:
    """Outputs whose + and - meet."""
    for output in rest.circuit.outputs:
        if (0, 1) in legs_joined(rest, output, output):
            swapped = [
                end
                for end in rest.circuit.ends_with(output)
                if isinstance(end, Jack) and _swapped_at(rest, end)
            ]
            places = f" Exchanged legs at {rest.jack(swapped[0])} meet a straight way round."
            message = f"+ and - of {rest.port(output)} are joined: it works into a short circuit."
            message += places if swapped else ""
            yield Case("error", rest.spelled((output, *swapped)), message)


def _swapped_at(rest: Rest, jack: Jack) -> bool:
    wire, line = rest.facility.wires.get(jack), rest.line_at.get(jack)
    return bool((wire and wire.swapped) or (line and line.swapped))


def polarity(rest: Rest) -> Iterator[Case]:
    """Feeds on which the legs are exchanged an odd number of times; one case per exchange."""
    groups: dict[tuple[PortAddress, tuple[Jack, ...], Severity, str], list[PortAddress]] = {}
    for number, entry in enumerate(rest.circuit.inputs):
        for output in rest.tracer.named(rest.circuit.reversed_feeds(number)):
            jacks = rest.circuit.jacks_between(output, entry)
            swapped = tuple(jack for jack in jacks if _swapped_at(rest, jack))
            key = (output, swapped[:1], *_effect(rest, output, entry))
            groups.setdefault(key, []).append(entry)
    for (output, swapped, severity, effect), inputs in groups.items():
        at = f" at {rest.jack(swapped[0])}" if swapped else ""
        verb = "get" if len(inputs) > 1 else "gets"
        message = (
            f"{listed(map(rest.port, inputs))} {verb} {rest.port(output)} with + and - exchanged"
            f"{at}{effect}."
        )
        yield Case(severity, rest.spelled((*inputs, output, *swapped)), message)


def _effect(rest: Rest, output: PortAddress, entry: PortAddress) -> tuple[Severity, str]:
    """How grave an exchange of legs is: by an unbalanced port, and by the other side of a pair."""
    facts = rest.facility.facts
    if not (facts(output).balanced and facts(entry).balanced):
        return "error", ": an unbalanced port there grounds the leg that carries the signal"
    partner = partner_of(rest.facility, entry)
    if partner is None:
        return "warning", ""
    number = rest.circuit.input_number[partner]
    if rest.hearing.feeds[number] and not rest.circuit.reversed_feeds(number):
        return "error", f", and {rest.port(partner)} does not: a mono sum of the two falls silent"
    return "warning", ""


RULES = (
    Rule(
        "one-leg",
        "an output joined to an input on one leg only",
        "A balanced line needs both its legs. On one leg alone the level is uncertain, and hum "
        "comes in. What a file says joins both legs always, so this comes up only where this "
        "program itself has lost a contact.",
        "common practice",
        "Find the leg that is open: a plug part-way in, a broken wire, a bent spring. Where "
        "all is sound, the fault is in this program: tell those who keep it.",
        one_leg,
    ),
    Rule(
        "legs-shorted",
        "an output whose + and - are joined",
        "Where two ways meet and one of them exchanges the legs, + meets -. Nothing is heard, and "
        "the output works into a short circuit.",
        "common practice",
        "Undo one of the exchanges: a wire or line with swapped: true.",
        legs_shorted,
    ),
    Rule(
        "polarity",
        "a feed on which + and - are exchanged",
        "Tip is +, ring is -, pin 2 is +. Legs exchanged an odd number of times on the way turn "
        "the polarity over. On one side of a stereo pair the sum in mono then falls into a deep "
        "null; on an unbalanced port the leg that carries the signal is grounded. Where the "
        "exchange puts right what a unit inverts, accept the finding with that reason.",
        "AES14-1992, IEC 60268-12",
        "Exchange the legs back at one end, or accept the finding with the reason.",
        polarity,
    ),
)
