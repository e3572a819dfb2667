"""Wires of two positions that stand in each other's place: one mistake that shows at two jacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slinediag.address import Jack, jack_order
from slinediag.commissioning.diagnosis import Diagnosis

FAR = 1000


@dataclass(frozen=True, slots=True)
class Exchange:
    """Two jacks whose wires may be exchanged; ``sole`` where no third jack lacks its wire."""

    one: Jack
    other: Jack
    sole: bool


def find_exchanges(diagnoses: Sequence[Diagnosis]) -> tuple[Exchange, ...]:
    """For each jack whose wire is not there the jack that it is likeliest exchanged with.

    One exchange explains what would be four open legs, and so comes before them. Neighbours in a
    row are exchanged before jacks further apart.
    """
    lost = sorted(_without_wire(diagnoses), key=jack_order)
    found: dict[frozenset[Jack], Exchange] = {}
    for jack in lost:
        others = [other for other in lost if other != jack]
        if others:
            other = min(others, key=lambda j: (_apart(jack, j), jack_order(j)))
            one, two = sorted((jack, other), key=jack_order)
            found.setdefault(frozenset((one, two)), Exchange(one, two, len(lost) == 2))
    return tuple(found.values())


def _without_wire(diagnoses: Sequence[Diagnosis]) -> set[Jack]:
    """The jacks of which some explanation has the wire elsewhere."""
    return {
        diagnosis.point.jack(cause.place)
        for diagnosis in diagnoses
        if diagnosis.verdict == "fault"
        for explanation in diagnosis.explanations
        for cause in explanation.causes
        if cause.kind == "wire elsewhere" and cause.place is not None
    }


def _apart(one: Jack, other: Jack) -> int:
    """How far two jacks are from each other for the hand that punches them down."""
    if one.bay != other.bay:
        return FAR
    return 2 * abs(one.position - other.position) + (one.row != other.row)
