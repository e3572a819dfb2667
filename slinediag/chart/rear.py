"""What is joined behind the bays for good: wires, tie lines, mults, leads of normals.

Each such net has ends on the chart; an end on the right of a node is a source there, one on the
left a target, whatever audio does.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from slinediag.address import Address, Jack, PortAddress, jack_order, port_order
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.points import PointPlan, PointRow
from slinediag.chart.subject import joins
from slinediag.model.facility import Facility

IN_A_ROW = 6
"""Positions of a mult that follow each other on one line."""

Key = Address | tuple[str, Jack]
"""What is joined: an address, or the entry of a normal in the node of the jack it runs to."""


@dataclass(frozen=True, slots=True)
class RearEnd:
    """Where a rear net meets a node: the node, its port, and what stands there.

    ``address`` is None for the entry of a normal, which is no jack. ``members``: all that stand
    there where lines are folded.
    """

    node: str
    port: str
    address: Address | None
    members: tuple[Address, ...] = ()

    @property
    def addresses(self) -> tuple[Address, ...]:
        """What stands there, or all of it."""
        if self.members or self.address is None:
            return self.members
        return (self.address,)


@dataclass(frozen=True, slots=True)
class RearNet:
    """What is joined at the rear. ``sources`` lie on the right of nodes, ``targets`` on the left.

    ``through``: positions whose two jacks both belong to it, each as (left end, right end);
    the net runs through them one after the other. ``name`` is its lowest address.
    """

    name: str
    sources: tuple[RearEnd, ...]
    targets: tuple[RearEnd, ...]
    through: tuple[tuple[RearEnd, RearEnd], ...]
    addresses: tuple[Address, ...]

    @property
    def circuits(self) -> tuple[tuple[Address, ...], ...]:
        """The circuits that its line stands for, each by its ends; none where it is not folded."""
        folded = [end.members for end in (*self.sources, *self.targets) if end.members]
        return tuple(zip(*folded, strict=True))

    @property
    def pieces(self) -> tuple[tuple[tuple[RearEnd, ...], tuple[RearEnd, ...]], ...]:
        """The net as parts to be routed, each with its sources and targets.

        Many positions that it runs through stand in rows, which one trunk joins at their left.
        """
        if not self.through:
            return ((self.sources, self.targets),)
        rows = [self.through[n : n + IN_A_ROW] for n in range(0, len(self.through), IN_A_ROW)]
        chain = [
            ((right,), (left,)) for row in rows for (_, right), (left, _) in itertools.pairwise(row)
        ]
        firsts = tuple(row[0][0] for row in rows)
        return ((self.sources, firsts), *chain, ((rows[0][-1][1],), self.targets))


def rear_nets(
    facility: Facility, boxes: Iterable[BoxPlan], points: Iterable[PointPlan]
) -> tuple[RearNet, ...]:
    """All nets with an end on the chart, by name; a lone end is a net without a line."""
    ends, sides, through = _ends(boxes, points)
    groups: dict[Key, list[Key]] = {}
    root = _joined(facility, ends)
    for key in ends:
        groups.setdefault(root[key], []).append(key)
    nets = [_net(keys, ends, sides, through) for keys in groups.values()]
    return tuple(sorted(nets, key=lambda net: _address_order(net.addresses[0])))


def _ends(
    boxes: Iterable[BoxPlan], points: Iterable[PointPlan]
) -> tuple[dict[Key, RearEnd], dict[Key, str], dict[Jack, Jack]]:
    """Every end on the chart, its side of the node, and left to right jack of what runs through."""
    ends: dict[Key, RearEnd] = {}
    sides: dict[Key, str] = {}
    through: dict[Jack, Jack] = {}
    for box in boxes:
        for slot in (*box.inputs, *box.outputs):
            ends[slot.port] = RearEnd(box.id, slot.port.port, slot.port, slot.members)
            sides[slot.port] = "left" if slot.port.side == "in" else "right"
    for point in points:
        for row in point.rows:
            members = {spot.jack: spot.members for spot in (row.left, row.right) if spot}
            for key, port, side in _row_ends(row):
                stands = members.get(key, ()) if isinstance(key, Jack) else ()
                ends[key] = RearEnd(point.id, port, _as_address(key), stands)
                sides[key] = side
            if row.through and row.left and row.right:
                through[row.left.jack] = row.right.jack
    return ends, sides, through


def _as_address(key: Key) -> Address | None:
    return key if isinstance(key, Jack | PortAddress) else None


def entry_port(target: Jack) -> str:
    """The port of a node at which a normal to one of its jacks comes in."""
    return f"to {target.row}"


def _row_ends(row: PointRow) -> Iterator[tuple[Key, str, str]]:
    if row.left:
        yield row.left.jack, f"{row.left.jack.row}", "left"
    if row.right:
        yield row.right.jack, f"{row.right.jack.row}", "right"
    if row.entry and row.normal:
        yield ("entry", row.normal.target), entry_port(row.normal.target), "left"


def _joined(facility: Facility, ends: Mapping[Key, RearEnd]) -> dict[Key, Key]:
    """Each end's root in its net (union-find)."""
    root: dict[Key, Key] = {key: key for key in ends}

    def find(key: Key) -> Key:
        while root[key] != key:
            root[key] = root[root[key]]
            key = root[key]
        return key

    for one, other in _joints(facility):
        if one in root and other in root:
            root[find(one)] = find(other)
    return {key: find(key) for key in ends}


def _joints(facility: Facility) -> Iterator[tuple[Key, Key]]:
    for jack, wire in facility.wires.items():
        if joins(facility, wire.to):
            yield jack, wire.to
    for line in facility.lines.values():
        if joins(facility, line.source) and joins(facility, line.target):
            yield line.source, line.target
    for mult in facility.mults.values():
        yield from zip(mult.jacks, mult.jacks[1:], strict=False)
    for cross in facility.cross_normals:
        yield cross.source, ("entry", cross.target)


def _net(
    keys: list[Key],
    ends: Mapping[Key, RearEnd],
    sides: Mapping[Key, str],
    through: Mapping[Jack, Jack],
) -> RearNet:
    """The net of what is joined: its ends by the side they are on, what it runs through."""
    ordered = sorted(keys, key=_key_order)
    passed = {jack for pair in through.items() for jack in pair}
    addresses = tuple(address for key in ordered for address in ends[key].addresses)
    chain = tuple(
        (ends[key], ends[through[key]])
        for key in ordered
        if isinstance(key, Jack) and key in through
    )
    free = [key for key in ordered if key not in passed]
    return RearNet(
        name=str(addresses[0]) if addresses else "",
        sources=tuple(ends[key] for key in free if sides[key] == "right"),
        targets=tuple(ends[key] for key in free if sides[key] == "left"),
        through=chain,
        addresses=addresses,
    )


def _address_order(address: Address) -> tuple[object, ...]:
    if isinstance(address, Jack):
        return (0, *jack_order(address))
    return (1, *port_order(address))


def _key_order(key: Key) -> tuple[object, ...]:
    if isinstance(key, Jack | PortAddress):
        return (*_address_order(key), 0)
    return (*_address_order(key[1]), 1)
