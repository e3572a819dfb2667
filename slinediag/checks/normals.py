"""Rules on normals: a box normaled to itself, microphones on a tapped normal, unmarked normals."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Jack, PortAddress
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.model.facility import Normal
from slinediag.tracing.words import NORMAL_NAMES, listed

MICROPHONE = -30.0
"""dBu below which an output is of microphone level; microphones give -70 to -50 dBu, lines -15 to
+20. Source: Sound Engineer's Pocket Book, ch. 14."""


def normaled_to_itself(rest: Rest) -> Iterator[Case]:
    """Normals from an output of a box to an input whose path leads to that output."""
    for normal, output, entry in _carried(rest):
        box = rest.facility.equipment[output.equipment]
        if output.equipment == entry.equipment and (entry.port, output.port) in box.ways:
            jacks = (normal.source, normal.target)
            message = (
                f"{rest.port(output)} at {rest.jack(normal.source)} is normaled to its own input "
                f"{rest.port(entry)} at {rest.jack(normal.target)}: feedback, as soon as no plug "
                "breaks it."
            )
            yield Case("danger", rest.spelled((*jacks, output, entry)), message)


def _carried(rest: Rest) -> Iterator[tuple[Normal, PortAddress, PortAddress]]:
    """Normals with the output at their source jack and the input at their target jack."""
    wires = rest.facility.wires
    for normal in rest.facility.normals:
        source, target = wires.get(normal.source), wires.get(normal.target)
        if source is None or target is None or source.to.side == target.to.side:
            continue
        output, entry = (
            (source.to, target.to) if source.to.side == "out" else (target.to, source.to)
        )
        if not any(rest.facility.equipment[p.equipment].removed for p in (output, entry)):
            yield normal, output, entry


def microphone_tapped(rest: Rest) -> Iterator[Case]:
    """Microphone outputs on a normal that a plug taps; one case per bay and kind of normal."""
    found: dict[tuple[str, str], list[tuple[Normal, PortAddress, PortAddress]]] = {}
    for normal, output, entry in _carried(rest):
        tapped = not (broken_by_source(normal.kind) and broken_by_target(normal.kind))
        if tapped and rest.facility.facts(output).level < MICROPHONE:
            key = normal.source.bay, NORMAL_NAMES[normal.kind]
            found.setdefault(key, []).append((normal, output, entry))
    for (_, kind), places in found.items():
        jacks = [place[0].source for place in places]
        names = listed(rest.port(place[1]) for place in places)
        phantom = [place[2] for place in places if rest.facility.facts(place[2]).phantom == "gives"]
        live = f", and {rest.port(phantom[0])} gives phantom to what is patched" if phantom else ""
        message = (
            f"{names} at {listed(map(rest.jack, jacks))} on a {kind}: a cord there puts two "
            f"preamplifiers on one microphone{live}."
        )
        yield Case("warning", rest.spelled(jacks), message)


def normal_unmarked(rest: Rest) -> Iterator[Case]:
    """Normals across positions of which nothing tells at the bay; one case per bay."""
    found: dict[str, list[tuple[Jack, Jack]]] = {}
    for normal in rest.facility.cross_normals:
        point = rest.facility.point(normal.target)
        if not point.note and not point.label(normal.target.row):
            found.setdefault(normal.target.bay, []).append((normal.source, normal.target))
    for ends in found.values():
        pairs = listed(f"{rest.jack(target)} from {rest.jack(source)}" for source, target in ends)
        message = f"Normaled across positions, with neither note nor label of its own: {pairs}."
        yield Case("note", rest.spelled(target for _, target in ends), message)


RULES = (
    Rule(
        "normaled-to-itself",
        "a box whose output is normaled to its own input",
        "An outboard unit's output above its own input on one position is handy for patching, but "
        "such a position must be non-normaled: with a normal the unit is fed by itself and howls. "
        "Full level into loudspeakers or headphones harms hearing.",
        "common practice; trade press on jackfield normals",
        "Make the position non-normaled (normal: none). Until then turn the monitors down and "
        "leave a dummy plug in it.",
        normaled_to_itself,
    ),
    Rule(
        "microphone-tapped",
        "a microphone on a normal that a plug taps",
        "On a half-normal a cord in the source jack taps the microphone: two preamplifiers then "
        "load it, and phantom power of one meets the other. A full-normal parts them.",
        "common practice",
        "Make the normal full. With phantom power: off, wait, then patch.",
        microphone_tapped,
    ),
    Rule(
        "normal-unmarked",
        "a normal across positions that nothing tells of at the bay",
        "A person takes it that a jack's normal runs to the jack above or below it. A normal wired "
        "across positions or bays surprises; the strip or a note at the position should say so.",
        "common practice",
        "Give the position of the target jack a note or a label that says where it is fed from.",
        normal_unmarked,
    ),
)
