"""What a trial does with phantom, in sentences: what to switch off before, and what must not be."""

from __future__ import annotations

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.phantom import PhantomReach
from slinediag.tracing.phrases import listed, port_name, port_names
from slinediag.tracing.values import Answer, LivePlug

MANY = 12
"""How many jacks or inputs a sentence names: whoever patches needs every one of them."""


def phantom_sentences(answer: Answer) -> list[str]:
    """Dangers first, then warnings, then the plugs that move where phantom stands."""
    facility = answer.facility
    ranked = sorted(answer.phantom, key=lambda reach: reach.severity != "danger")
    return [_reach_sentence(facility, reach) for reach in ranked] + _live_sentences(answer)


def _reach_sentence(facility: Facility, reach: PhantomReach) -> str:
    port, givers = port_name(facility, reach.port), _names(facility, reach.givers)
    comes = "comes onto" if reach.new else "stands on"
    head = f"48 V phantom from {givers} {comes} {port}"
    if reach.harm == "harmed":
        what = "which must never meet it" + (". Do not patch this" if reach.new else "")
        return f"DANGER: {head}, {what}."
    if reach.harm == "unbalanced":
        return f"DANGER: {head}, which is unbalanced and shorts one leg."
    if reach.harm == "given twice":
        return f"WARNING: {head}, which gives phantom itself. Let one input give it, not both."
    return f"WARNING: {head}, which is not said to take it."


def _live_sentences(answer: Answer) -> list[str]:
    """One sentence for all plugs at which the same inputs give phantom, in their order."""
    groups: dict[tuple[PortAddress, ...], list[LivePlug]] = {}
    for plug in answer.live:
        groups.setdefault(plug.givers, []).append(plug)
    return [_live_sentence(answer.facility, givers, plugs) for givers, plugs in groups.items()]


def _live_sentence(
    facility: Facility, givers: tuple[PortAddress, ...], plugs: list[LivePlug]
) -> str:
    steps = [
        f"{'pull' if plug.act == 'pull' else 'put in'} {jack_name(facility, plug.jack)}"
        for plug in plugs
    ]
    return (
        f"CAUTION: 48 V phantom is live when you {listed(steps, MANY)}, and a moving plug shorts "
        f"it. Switch phantom off at {_names(facility, givers)}, turn the channel down, wait until "
        "it has died away, then patch."
    )


def _names(facility: Facility, ports: tuple[PortAddress, ...]) -> str:
    return listed(port_names(facility, ports), MANY)
