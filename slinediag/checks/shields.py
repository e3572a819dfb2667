"""Rules on shields: ground loops at rest and through cords, shields and sleeves that float.

Protective earth stays on every unit, always; no cure here touches it.
"""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Jack, jack_order, natural
from slinediag.checks.finding import Severity
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.shields.loops import Loop, severity_of, unbalanced_in
from slinediag.tracing.shields.metal import Join
from slinediag.tracing.shields.words import way_round
from slinediag.tracing.words import listed

EARTH_STAYS = "Protective earth stays on every unit, always; local codes rule."
IN_ONE_BAY = (
    "It spans one panel and seldom hums: listen, then accept it; or leave those sleeves joined in "
    f"one way only. {EARTH_STAYS}"
)
EXPECTED = f"Nothing, as long as it is quiet: the practice expects it. {EARTH_STAYS}"
UNBALANCED = (
    "Balance the unbalanced unit by a transformer or a matching amplifier beside it, or lift the "
    f"audio shield of its wire at one end. {EARTH_STAYS}"
)
SHOWN = 3
"""How many ways round one finding spells out before it counts the rest."""


def shield_loop(rest: Rest) -> Iterator[Case]:
    """Ground loops that stand without a cord; those of one family share a case."""
    groups: dict[tuple[object, ...], list[Loop]] = {}
    for loop in rest.shields.loops:
        if loop.cord is None:
            groups.setdefault(_family(rest, loop), []).append(loop)
    for loops in groups.values():
        yield _case(rest, loops)


def cord_shield_loop(rest: Rest) -> Iterator[Case]:
    """Ground loops that standing cords close, each by itself."""
    for loop in rest.shields.loops:
        if loop.cord is not None:
            yield _case(rest, [loop])


def _family(rest: Rest, loop: Loop) -> tuple[object, ...]:
    """What loops that are told together have in common.

    Those of one mult; those that one bay's straps and bonds close; those through the same boxes
    and bays, or, where loops are expected, through the same bays.
    """
    closing = loop.joins[-1]
    if loop.bay is not None:
        return loop.bay, closing.kind, closing.name if closing.kind == "mult" else ""
    bays = frozenset(jack.bay for jack in loop.jacks)
    if rest.facility.practice.shields == "both" and not unbalanced_in(rest.facility, [loop]):
        return (bays,)
    return frozenset(loop.chassis), bays


def _case(rest: Rest, loops: list[Loop]) -> Case:
    severity, why, cure = _grade(rest, loops)
    jacks = sorted({jack for loop in loops for jack in loop.jacks}, key=jack_order)
    chassis = sorted({box for loop in loops for box in loop.chassis}, key=natural)
    bay = loops[0].bay
    where = (*rest.spelled(jacks), *chassis) or (bay or "",)
    place = f"within bay {rest.facility.bays[bay].printed}" if bay else "between chassis"
    many = f"{len(loops)} ground loops" if len(loops) > 1 else "A ground loop"
    ways = list(dict.fromkeys(way_round(rest.facility, loop) for loop in loops))
    more = f"; and {len(ways) - SHOWN} more alike" if len(ways) > SHOWN else ""
    message = f"{many} {place}{_through(rest, loops[0])}: {'; '.join(ways[:SHOWN])}{more}{why}."
    return Case(severity, where, message, cure)


def _through(rest: Rest, loop: Loop) -> str:
    """The cord that closes a loop, in words; nothing where none does."""
    if loop.cord is None:
        return ""
    one, other = loop.cord.jacks
    return f" through the cord {rest.jack(one)} to {rest.jack(other)}"


def _grade(rest: Rest, loops: list[Loop]) -> tuple[Severity, str, str]:
    """How grave loops are, why, and a cure of their own: by practice, by what they run through,
    by unbalanced ports in them."""
    severity = severity_of(rest.facility, loops)
    unbalanced = unbalanced_in(rest.facility, loops)
    if unbalanced:
        several = "are" if len(unbalanced) > 1 else "is"
        names = listed(map(rest.port, unbalanced))
        return severity, f"; {names} in it {several} unbalanced", UNBALANCED
    if rest.facility.practice.shields == "both":
        return severity, "; expected where shields are joined at both ends", EXPECTED
    return severity, "", IN_ONE_BAY if severity == "note" and loops[0].local else ""


