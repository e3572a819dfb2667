"""Rules on phantom power: whom it reaches that should not have it, whether it has its way back
through the shields, and where it is not marked."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from slinediag.address import Jack, PortAddress
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.phantom import PhantomHarm, PhantomReach
from slinediag.tracing.shields.metal import line_shield, wire_shield
from slinediag.tracing.words import listed

SAFE = "Phantom power off at the desk, wait for it to fall, then patch."

EFFECTS: dict[PhantomHarm, str] = {
    "harmed": "which it can destroy",
    "unbalanced": "whose grounded leg shorts it",
    "given twice": "which gives phantom power itself",
    "not taken": "of which nothing says that it stands it",
}


def _reached(harm: PhantomHarm) -> Callable[[Rest], Iterator[Case]]:
    """The rule function for phantom power on ports that it does this harm."""

    def cases(rest: Rest) -> Iterator[Case]:
        for reach in rest.tracer.phantom_at_rest:
            if reach.harm == harm:
                yield _case(rest, reach)

    cases.__doc__ = f"Ports with phantom power on them at rest: {harm}."
    return cases


def _case(rest: Rest, reach: PhantomReach) -> Case:
    givers = listed(map(rest.port, reach.givers))
    message = (
        f"Phantom power of {givers} stands on {rest.port(reach.port)}{rest.at(reach.port)}, "
        f"{EFFECTS[reach.harm]}."
    )
    return Case(reach.severity, rest.spelled((reach.port, *reach.givers)), message)


def phantom_return(rest: Rest) -> Iterator[Case]:
    """Ports that take phantom power and whose way back, the shield, is lifted on a wire."""
    for port in (*rest.facility.outputs(), *rest.facility.inputs()):
        if rest.facility.facts(port).phantom != "takes" or not rest.in_use(port):
            continue
        for giver in rest.tracer.phantom.givers_at(rest.circuit, port):
            lifted = dict.fromkeys(filter(None, (_lifted(rest, end) for end in (port, giver))))
            if lifted:
                message = (
                    f"Phantom power of {rest.port(giver)} comes back from {rest.port(port)} "
                    f"through the shield, which is lifted {listed(lifted)}."
                )
                yield Case("warning", rest.spelled((giver, port)), message)


def _lifted(rest: Rest, port: PortAddress) -> str:
    """The wire or line at a port, in words, where its shield is not joined at both ends."""
    jack, line = rest.facility.carriers.get(port), rest.line_at.get(port)
    if jack is not None and wire_shield(rest.facility, rest.facility.wires[jack]) != "both":
        return f"on the wire at {rest.jack(jack)}"
    if line is not None and line_shield(rest.facility, line) != "both":
        return f"on line {line.id}"
    return ""


def phantom_unmarked(rest: Rest) -> Iterator[Case]:
    """Jacks on which phantom power stands and whose positions do not say so; one case per bay."""
    found: dict[str, dict[Jack, None]] = {}
    for giver in rest.tracer.phantom.givers:
        for end in rest.circuit.ends_with(giver):
            if isinstance(end, Jack) and not _marked(rest, end):
                found.setdefault(end.bay, {})[end] = None
    for jacks in found.values():
        message = f"Phantom power stands on {listed(map(rest.jack, jacks))}; no note there says so."
        yield Case("note", rest.spelled(jacks), message)


def _marked(rest: Rest, jack: Jack) -> bool:
    point = rest.facility.point(jack)
    texts = (point.note, point.group, point.label(jack.row), rest.facility.bays[jack.bay].note)
    return any("phantom" in text.casefold() or "48 V" in text for text in texts if text)


RULES = (
    Rule(
        "phantom-harms",
        "phantom power on equipment that it can destroy",
        "48 V stands on every line with an input that gives it, and beyond ports that pass it on. "
        "A ribbon or an old output may be destroyed the moment it is joined.",
        "IEC 61938",
        f"Part the two at once: {SAFE[0].lower()}{SAFE[1:]} Use a preamplifier without it.",
        _reached("harmed"),
    ),
    Rule(
        "phantom-shorted",
        "phantom power on an unbalanced port",
        "An unbalanced port grounds one leg and shorts the supply there: up to 7 mA a leg through "
        "6.81 kilohm, and a thump into loudspeakers and headphones.",
        "IEC 61938",
        f"{SAFE} Put a transformer between.",
        _reached("unbalanced"),
    ),
    Rule(
        "phantom-twice",
        "two supplies of phantom power on one line",
        "Two inputs that give phantom power are on one net. Their supplies work against each "
        "other, and switching one off no longer makes the line dead.",
        "IEC 61938; common practice",
        f"{SAFE} Split microphones by a splitter that isolates.",
        _reached("given twice"),
    ),
    Rule(
        "phantom-untaken",
        "phantom power on a port that is not said to stand it",
        "Microphones for phantom power stand it and balanced transformers may; a line output need "
        "not. Where a port stands it, its file entry says phantom: takes.",
        "IEC 61938",
        f"{SAFE} Or, where the makers say that it stands it, file phantom: takes.",
        _reached("not taken"),
    ),
    Rule(
        "phantom-return",
        "phantom power whose way back through the shield is lifted",
        "48 V goes out on both legs alike and comes back through the shield. With the shield "
        "lifted on the wire of the microphone or of the input that gives it, the microphone is "
        "dead, or its current finds another way home through the building, with hum and crackle. "
        "On a bay the way leads from sleeve to sleeve, which a normal does not join: by a bus, a "
        "strap or a bond. A microphone's case is bonded by its shield alone (earthed: false in its "
        "entry), so no loop closes through it.",
        "IEC 61938; AES48-2005",
        "Phantom power off, then join the shield at both ends of these wires: shield: both. Should "
        "that close a loop between desk and bay, listen, then accept it with this reason. "
        "Protective earth stays on every unit, always.",
        phantom_return,
    ),
    Rule(
        "phantom-unmarked",
        "jacks with phantom power that do not say so",
        "A plug that slides in shorts phantom power for a moment: it thumps, and may harm what is "
        "patched. Who patches there must be told at the jack.",
        "common practice; makers' notes on microphones",
        "Give the position a note: phantom power: off, wait, then patch.",
        phantom_unmarked,
    ),
)
