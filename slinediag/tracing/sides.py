"""Left and right: the sides of stereo pairs, and inputs that would get the other side of one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import PortAddress
from slinediag.model.facility import Facility
from slinediag.tracing.hearing import bits


@dataclass(frozen=True, slots=True)
class Exchange:
    """An input that is one side of a pair, newly fed by an output that is the other side of one."""

    input: PortAddress
    output: PortAddress


def partner_of(facility: Facility, port: PortAddress) -> PortAddress | None:
    """The other side of the stereo pair that a port belongs to, on the same side of its box."""
    box = facility.equipment[port.equipment]
    for left, right in box.stereo_pairs:
        if port.port in (left, right):
            other = right if port.port == left else left
            if (other, port.side) in box.facts:
                return PortAddress(box.id, other, port.side)
    return None


def is_left(facility: Facility, port: PortAddress) -> bool:
    """Whether a port is the left of its pair."""
    pairs = facility.equipment[port.equipment].stereo_pairs
    return any(port.port == left for left, _ in pairs)


class Sides:
    """Which inputs and outputs of a facility are left and right, by their numbers."""

    def __init__(
        self,
        facility: Facility,
        inputs: Sequence[PortAddress],
        outputs: Sequence[PortAddress],
    ) -> None:
        number = {port: n for n, port in enumerate(inputs)}
        sides = [_left(facility, port) for port in outputs]
        left = sum(1 << n for n, side in enumerate(sides) if side is True)
        right = sum(1 << n for n, side in enumerate(sides) if side is False)
        self._twins: dict[int, tuple[int, int]] = {}
        for port, n in number.items():
            partner = partner_of(facility, port)
            if partner is not None:
                self._twins[n] = number[partner], right if is_left(facility, port) else left

    def exchanged(
        self, feeds: Mapping[int, int], rest: Sequence[int], before: Sequence[int]
    ) -> list[tuple[int, int]]:
        """(input, output) where an input newly gets the other side of a pair.

        Sets of outputs by input: ``feeds`` where they differ from ``rest``, ``before`` as filed.
        What got the other side before was filed so; what both inputs of a pair get is mono.
        """
        found = []
        for entry in sorted(feeds.keys() & self._twins.keys()):
            partner, others = self._twins[entry]
            mask = feeds[entry] & others & ~feeds.get(partner, rest[partner])
            if mask and not (rest[entry] | before[entry]) & others:
                found += [(entry, output) for output in bits(mask)]
        return found


def _left(facility: Facility, port: PortAddress) -> bool | None:
    """Whether a port is the left of a pair, or its right; None where it is of no pair."""
    return None if partner_of(facility, port) is None else is_left(facility, port)
