"""Printed labels: what stands at a jack or port, and which thing a label names."""

from __future__ import annotations

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility


def port_label(facility: Facility, port: PortAddress) -> str:
    """The label of a port: that of its equipment and its own, as ``DISC 1 L``."""
    box = facility.equipment[port.equipment]
    return f"{box.printed} {box.facts[port.port, port.side].label}".strip()


def jack_label(facility: Facility, jack: Jack) -> str | None:
    """The label printed at a jack: the filed one, else that of the port it carries, else None."""
    filed = facility.point(jack).label(jack.row)
    if filed is not None:
        return filed
    wire = facility.wires.get(jack)
    return port_label(facility, wire.to) if wire is not None else None


def jack_name(facility: Facility, jack: Jack) -> str:
    """A jack as people say it: bay label, row and position, as ``PB1 T3``."""
    bay = facility.bays[jack.bay]
    return f"{bay.printed} {jack.row}{jack.position}"


def labelled_jack(facility: Facility, jack: Jack) -> str:
    """A jack by name and, where one is printed there, label: ``PB1 T3 (DISC 1 L)``."""
    label = jack_label(facility, jack)
    return f"{jack_name(facility, jack)} ({label})" if label else jack_name(facility, jack)
