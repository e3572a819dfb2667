"""Ground loops in words: the way round, piece by piece."""

from __future__ import annotations

from typing import assert_never

from slinediag.address import natural
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.shields.loops import Loop
from slinediag.tracing.shields.metal import Bus, Chassis, Earth, Join, Metal


def way_round(facility: Facility, loop: Loop) -> str:
    """The way round a loop, as ``chassis A – wire shield – sleeve PB1 T3 – cord – …``.

    It begins at the chassis that comes first in natural order, where it has one, and ends there.
    """
    metal, joins = _turned(loop)
    steps = []
    for piece, join in zip(metal, joins, strict=True):
        if not isinstance(piece, Earth):
            steps.append(metal_name(facility, piece))
        if steps[-1:] != [join_name(join)]:
            steps.append(join_name(join))
    return " – ".join([*steps, metal_name(facility, metal[0])])


def metal_name(facility: Facility, metal: Metal) -> str:
    """A piece of metal in words."""
    if isinstance(metal, Earth):
        return "earth"
    if isinstance(metal, Chassis):
        return f"chassis {facility.equipment[metal.equipment].printed}"
    if isinstance(metal, Bus):
        row = {"T": " top row", "B": " bottom row", None: ""}[metal.row]
        return f"sleeve bus {facility.bays[metal.bay].printed}{row}"
    return f"sleeve {jack_name(facility, metal.jack)}"


def join_name(join: Join) -> str:
    """What joins two pieces of metal, in words."""
    match join.kind:
        case "bond":
            chassis = any(isinstance(metal, Chassis) for metal in join.ends)
            return "protective earth" if chassis else "technical earth"
        case "strap":
            return "strap"
        case "wire":
            return "wire shield"
        case "line" | "tie":
            return f"shield of {'tie' if join.kind == 'tie' else 'line'} {join.name}"
        case "mult":
            return f"mult {join.name}"
        case "cord":
            return "cord"
        case _:
            assert_never(join.kind)


def _turned(loop: Loop) -> tuple[tuple[Metal, ...], tuple[Join, ...]]:
    """The loop begun at its first chassis by natural order, else at metal that is not earth."""
    metal = loop.metal
    starts = [n for n, piece in enumerate(metal) if isinstance(piece, Chassis)]
    starts.sort(key=lambda n: natural(_equipment(metal[n])))
    others = [n for n, piece in enumerate(metal) if not isinstance(piece, Earth)]
    at = (starts or others or [0])[0]
    return (*metal[at:], *metal[:at]), (*loop.joins[at:], *loop.joins[:at])


def _equipment(metal: Metal) -> str:
    return metal.equipment if isinstance(metal, Chassis) else ""
