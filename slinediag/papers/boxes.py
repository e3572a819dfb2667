"""The equipment that is wired: what each box is called, where it stands, what goes in and out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slinediag.address import natural
from slinediag.chart.ranges import compressed
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Facility
from slinediag.papers.table import Table, Value

PHANTOM = {"gives": "gives phantom power at", "harmed": "phantom power harms"}
COLUMNS = ("Id", "Label", "Name", "Stands at", "Outputs", "Inputs", "Note")


def equipment_table(facility: Facility) -> Table:
    """A row a box, in natural order of the labels; what was removed is left out."""
    boxes = [box for box in facility.equipment.values() if not box.removed]
    boxes.sort(key=lambda box: (natural(box.printed.casefold()), natural(box.id)))
    return Table("equipment", "Equipment", COLUMNS, tuple(map(_row, boxes)))


def _row(box: Equipment) -> tuple[Value, ...]:
    return (
        box.id,
        box.printed,
        box.name,
        box.place,
        _ids(box.outputs),
        _ids(box.inputs),
        "; ".join(_notes(box)) or None,
    )


def _notes(box: Equipment) -> Iterator[str]:
    """What to know of a box before it is wired."""
    if box.state == "spare":
        yield "spare"
    for phantom, words in PHANTOM.items():
        found = [p for p in box.ports if box.facts[p.id, p.side].phantom == phantom]
        if found:
            yield f"{words} {_ids(found)}"
    unbalanced = [p for p in box.ports if not box.facts[p.id, p.side].balanced]
    if unbalanced:
        yield f"unbalanced: {_ids(unbalanced)}"
    yield from (words for words in (box.caution, box.note) if words)


def _ids(ports: Iterable[Port]) -> str | None:
    """Port ids in the order filed, those that count up drawn together."""
    return compressed([port.id for port in ports]) or None
