"""What things are called on screen."""

from __future__ import annotations

from slinediag.address import Jack
from slinediag.editor.things import Box, Net, Thing
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack, port_label


def thing_name(facility: Facility, thing: Thing) -> str:
    """A thing by the labels that are printed at it."""
    if isinstance(thing, Box):
        box = facility.equipment.get(thing.id)
        if box is None:
            return thing.id
        return f"{box.printed}: {box.name}" if box.name != box.printed else box.name
    if isinstance(thing, Net):
        return f"line at {', '.join(thing_name(facility, end) for end in thing.ends)}"
    if isinstance(thing, Jack):
        return labelled_jack(facility, thing) if thing.bay in facility.bays else str(thing)
    if thing.equipment not in facility.equipment:
        return str(thing)
    return port_label(facility, thing)
