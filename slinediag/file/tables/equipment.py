"""Equipment and ports from what the jacks are said to carry, with how sure each guess is."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from slinediag.address import Jack, PortAddress, Side
from slinediag.file.tables.cells import quoted
from slinediag.file.tables.gather import Said
from slinediag.file.tables.ids import Ids, port_id
from slinediag.file.tables.ledger import Ledger
from slinediag.file.tables.meanings import Certainty
from slinediag.file.tables.mentions import Mention
from slinediag.file.tables.naming import PORT_WORDS, PROCESSORS, place_in
from slinediag.model.equipment import Equipment, Paths, Port, PortKeys

ALIKE = 8
"""So many pieces numbered alike are rather the channels of one."""
COUNTED = re.compile(r"(.*?)(\d{1,6})\Z")
FEW = 4
"""So many pieces numbered alike are told as a run of names."""
SHOWN = 8
"""Jacks that a guess names."""


@dataclass
class Box:
    """Equipment as it is found, mention by mention."""

    id: str
    name: str
    mentions: list[Mention] = field(default_factory=list)
    ports: dict[tuple[str, Side], Port] = field(default_factory=dict)
    place: Said | None = None


class BoxMaker:
    """Makes equipment of mentions and says which port each jack carries."""

    def __init__(self, ids: Ids, ledger: Ledger) -> None:
        self._ids, self._ledger = ids, ledger
        self._boxes: dict[str, Box] = {}
        self.wired: dict[Jack, PortAddress] = {}
        self._carriers: dict[PortAddress, Jack] = {}
        self.left: list[tuple[Mention, str]] = []

    def add(self, mention: Mention) -> None:
        """Give the jack its port; where the port is at a jack already, the label alone stays."""
        box = self._box(mention.name.box)
        key = (port_id(mention.name, mention.side), mention.side)
        port = PortAddress(box.id, *key)
        if port in self._carriers:
            where = self._carriers[port]
            what = (
                f"{port.equipment}.{port.port} is at {where} already: only the label is kept here"
            )
            self._ledger.mark(mention.cell, mention.label, what)
            self.left.append((mention, f"same label as at {where}; not wired"))
            return
        printed = mention.name.port
        keys = PortKeys(label=printed) if printed != key[0] else PortKeys()
        box.ports[key] = Port(key[0], mention.side, keys)
        box.mentions.append(mention)
        self.wired[mention.jack] = port
        self._carriers[port] = mention.jack
        self._place(box, mention)

    def _box(self, name: str) -> Box:
        key = name.casefold().replace("-", " ")
        if key not in self._boxes:
            self._boxes[key] = Box(self._ids.of_box(name), name)
        return self._boxes[key]

    def _place(self, box: Box, mention: Mention) -> None:
        if mention.place is None:
            return
        self._ledger.take(mention.place.cell, "place")
        if box.place is None:
            box.place = mention.place
        elif box.place.text != mention.place.text:
            what = f"{box.id} stands in {box.place.text} by {box.place.cell}"
            self._ledger.mark(mention.place.cell, mention.place.text, f"{what}; kept as a note")
            self.left.append((mention, f"place: {mention.place.text}"))

    def equipment(self) -> dict[str, Equipment]:
        """All equipment in the order found, each told as a guess."""
        stems = Counter(stem(box.name) for box in self._boxes.values() if len(box.ports) == 1)
        made = {}
        alike: dict[tuple[str, str, Certainty, str], list[Box]] = {}
        for box in alike_together(self._boxes.values()):
            made[box.id] = self._made(box)
            self._mark_lone_sides(box)
            certainty, why = how_sure(box, stems)
            key = stem(box.name), ports_told(box), certainty, why
            alike.setdefault(key if len(box.ports) == 1 else (box.id, *key[1:]), []).append(box)
        for (_, ports, certainty, why), boxes in alike.items():
            self._ledger.guess(told(boxes, ports), certainty, why)
        self._tell_places(made)
        return made

    def _tell_places(self, made: Mapping[str, Equipment]) -> None:
        """Tell the places that names say, all equipment of one place together."""
        found: dict[str, list[str]] = {}
        for box in self._boxes.values():
            place = made[box.id].place if box.id in made else None
            if place and not box.place:
                found.setdefault(place, []).append(box.id)
        for place, names in found.items():
            more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
            stand = "stands" if len(names) == 1 else "stand"
            what = f"{', '.join(names[:SHOWN])}{more} {stand} in {place}"
            why = "its label says so" if len(names) == 1 else "their labels say so"
            self._ledger.guess(what, "likely", why)

    def _made(self, box: Box) -> Equipment:
        outputs = tuple(port for port in box.ports.values() if port.side == "out")
        inputs = tuple(port for port in box.ports.values() if port.side == "in")
        bracket = next(
            (m.name.bracket for m in box.mentions if place_in(f"{m.name.bracket} x")), ""
        )
        place = box.place.text if box.place else bracket or place_in(box.name)
        return Equipment(
            id=box.id,
            name=box.name,
            label=box.name if box.name != box.id else None,
            place=place or None,
            outputs=outputs,
            inputs=inputs,
            paths=self._paths(box, outputs, inputs),
        )

    def _paths(self, box: Box, outputs: Sequence[Port], inputs: Sequence[Port]) -> Paths | None:
        """Straight paths where a processor's outputs are named as its inputs are, else none."""
        if not outputs or not inputs:
            return None
        words = {word.casefold().strip("0123456789") for word in box.name.split()}
        alike = [p.id for p in outputs] == [p.id for p in inputs]
        if words & PROCESSORS and (alike or len(outputs) == len(inputs) == 1):
            why = "such equipment hands on what it gets, and its ports are named alike"
            self._ledger.guess(f"{box.id}: paths straight", "likely", why)
            return "straight"
        what = (
            f"{box.id} has inputs and outputs, and no table says which output hands on which input"
        )
        self._ledger.mark(None, box.name, f"{what}: fill in paths")
        return None

    def _mark_lone_sides(self, box: Box) -> None:
        for (port, side), _ in box.ports.items():
            partner = f"{port[:-1]}{'R' if port.endswith('L') else 'L'}"
            sided = any(m.name.side and port_id(m.name, m.side) == port for m in box.mentions)
            if sided and (partner, side) not in box.ports:
                self._ledger.mark(None, f"{box.name} {port}", f"{box.id}.{port} has no other side")


