"""Finds things by what people call them: addresses, labels, names, cables, places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from slinediag.address import Jack, PortAddress
from slinediag.editor.things import Box, Thing
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.model.find import find_jack
from slinediag.model.labels import jack_label, jack_name, port_label

MOST = 40


@dataclass(frozen=True, slots=True)
class Hit:
    """A thing that a text may mean: what it is found by, and where and what it is."""

    words: str
    where: str
    thing: Thing

    def __str__(self) -> str:
        return f"{self.words}   {self.where}"


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything in a facility that can be found, each under each of its names."""

    entries: tuple[tuple[str, Hit], ...]

    def find(self, text: str, most: int = MOST) -> tuple[Hit, ...]:
        """What the text may mean: named just so, then begun by it, then holding it.

        Where nothing bears the text as it is typed, points and spaces are left out: ``pb2t7``.
        """
        found = self._ranked(folded(text), self.entries)
        if not found:
            closed = ((_closed(name), hit) for name, hit in self.entries)
            found = self._ranked(_closed(folded(text)), closed)
        return tuple({(hit.thing, hit.where): hit for hit in reversed(found)}.values())[::-1][:most]

    @staticmethod
    def _ranked(wanted: str, entries: Iterable[tuple[str, Hit]]) -> list[Hit]:
        if not wanted:
            return []
        ranked: list[list[Hit]] = [[], [], [], []]
        for name, hit in entries:
            at = name.find(wanted)
            if at < 0:
                continue
            if name == wanted:
                ranked[0].append(hit)
            elif at == 0:
                ranked[1].append(hit)
            else:
                ranked[2 if name[at - 1] in " .-/" else 3].append(hit)
        return [hit for rank in ranked for hit in rank]


def folded(text: str) -> str:
    """A text with case and spaces made alike."""
    return " ".join(text.split()).casefold()


def _closed(text: str) -> str:
    return text.replace(" ", "").replace(".", "")


def catalogue(facility: Facility) -> Catalogue:
    """The catalogue of a facility, in its order: equipment, ports, jacks, cables, places."""
    hits = (
        *_equipment(facility),
        *_ports(facility),
        *_jacks(facility),
        *_cables(facility),
    )
    return Catalogue(tuple((folded(name), hit) for name, hit in hits))


def _equipment(facility: Facility) -> Iterator[tuple[str, Hit]]:
    for box in facility.equipment.values():
        what = f"{box.name}{f', {box.place}' if box.place else ''}"
        hit = Hit(box.printed, what, Box(box.id))
        for name in dict.fromkeys((box.printed, box.id, box.name)):
            yield name, hit
        if box.place:
            yield box.place, Hit(box.place, f"{box.printed}: {box.name}", Box(box.id))
    for bay in facility.bays.values():
        thing = Jack(bay.id, "T", 1)
        hit = Hit(bay.printed, f"{bay.name}{f', {bay.place}' if bay.place else ''}", thing)
        for name in dict.fromkeys((bay.printed, bay.id, bay.name)):
            yield name, hit


def _ports(facility: Facility) -> Iterator[tuple[str, Hit]]:
    for port in (*facility.outputs(), *facility.inputs()):
        label = port_label(facility, port)
        side = "output" if port.side == "out" else "input"
        carrier = facility.carriers.get(port)
        at = f", on {jack_name(facility, carrier)}" if carrier else ""
        hit = Hit(label, f"{side} {facility.spelled(port)}{at}", port)
        yield label, hit
        yield facility.spelled(port), hit


def _jacks(facility: Facility) -> Iterator[tuple[str, Hit]]:
    for jack in facility.jacks:
        label = jack_label(facility, jack)
        name = jack_name(facility, jack)
        hit = Hit(name, label or "no label", jack)
        yield name, hit
        yield str(jack), hit
        # A position is both its jacks, the top one first.
        yield f"{facility.bays[jack.bay].printed} {jack.position}", hit
        if label:
            yield label, Hit(label, f"jack {name}", jack)


def _cables(facility: Facility) -> Iterator[tuple[str, Hit]]:
    for jack, wire in facility.wires.items():
        if wire.cable:
            yield wire.cable, Hit(wire.cable, f"cable at {jack_name(facility, jack)}", jack)
    for line in facility.lines.values():
        words = f"line from {facility.spelled(line.source)} to {facility.spelled(line.target)}"
        for name in (line.id, *([line.cable] if line.cable else [])):
            yield name, Hit(name, words, line.source)


def read_cord(facility: Facility, text: str) -> tuple[Jack, Jack] | None:
    """The two jacks of a typed cord, ``PB1.T3 PB2.B7``, by addresses or by labels.

    Wherever a space or an equals sign parts the text into two names that each mean one jack.
    """
    words = " ".join(text.split())
    for at, sign in enumerate(words):
        if sign in " =":
            one = find_jack(facility, words[:at].strip())
            other = find_jack(facility, words[at + 1 :].strip())
            if isinstance(one, Jack) and isinstance(other, Jack):
                return one, other
    return None


def complete_cord(
    facility: Facility, names: tuple[str, ...], text: str, most: int = 14
) -> tuple[str, ...]:
    """Whole lines that a typed cord may become: its first name, or its second behind a first."""
    words = " ".join(text.split()) + (" " if text.endswith((" ", "=")) else "")
    lines: list[str] = []
    for at, sign in enumerate(words):
        if sign in " =" and isinstance(find_jack(facility, words[:at].strip()), Jack):
            lines += [f"{words[:at].strip()} {n}" for n in _begun(names, words[at + 1 :], most)]
    return tuple(dict.fromkeys((*_begun(names, words.strip(), most), *lines)))[:most]


def _begun(names: tuple[str, ...], text: str, most: int) -> list[str]:
    wanted = folded(text)
    first = [name for name in names if folded(name).startswith(wanted)]
    if len(first) < most and wanted:
        first += [name for name in names if wanted in folded(name) and name not in first]
    return first[:most]


def jack_names(facility: Facility) -> tuple[str, ...]:
    """Every address of a jack, and every label that means a single one."""
    labels: dict[str, int] = {}
    for jack in facility.jacks:
        label = jack_label(facility, jack)
        if label:
            labels[label] = labels.get(label, 0) + 1
    return (*map(str, facility.jacks), *(label for label, n in labels.items() if n == 1))


def thing_found(found: Jack | PortAddress | Equipment) -> Thing:
    """What a finder of the model gives, as a thing to select."""
    return Box(found.id) if isinstance(found, Equipment) else found
