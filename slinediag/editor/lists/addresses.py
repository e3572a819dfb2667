"""Addresses in cells: read by the file's reader, or found by a label that is printed once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from slinediag.address import Address, Jack, PortAddress, Side, read_spelling
from slinediag.editor.finding import folded
from slinediag.editor.lists.judge import register_of
from slinediag.editor.lists.kinds import asked
from slinediag.file.claims import Uses
from slinediag.file.panels import TIE_HINT
from slinediag.file.register import Register, Resolver
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name, port_label
from slinediag.problems import RequestError, problem

T = TypeVar("T")


class Kept(Generic[T]):
    """What has been worked out of some parts of a facility, kept while they are the same ones."""

    def __init__(self, make: Callable[[Facility], T], *parts: str) -> None:
        self._make = make
        self._parts = parts
        self._of: tuple[object, ...] = ()
        self._value: T | None = None

    def __call__(self, facility: Facility) -> T:
        """What it is of a facility."""
        of = tuple(getattr(facility, part) for part in self._parts)
        same = len(of) == len(self._of) and all(a is b for a, b in zip(of, self._of, strict=True))
        if self._value is None or not same:
            self._value, self._of = self._make(facility), of
        return self._value


Labels = dict[str, list[T]]


def _labels_of_ports(facility: Facility) -> Labels[PortAddress]:
    labels: Labels[PortAddress] = {}
    for port in (*facility.outputs(), *facility.inputs()):
        labels.setdefault(folded(port_label(facility, port)), []).append(port)
    return labels


def _labels_of_jacks(facility: Facility) -> Labels[Jack]:
    labels: Labels[Jack] = {}
    for jack in facility.jacks:
        for name in {jack_name(facility, jack), jack_label(facility, jack)}:
            if name:
                labels.setdefault(folded(name), []).append(jack)
    return labels


def _ports_register(facility: Facility) -> Register:
    return register_of(facility)


labels_of_ports = Kept(_labels_of_ports, "equipment")
labels_of_jacks = Kept(_labels_of_jacks, "equipment", "bays")
ports_register = Kept(_ports_register, "equipment")


def read_port(facility: Facility, text: str, side: Side) -> PortAddress:
    """The port that a text names; ``side`` is that of its place. RequestError where it is none."""
    found = _lone(labels_of_ports(facility), text) if _is_name(text) else None
    if found is not None:
        return found
    read = _resolved(facility, text, lambda resolver, node: resolver.port(node, "", side, TIE_HINT))
    assert isinstance(read, PortAddress)
    return read


def read_jack(facility: Facility, text: str) -> Jack:
    """The jack that a text names; RequestError where it is none."""
    found = _lone(labels_of_jacks(facility), text) if _is_name(text) else None
    if found is not None:
        return found
    read = _resolved(facility, text, lambda resolver, node: resolver.jack(node, ""))
    assert isinstance(read, Jack)
    return read


def read_end(facility: Facility, text: str, side: Side) -> Address:
    """The jack or port that a text names; RequestError where it is neither."""
    if _is_name(text):
        ends = (_lone(labels_of_ports(facility), text), _lone(labels_of_jacks(facility), text))
        found = next((end for end in ends if end is not None), None)
        if found is not None:
            return found
    return _resolved(facility, text, lambda resolver, node: resolver.end(node, "", side))


def read_cable(facility: Facility, text: str) -> str | None:
    """A cable, or a pair of one; RequestError where it is neither."""
    if not text.strip():
        return None
    found: str | None = asked(
        lambda node, mistakes: Uses(dict(facility.cables), mistakes).cable(node, "", ""),
        text.strip(),
    )
    return found


def _is_name(text: str) -> bool:
    """Whether a text cannot be an address, and may be a label."""
    return bool(text.strip()) and read_spelling(text) is None


def _lone(labels: Labels[T], text: str) -> T | None:
    """The one thing of a label; RequestError where there are several."""
    found = labels.get(folded(text), [])
    if len(found) < 2:
        return found[0] if found else None
    some = " or ".join(str(thing) for thing in found[:3])
    what = f"{len(found)} things bear the label {text.strip()}"
    raise RequestError([problem("", what, f"Say which: {some}")])


def _resolved(facility: Facility, text: str, read: Callable[..., Address | None]) -> Address:
    register = Register(ports_register(facility).ports, dict(facility.bays))
    found: Address = asked(
        lambda node, mistakes: read(Resolver(register, mistakes), node), text.strip()
    )
    return found
