"""Rules on wiring: what is fed by nothing or by two, wired nowhere or twice, in the wrong row."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Address, Jack, PortAddress
from slinediag.checks.finding import Severity
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.circuit.contacts import broken_by_target
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Cord, Normal
from slinediag.tracing.words import listed

PRACTICE = "common practice"


def nothing_feeds(rest: Rest) -> Iterator[Case]:
    """Wired inputs of equipment in use that no output feeds at rest."""
    for number, entry in enumerate(rest.circuit.inputs):
        if rest.hearing.feeds[number] or not rest.in_use(entry):
            continue
        jack = rest.facility.carriers.get(entry)
        if jack is None:
            if entry in rest.line_at:
                line = rest.line_at[entry]
                yield _unfed(rest, entry, f"no output is at the other end of line {line.id}")
        elif not rest.set_aside(jack):
            yield from _unfed_at_jack(rest, entry, jack)


def _unfed_at_jack(rest: Rest, entry: PortAddress, jack: Jack) -> Iterator[Case]:
    normals = list(rest.circuit.normals_at(jack))
    stopped = next((n for n in normals if not rest.circuit.closed(n)), None)
    if stopped is not None:
        yield _stopped(rest, entry, _breaker(rest, stopped))
    elif normals or jack in rest.mult_at or jack in rest.plug_at:
        yield _unfed(rest, entry, f"no source reaches {rest.jack(jack)}")
    elif rest.facility.facts(entry).priority is not None:
        why = f"{rest.jack(jack)} is non-normaled and no cord is in it"
        yield _unfed(rest, entry, why)


def _breaker(rest: Rest, normal: Normal) -> Jack:
    """The jack whose plug breaks a normal that is open; its target where both do."""
    by_target = broken_by_target(normal.kind) and normal.target in rest.plug_at
    return normal.target if by_target else normal.source


def _stopped(rest: Rest, entry: PortAddress, jack: Jack) -> Case:
    """An input that a plug keeps from its source: a note where the plug says why."""
    plug = rest.plug_at[jack]
    what = "the cord" if isinstance(plug, Cord) else "the dummy plug"
    why = f" ({plug.note})" if plug.note else ", without a note that says why"
    message = f"{rest.port(entry)} is fed by nothing: {what} in {rest.jack(jack)} breaks its normal"
    severity: Severity = "note" if plug.note else _grade(rest, entry)
    cure = "Pull it once its reason is gone." if plug.note else "Pull it, or give it a note."
    return Case(severity, rest.spelled((entry, jack)), f"{message}{why}.", cure)


def _unfed(rest: Rest, entry: PortAddress, why: str) -> Case:
    """An input with no source; only a note where a tie lets one be patched at its far end."""
    ends = rest.circuit.ends_with(entry)
    ties = [end for end in ends if isinstance(end, Jack) and end in rest.line_at]
    severity: Severity = "note" if ties else _grade(rest, entry)
    jacks = [jack] if (jack := rest.facility.carriers.get(entry)) else []
    far = f"; {rest.jack(ties[0])} is where one may be patched" if ties else ""
    message = f"{rest.port(entry)} is fed by nothing: {why}{far}."
    return Case(severity, rest.spelled((entry, *jacks)), message)


def _grade(rest: Rest, entry: PortAddress) -> Severity:
    return "warning" if rest.facility.facts(entry).priority is None else "error"


def doubled(rest: Rest) -> Iterator[Case]:
    """Nets with two or more outputs."""
    seen: set[PortAddress] = set()
    for output in rest.circuit.outputs:
        if output in seen:
            continue
        ends = rest.circuit.ends_with(output)
        outputs = [e for e in ends if not isinstance(e, Jack) and e.side == "out"]
        seen.update(outputs)
        if len(outputs) < 2:
            continue
        inputs = [e for e in ends if not isinstance(e, Jack) and e.side == "in"]
        names = listed(rest.port(port) for port in outputs)
        heard = f" at {listed(rest.port(port) for port in inputs)}" if inputs else ""
        cords = dict.fromkeys(
            held
            for e in ends
            if isinstance(e, Jack) and isinstance(held := rest.plug_at.get(e), Cord)
        )
        through = f", with the cord {listed(map(str, cords))}" if cords else ""
        addresses: list[Address] = [*outputs, *inputs]
        message = f"{names} are tied together{heard}{through}: each loads the other."
        yield Case("error", rest.spelled(addresses), message)


def rows_crossed(rest: Rest) -> Iterator[Case]:
    """Bays of two rows with an output on a bottom jack or an input on a top jack; one per bay."""
    for bay in rest.facility.bays.values():
        jacks = [
            jack
            for jack in bay.jacks()
            if "B" in bay.jack_rows
            and (wire := rest.facility.wires.get(jack)) is not None
            and (wire.to.side == "out") != (jack.row == "T")
        ]
        if jacks:
            wires = rest.facility.wires
            named = listed(f"{rest.port(wires[j].to)} on {rest.jack(j)}" for j in jacks)
            message = f"{named}: outputs belong on the top row, inputs on the bottom row."
            yield Case("note", (bay.id, *rest.spelled(jacks)), message)


def _ports(box: Equipment) -> list[PortAddress]:
    return [PortAddress(box.id, port.id, port.side) for port in box.ports]


def port_nowhere(rest: Rest) -> Iterator[Case]:
    """Ports wired nowhere on equipment that is wired; one case per box."""
    for box in rest.used():
        loose = [port for port in _ports(box) if not rest.wired(port)]
        if loose and len(loose) < len(_ports(box)):
            several = "are" if len(loose) > 1 else "is"
            names = listed(rest.port(port) for port in loose)
            yield Case("note", (box.id, *rest.spelled(loose)), f"{names} {several} wired nowhere.")


def box_nowhere(rest: Rest) -> Iterator[Case]:
    """Equipment in use of which no port is wired."""
    for box in rest.used():
        if not any(rest.wired(port) for port in _ports(box)):
            what = "no port is wired" if _ports(box) else "it has no port"
            yield Case("warning", (box.id,), f"{box.printed} ({box.name}) is in no path: {what}.")


def port_twice(rest: Rest) -> Iterator[Case]:
    """Ports wired to more than one jack or line."""
    ends: dict[PortAddress, list[str]] = {}
    for jack, wire in rest.facility.wires.items():
        ends.setdefault(wire.to, []).append(rest.jack(jack))
    for line in rest.facility.lines.values():
        for end in (line.source, line.target):
            if not isinstance(end, Jack):
                ends.setdefault(end, []).append(f"line {line.id}")
    for port, places in ends.items():
        if len(places) > 1:
            message = f"{rest.port(port)} is wired to {listed(places)}."
            yield Case("error", rest.spelled((port,)), message)


RULES = (
    Rule(
        "nothing-feeds",
        "an input that is wired but that nothing feeds at rest",
        "An input on a jack with a normal, a mult or a plug, or at the end of a line, is meant to "
        "be fed. Where no output reaches it, the source may have been taken out, or a plug breaks "
        "its normal. It is an error where the input has a priority, a note where a plug with a "
        "note breaks the normal on purpose or a tie lets a source be patched at its far end. "
        "Non-normaled inputs, which wait for a cord, are left alone unless they have a priority.",
        PRACTICE,
        "Wire a source to it, or pull the plug that breaks its normal. If it waits for a cord, "
        "make the position non-normaled (normal: none).",
        nothing_feeds,
    ),
    Rule(
        "doubled",
        "two or more outputs tied together at rest",
        "Two outputs on one net load each other: the level of equal outputs falls by 6 dB, and "
        "each drives current into the other, which may distort or, in time, fail. Sources are "
        "combined in a mixer or a summing network, never by tying outputs.",
        "common practice; makers' notes on passive combining",
        "Part them: pull the cord, move one wire, or put a mixer or summing network between.",
        doubled,
    ),
    Rule(
        "rows-crossed",
        "an output on a bottom jack or an input on a top jack",
        "By convention the top row carries outputs and the bottom row inputs, so that a cord goes "
        "from top to bottom. A port in the other row will be patched wrongly under pressure.",
        PRACTICE,
        "Move the wire to the other row, or say so on the strip.",
        rows_crossed,
    ),
    Rule(
        "port-nowhere",
        "ports of wired equipment that are wired nowhere",
        "A port that is on no jack and no line cannot be reached at the bay. That may be as "
        "meant; it is told so that nobody looks for it.",
        PRACTICE,
        "Bring it to a jack, or leave it and say so in the equipment's note.",
        port_nowhere,
    ),
    Rule(
        "box-nowhere",
        "equipment in use of which nothing is wired",
        "Equipment of which no port is wired takes part in no path. It is spare or removed, or its "
        "wiring has not been filed.",
        PRACTICE,
        "File its wiring, or give it state: spare or state: removed.",
        box_nowhere,
    ),
    Rule(
        "port-twice",
        "a port wired to two jacks or lines",
        "A port goes to at most one jack or line, so that every termination has one place in the "
        "papers. Outputs are split by a mult or a distribution amplifier, where one can see it.",
        "the facility file's format",
        "Keep one of them; to split an output use a mult or a distribution amplifier.",
        port_twice,
    ),
)
