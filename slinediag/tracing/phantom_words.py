"""What a trial does with phantom, in sentences: what to switch off before, and what must not be."""

from __future__ import annotations

from collections.abc import Mapping

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.phantom import PhantomHarm, PhantomReach
from slinediag.tracing.phrases import listed, port_name, port_names
from slinediag.tracing.values import Answer, LivePlug

MANY = 12
"""How many jacks or inputs a sentence names: whoever patches needs every one of them."""

HARM: Mapping[PhantomHarm, str] = {
    "harmed": "which must never meet it",
    "unbalanced": "which is unbalanced and shorts one leg",
    "given twice": "which gives phantom itself; let one input give it, not both",
    "not taken": "which is not said to take it",
}

SWITCH_OFF = "Switch it off first and leave it off, or do not patch this."


def phantom_sentences(answer: Answer) -> list[str]:
    """Dangers first, then warnings, then the plugs that move where phantom stands."""
    facility = answer.facility
    ranked = sorted(answer.phantom, key=lambda reach: reach.severity != "danger")
    return [_reach_sentence(facility, reach) for reach in ranked] + _live_sentences(answer)


def _reach_sentence(facility: Facility, reach: PhantomReach) -> str:
    port, givers = port_name(facility, reach.port), _names(facility, reach.givers)
    comes = "comes onto" if reach.new else "stands on"
    cure = f" {SWITCH_OFF}" if reach.new and reach.severity == "danger" else ""
    grave = reach.severity.upper()
    return f"{grave}: 48 V phantom from {givers} {comes} {port}, {HARM[reach.harm]}.{cure}"


def _live_sentences(answer: Answer) -> list[str]:
    """One sentence for all plugs at which the same inputs give phantom, in their order."""
    groups: dict[tuple[PortAddress, ...], list[LivePlug]] = {}
    for plug in answer.live:
        groups.setdefault(plug.givers, []).append(plug)
    return [_live_sentence(answer.facility, givers, plugs) for givers, plugs in groups.items()]


def _live_sentence(
    facility: Facility, givers: tuple[PortAddress, ...], plugs: list[LivePlug]
) -> str:
    pulled, put = (
        [jack_name(facility, plug.jack) for plug in plugs if plug.act == act]
        for act in ("pull", "put")
    )
    steps = [f"pull {listed(pulled, MANY)}"] if pulled else []
    steps += [f"put in {listed(put, MANY)}"] if put else []
    return (
        f"CAUTION: 48 V phantom is live when you {', then '.join(steps)}, and a moving plug "
        f"shorts it. Switch phantom off at {_names(facility, givers)}, turn the channel down, "
        "wait until it has died away, then patch."
    )


def _names(facility: Facility, ports: tuple[PortAddress, ...]) -> str:
    return listed(port_names(facility, ports), MANY)
