"""Equipment and its ports, as filed, with what holds where the file says nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Literal

from slinediag.address import PortAddress, Side

Drive = Literal["floating", "driven"]
Phantom = Literal["none", "gives", "takes", "harmed", "passes"]
State = Literal["used", "spare", "removed"]
Drawn = Literal["parts", "whole"]
Paths = Literal["straight", "all"] | tuple[tuple[str, tuple[str, ...]], ...]
"""Paths as filed: a word, or (output id, input ids) pairs in the order of the file."""

NOMINAL_LEVEL = 4.0
HEADROOM = 20.0
OUTPUT_IMPEDANCE = 100.0
INPUT_IMPEDANCE = 20000.0


@dataclass(frozen=True, slots=True)
class PortKeys:
    """Port keys as filed; None where the file says nothing. Levels in dBu, impedance in ohm."""

    label: str | None = None
    level: float | None = None
    max: float | None = None
    impedance: float | None = None
    balanced: bool | None = None
    drive: Drive | None = None
    phantom: Phantom | None = None
    priority: int | None = None
    origin: bool | None = None
    standby: bool | None = None
    instead: tuple[PortAddress, ...] | None = None

    def over(self, defaults: PortKeys) -> PortKeys:
        """These keys, with those of ``defaults`` where these are unset."""
        return PortKeys(
            **{
                f.name: own
                if (own := getattr(self, f.name)) is not None
                else getattr(defaults, f.name)
                for f in fields(self)
            }
        )


@dataclass(frozen=True, slots=True)
class Port:
    """One output or input of equipment: its id, its side, and its keys as filed."""

    id: str
    side: Side
    keys: PortKeys = PortKeys()


@dataclass(frozen=True, slots=True)
class PortFacts:
    """What holds for a port once defaults are applied. Levels in dBu, impedance in ohm at 1 kHz."""

    address: PortAddress
    label: str
    level: float
    max: float
    impedance: float
    balanced: bool
    drive: Drive
    phantom: Phantom
    priority: int | None
    origin: bool
    standby: bool
    instead: tuple[PortAddress, ...]


@dataclass(frozen=True)
class Equipment:
    """A box with audio ports, as filed."""

    id: str
    name: str
    label: str | None = None
    place: str | None = None
    outputs: tuple[Port, ...] = ()
    inputs: tuple[Port, ...] = ()
    paths: Paths | None = None
    bypass: Paths | None = None
    pairs: tuple[tuple[str, str], ...] | None = None
    defaults: PortKeys = PortKeys()
    priority: int | None = None
    earthed: bool | None = None
    drawn: Drawn | None = None
    caution: str | None = None
    state: State | None = None
    note: str | None = None

    def __getstate__(self) -> dict[str, object]:
        """Only what is filed: what is worked out may be added while another thread pickles."""
        return {f.name: getattr(self, f.name) for f in fields(self)}

    @property
    def printed(self) -> str:
        """The label that strips and the chart print."""
        return self.label if self.label is not None else self.id

    @property
    def removed(self) -> bool:
        """Whether it is kept for the record only and joins nothing."""
        return self.state == "removed"

    @property
    def ports(self) -> Iterator[Port]:
        """Outputs, then inputs, as filed."""
        yield from self.outputs
        yield from self.inputs

    @cached_property
    def facts(self) -> dict[tuple[str, Side], PortFacts]:
        """Facts by (port id, side)."""
        return {(p.id, p.side): port_facts(self, p) for p in self.ports}

    @cached_property
    def ways(self) -> tuple[tuple[str, str], ...]:
        """Its paths as (input id, output id) pairs."""
        return resolve_paths(self.paths, self.inputs, self.outputs)

    @cached_property
    def ways_from(self) -> Mapping[str, tuple[str, ...]]:
        """By input id, the ids of the outputs that its paths lead to, in their order."""
        return _gathered(self.ways)

    @cached_property
    def ways_to(self) -> Mapping[str, tuple[str, ...]]:
        """By output id, the ids of the inputs that its paths come from, in their order."""
        return _gathered((o, i) for i, o in self.ways)

    @cached_property
    def bypass_ways(self) -> tuple[tuple[str, str], ...]:
        """The paths that stand when it has failed, as (input id, output id) pairs."""
        return resolve_paths(self.bypass, self.inputs, self.outputs)

    @cached_property
    def stereo_pairs(self) -> tuple[tuple[str, str], ...]:
        """Stereo pairs of port ids, filed or found by a final L and R."""
        if self.pairs is not None:
            return self.pairs
        ids = list(dict.fromkeys(p.id for p in self.ports))
        known = set(ids)
        return tuple((i, i[:-1] + "R") for i in ids if i.endswith("L") and i[:-1] + "R" in known)


def _gathered(pairs: Iterable[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    """By what comes first in some pairs, all that comes second."""
    found: dict[str, list[str]] = {}
    for one, other in pairs:
        found.setdefault(one, []).append(other)
    return {one: tuple(others) for one, others in found.items()}


def port_facts(equipment: Equipment, port: Port) -> PortFacts:
    """The port's own keys over the equipment's defaults over what format and trade assume."""
    keys = port.keys.over(equipment.defaults)
    level = keys.level if keys.level is not None else NOMINAL_LEVEL
    impedance = OUTPUT_IMPEDANCE if port.side == "out" else INPUT_IMPEDANCE
    return PortFacts(
        address=PortAddress(equipment.id, port.id, port.side),
        label=keys.label if keys.label is not None else port.id,
        level=level,
        max=keys.max if keys.max is not None else level + HEADROOM,
        impedance=keys.impedance if keys.impedance is not None else impedance,
        balanced=keys.balanced is not False,
        drive=keys.drive or "floating",
        phantom=keys.phantom or "none",
        priority=keys.priority if keys.priority is not None else equipment.priority,
        origin=bool(keys.origin),
        standby=bool(keys.standby),
        instead=keys.instead or (),
    )


def resolve_paths(
    paths: Paths | None, inputs: tuple[Port, ...], outputs: tuple[Port, ...]
) -> tuple[tuple[str, str], ...]:
    """Paths as (input id, output id) pairs, in the order of outputs, then of inputs."""
    if paths is None:
        return ()
    if paths == "straight":
        return tuple((i.id, o.id) for i, o in zip(inputs, outputs, strict=True))
    if paths == "all":
        return tuple((i.id, o.id) for o in outputs for i in inputs)
    return tuple((i, o) for o, sources in paths for i in sources)