def shield_floats(rest: Rest) -> Iterator[Case]:
    """Shields that are joined nowhere at all; one case per bay or line."""
    groups: dict[str, list[Join]] = {}
    for join in rest.shields.floating_shields:
        if not join.ends:
            at = join.jacks[0].bay if join.jacks else join.name
            groups.setdefault(at, []).append(join)
    for joins in groups.values():
        jacks = [jack for join in joins for jack in join.jacks]
        ports = [port for join in joins for port in join.ports]
        places = listed(map(rest.jack, jacks)) if jacks else listed(map(rest.port, ports))
        message = f"The shield{'s' * (len(joins) > 1)} at {places} are joined at neither end."
        if len(joins) == 1:
            message = f"The shield at {places} is joined at neither end."
        yield Case("warning", rest.spelled((*jacks, *ports)), message)


def sleeves_float(rest: Rest) -> Iterator[Case]:
    """Bays whose sleeves in use have no way to earth; one case per bay."""
    groups: dict[str, list[Jack]] = {}
    for jack in rest.shields.floating_sleeves:
        if not rest.rear_empty(jack) or jack in rest.plug_at:
            groups.setdefault(jack.bay, []).append(jack)
    for bay_id, jacks in groups.items():
        bay = rest.facility.bays[bay_id]
        silent = bay.sleeves is None and bay.earthed is None
        several = len(jacks) > 1
        message = (
            f"{'Sleeves' if several else 'A sleeve'} of bay {bay.printed} "
            f"{'have' if several else 'has'} no way to earth: {listed(map(rest.jack, jacks))}"
            f"{SILENT if silent else ''}."
        )
        yield Case("note" if silent else "warning", (bay_id, *rest.spelled(jacks)), message)


SILENT = " (the file says nothing of them, so they count as single and not bonded)"

RULES = (
    Rule(
        "shield-loop",
        "a ground loop through shields, without any cord",
        "A shield joined at both ends between two units that are earthed anyway is a way round: "
        "current of the mains' earth flows along the shield, and hum comes in where a unit does "
        "not keep it out. Loops within one bay span little and are notes. Where the practice is "
        "to join shields at both ends, to the chassis (AES48-2005), loops are expected and are "
        "notes, unless an unbalanced port is in one. " + EARTH_STAYS,
        "AES48-2005; star at the bay: common practice",
        "Open the loop in the audio shield: lift it at one end of one wire, by the facility's "
        "practice. " + EARTH_STAYS,
        shield_loop,
    ),
    Rule(
        "cord-shield-loop",
        "a ground loop that a standing cord closes",
        "A cord joins sleeve to sleeve. Where both have a way to earth already, it closes a loop "
        "that goes once it is pulled. Between bays bonded in one rack it is short, and a note. "
        + EARTH_STAYS,
        "AES48-2005; star at the bay: common practice",
        "Where it hums, carry the feed by a tie line with its shield joined at one end, or put a "
        "line transformer in. " + EARTH_STAYS,
        cord_shield_loop,
    ),
    Rule(
        "shield-floats",
        "a shield that is joined at neither end",
        "A shield that is joined to nothing shields nothing, and hands on what it picks up.",
        "common practice",
        "Join it at one end at least, by the facility's practice.",
        shield_floats,
    ),
    Rule(
        "sleeves-float",
        "sleeves of a bay that have no way to earth",
        "Shields that end on a sleeve without a way to earth float, and so does the shield of "
        "every cord patched there. A bay that is bonded nowhere is poor practice; so is a cord "
        "between sleeves of which neither is joined to anything.",
        "common practice",
        "Bond the bay's sleeves to technical earth (earthed: true), or join the wires' shields at "
        "both ends. Work on earthing is for licensed people under local codes.",
        sleeves_float,
    ),
)