def alike_together(boxes: Iterable[Box]) -> Iterator[Box]:
    """Boxes that have ports, in the order found, those numbered alike one after another."""
    stems: dict[str, list[Box]] = {}
    for box in boxes:
        if box.ports:
            stems.setdefault(stem(box.name) or box.name, []).append(box)
    return itertools.chain.from_iterable(stems.values())


def ports_told(box: Box) -> str:
    """The outputs and inputs of a box in words."""
    sides = [("outputs", "out"), ("inputs", "in")]
    return "; ".join(
        f"{word} {in_runs([port for port, s in box.ports if s == side])}"
        for word, side in sides
        if any(s == side for _, s in box.ports)
    )


def in_runs(ports: Sequence[str]) -> str:
    """Ports with those that count on drawn together: ``1 to 8``."""
    runs: list[list[str]] = []
    for port in ports:
        found = COUNTED.match(port)
        before = COUNTED.match(runs[-1][-1]) if runs else None
        goes_on = found and before and (before[1], int(before[2]) + 1) == (found[1], int(found[2]))
        if goes_on:
            runs[-1].append(port)
        else:
            runs.append([port])
    told = (f"{run[0]} to {run[-1]}" if len(run) >= FEW else ", ".join(run) for run in runs)
    return ", ".join(told)


def told(boxes: Sequence[Box], ports: str) -> str:
    """What is guessed of a box, or of several that are numbered alike."""
    jacks = [str(mention.jack) for box in boxes for mention in box.mentions]
    places = ", ".join(jacks[:SHOWN]) + (", …" if len(jacks) > SHOWN else "")
    first, last = boxes[0], boxes[-1]
    if first is last:
        return f"{quoted(first.name)} is equipment {first.id}: {ports} (at {places})"
    if len(boxes) < FEW:
        names = [quoted(box.name) for box in boxes]
        known = f"{', '.join(names[:-1])} and {names[-1]}"
    else:
        known = f"{quoted(first.name)} to {quoted(last.name)}"
    return f"{known} are {len(boxes)} pieces of equipment, each with {ports} (at {places})"


def how_sure(box: Box, stems: Mapping[str, int]) -> tuple[Certainty, str]:
    """How sure it is that some labels are one piece of equipment, and why."""
    names = [mention.name for mention in box.mentions]
    if all(name.certainty == "sure" for name in names):
        return "sure", names[0].why
    if any(name.why.startswith("a tie line") for name in names):
        return "doubtful", names[0].why
    if stems[stem(box.name)] >= ALIKE and len(box.ports) == 1:
        return "doubtful", "so many numbered alike may be the channels of one"
    if box.name.split()[0].casefold() in PORT_WORDS:
        return "doubtful", "this may be the name of a port of larger equipment"
    sides = {(port[:-1], side) for port, side in box.ports if port[-1:] in ("L", "R")}
    if sides and len(box.ports) == 2 * len(sides):
        return "sure", "left and right are both there"
    return "likely", next((n.why for n in names if n.certainty == "likely"), names[0].why)


def stem(name: str) -> str:
    """A name without its final number."""
    return name.casefold().rstrip("0123456789 ")
