"""Rules on what the file says against what is wired: states of positions, ties, mults."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Jack, jack_order, partner
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.model.facility import Cord, Line
from slinediag.model.labels import port_label
from slinediag.tracing.words import listed


def state_wired(rest: Rest) -> Iterator[Case]:
    """Positions that are spare or reserved, but in use; one case per position."""
    for bay in rest.facility.bays.values():
        for position, point in sorted(bay.points.items()):
            if point.state not in ("spare", "reserved"):
                continue
            jacks = [Jack(bay.id, row, position) for row in bay.jack_rows]
            uses = [use for jack in jacks for use in _uses(rest, jack)]
            if uses:
                message = f"{bay.printed} {position} is marked {point.state}, but {listed(uses)}."
                yield Case("warning", rest.spelled(jacks), message)


def _uses(rest: Rest, jack: Jack) -> Iterator[str]:
    """What is at a jack, in words."""
    name = rest.jack(jack)
    wire = rest.facility.wires.get(jack)
    if wire is not None:
        yield f"{rest.port(wire.to)} is wired to {name}"
    if jack in rest.line_at:
        yield f"tie {rest.line_at[jack].id} ends at {name}"
    if jack in rest.mult_at:
        yield f"mult {rest.mult_at[jack].id} takes in {name}"
    if any(jack in (c.source, c.target) for c in rest.facility.cross_normals):
        yield f"a normal across positions is at {name}"
    if isinstance(rest.plug_at.get(jack), Cord):
        yield f"a standing cord is in {name}"


def removed_wired(rest: Rest) -> Iterator[Case]:
    """Jacks that still carry equipment that was removed; one case per box."""
    found: dict[str, list[Jack]] = {}
    for jack, wire in rest.facility.wires.items():
        if rest.facility.equipment[wire.to.equipment].removed:
            found.setdefault(wire.to.equipment, []).append(jack)
    for box_id, jacks in found.items():
        jacks.sort(key=jack_order)
        wires = rest.facility.wires
        labels = listed(port_label(rest.facility, wires[jack].to) for jack in jacks)
        message = (
            f"{rest.facility.equipment[box_id].printed} was removed, but {labels} still "
            f"stand{'s' * (len(jacks) == 1)} at {listed(map(rest.jack, jacks))}; nothing is joined "
            "there."
        )
        yield Case("note", (box_id, *rest.spelled(jacks)), message)


def tie_half(rest: Rest) -> Iterator[Case]:
    """Ties of which one end is normaled to a jack where nothing is; one case per pair of bays."""
    found: dict[tuple[str, str], list[tuple[Line, Jack]]] = {}
    for line in rest.facility.lines.values():
        ends = [end for end in (line.source, line.target) if isinstance(end, Jack)]
        for end, far in zip(ends, reversed(ends), strict=True):
            blind = _blind_normal(rest, end)
            if blind is not None and not rest.set_aside(end):
                found.setdefault((far.bay, end.bay), []).append((line, blind))
    for ties in found.values():
        names = listed(line.id for line, _ in ties)
        jacks = [jack for _, jack in ties]
        message = (
            f"Tie{'s' * (len(ties) > 1)} {names} {'are' if len(ties) > 1 else 'is'} normaled "
            f"to {listed(map(rest.jack, jacks))}, where nothing is wired."
        )
        ends_of = [end for line, _ in ties for end in (line.source, line.target)]
        yield Case("note", rest.spelled((*ends_of, *jacks)), message)


def _blind_normal(rest: Rest, jack: Jack) -> Jack | None:
    """The jack to which the normal of a tie's end leads, where nothing at all is there."""
    for normal in rest.circuit.normals_at(jack):
        other = normal.target if normal.source == jack else normal.source
        if partner(jack) == other and rest.rear_empty(other) and other not in rest.plug_at:
            return other
    return None


def mult_half(rest: Rest) -> Iterator[Case]:
    """Mults of fewer than two jacks."""
    for mult in rest.facility.mults.values():
        if len(mult.jacks) < 2:
            only = f"the one jack {rest.jack(mult.jacks[0])}" if mult.jacks else "no jack"
            where = rest.spelled(mult.jacks) or (mult.id,)
            yield Case("warning", where, f"Mult {mult.id} has {only}: it splits nothing.")


RULES = (
    Rule(
        "state-wired",
        "a position marked spare or reserved that is in use",
        "A spare position is one that somebody will take for something new. What is wired, tied, "
        "multed or patched there would be lost.",
        "common practice",
        "Mark the position used, or take off what is there.",
        state_wired,
    ),
    Rule(
        "removed-wired",
        "removed equipment that still stands at jacks",
        "Equipment kept for the record joins nothing, but its labels still stand on the strips, "
        "and what is cut off at the rear may be live at the other end.",
        "common practice",
        "Take it off the jacks and mark the positions spare.",
        removed_wired,
    ),
    Rule(
        "tie-half",
        "a tie line normaled to a jack where nothing is",
        "The end of a tie has a normal, but nothing is wired to the jack that it leads to. Either "
        "half of the tie is not wired yet, or the position ought to be non-normaled.",
        "tie lines are usually non-normaled: trade press",
        "Wire the other jack, or make the position non-normaled (normal: none).",
        tie_half,
    ),
    Rule(
        "mult-half",
        "a mult of fewer than two jacks",
        "A mult ties jacks in parallel, so that one source is split to many. With one jack it is "
        "half wired, and a cord put in there goes nowhere.",
        "common practice",
        "Add its other jacks, or take the mult out.",
        mult_half,
    ),
)
