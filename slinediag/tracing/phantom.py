"""Where 48 V phantom stands, and what it reaches that should not have it.

Phantom stands on every net with an input that gives it, on both legs alike, and beyond a port
that passes it: from an output, along a path, to the input's side. Equipment taken as failed is
still counted: that its supply is dead is not to be relied on. Source: IEC 61938.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from slinediag.address import Address, Jack, PortAddress, port_order
from slinediag.circuit.circuit import Circuit
from slinediag.model.equipment import PortFacts
from slinediag.model.facility import Facility

PhantomHarm = Literal["harmed", "unbalanced", "given twice", "not taken"]
Severity = Literal["danger", "warning"]

SEVERITIES: Mapping[PhantomHarm, Severity] = {
    "harmed": "danger",
    "unbalanced": "danger",
    "given twice": "warning",
    "not taken": "warning",
}


@dataclass(frozen=True, slots=True)
class PhantomReach:
    """Phantom on a port that should not have it: from which inputs, and what is wrong with that.

    ``harmed``: it must never meet phantom; ``unbalanced``: it shorts one leg; ``given twice``: it
    gives phantom itself; ``not taken``: nothing says that it stands it. ``new`` where a trial
    brings it about.
    """

    port: PortAddress
    harm: PhantomHarm
    givers: tuple[PortAddress, ...]
    new: bool = False

    @property
    def severity(self) -> Severity:
        """How grave it is, in the words of findings."""
        return SEVERITIES[self.harm]


class Phantom:
    """The inputs of a facility that give phantom, and the paths that hand it on."""

    def __init__(self, facility: Facility) -> None:
        self._facts = facility.facts
        self.givers = tuple(
            sorted((p for p in facility.inputs() if self._gives(facility, p)), key=port_order)
        )
        self._giving = frozenset(self.givers)
        self._behind: dict[Address, list[PortAddress]] = {}
        self._beyond: dict[Address, list[PortAddress]] = {}
        self._read_paths(facility)

    def _gives(self, facility: Facility, port: PortAddress) -> bool:
        removed = facility.equipment[port.equipment].removed
        return not removed and facility.facts(port).phantom == "gives"

    def _read_paths(self, facility: Facility) -> None:
        """Note the paths of which either end passes phantom, both ways."""
        for box in facility.equipment.values():
            for entry, leaving in box.ways:
                here, there = PortAddress(box.id, entry, "in"), PortAddress(box.id, leaving, "out")
                if "passes" in (self._facts(here).phantom, self._facts(there).phantom):
                    self._behind.setdefault(here, []).append(there)
                    self._beyond.setdefault(there, []).append(here)

    def givers_at(self, circuit: Circuit, address: Address) -> tuple[PortAddress, ...]:
        """The inputs whose phantom stands at a jack or port, in natural order."""
        if not self.givers:
            return ()
        return self._givers_among(circuit, circuit.ends_with(address))

    def _givers_among(self, circuit: Circuit, ends: tuple[Address, ...]) -> tuple[PortAddress, ...]:
        """The inputs whose phantom stands on the net with these ends, in natural order."""
        found: set[PortAddress] = set()
        seen: set[Address] = set()
        nets = [ends]
        while nets:
            net = nets.pop()
            seen.update(net)
            found.update(self._giving.intersection(net))
            outputs = [output for end in net for output in self._behind.get(end, ())]
            nets += [circuit.ends_with(output) for output in outputs if output not in seen]
        return tuple(sorted(found, key=port_order))

    def reached(self, circuit: Circuit) -> tuple[PhantomReach, ...]:
        """Every port of the facility with phantom on it that should have none."""
        return self.reached_from(circuit, self.givers)

    def reached_from(self, circuit: Circuit, starts: Iterable[Address]) -> tuple[PhantomReach, ...]:
        """The same, of the ports on the nets of these jacks and ports, and beyond those."""
        if not self.givers:
            return ()
        found: dict[PortAddress, PhantomReach] = {}
        queue = list(starts)
        seen: set[Address] = set()
        for start in queue:
            if start in seen:
                continue
            ends = circuit.ends_with(start)
            seen.update(ends)
            givers = self._givers_among(circuit, ends)
            ports = [end for end in ends if not isinstance(end, Jack)] if givers else []
            for port in ports:
                queue.extend(self._beyond.get(port, ()))
                reach = self._judged(circuit, port, givers)
                if reach is not None:
                    found[port] = reach
        return tuple(found[port] for port in sorted(found, key=port_order))

    def _judged(
        self, circuit: Circuit, port: PortAddress, givers: tuple[PortAddress, ...]
    ) -> PhantomReach | None:
        """What is wrong with phantom of these inputs on a port; None where nothing is."""
        others = tuple(giver for giver in givers if giver != port)
        harm = harm_of(self._facts(port)) if others else None
        if harm is None:
            return None
        if harm == "not taken" and any(
            self.givers_at(circuit, output) for output in self._behind.get(port, ())
        ):
            return None
        return PhantomReach(port, harm, others)


def harm_of(port: PortFacts) -> PhantomHarm | None:
    """What is wrong with a port that phantom reaches; None where it takes it or passes it on."""
    if port.phantom == "harmed":
        return "harmed"
    if not port.balanced:
        return "unbalanced"
    if port.phantom == "gives":
        return "given twice"
    return "not taken" if port.phantom == "none" else None
