"""The section ``equipment``: boxes, their ports, paths and pairs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import islice
from typing import get_args

from slinediag.address import PORT_ID, PortAddress, Side
from slinediag.file.keys import Keys, entries, items, named, repeated, unset
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Mapping, Node, Scalar, Sequence, kind, shortened
from slinediag.file.register import SHOWN, Register, Resolver
from slinediag.file.scalars import Range, read_text, read_word
from slinediag.model.equipment import (
    NOMINAL_LEVEL,
    Drawn,
    Drive,
    Equipment,
    Paths,
    Phantom,
    Port,
    PortKeys,
    State,
)

EQUIPMENT_KEYS = (
    "name", "label", "place", "outputs", "inputs", "paths", "bypass", "pairs", "defaults",
    "priority", "earthed", "drawn", "caution", "state", "note",
)  # fmt: skip
PORT_KEYS = (
    "label", "level", "max", "impedance", "balanced", "drive", "phantom", "priority", "origin",
    "standby", "instead",
)  # fmt: skip
OUTPUT_ONLY = ("drive", "origin", "standby")
INPUT_ONLY = ("priority", "instead")

DRAWN: tuple[Drawn, ...] = get_args(Drawn)
DRIVES: tuple[Drive, ...] = get_args(Drive)
PHANTOMS: tuple[Phantom, ...] = get_args(Phantom)
STATES: tuple[State, ...] = get_args(State)

LEVEL = Range(-200, 200)
IMPEDANCE = Range(0.001, 1e9)
"""Ohm: less than a milliohm is no port of audio, and would drown the arithmetic."""
PRIORITY = Range(1, 1000)
BOTH_SIDES: tuple[tuple[Side, str], ...] = (("out", "outputs"), ("in", "inputs"))
FROM_JACKS = "Name the output that is wired to it, as EQUIPMENT.PORT"


Ports = dict[str, None]
"""Port ids in the order of the file."""
Found = dict[tuple[str, Side] | None, tuple[PortAddress, ...]]
"""Resolved ``instead`` lists by port; None for those of ``defaults``."""


@dataclass(frozen=True, slots=True)
class Stand:
    """An ``instead`` list that waits until all equipment is read; no port id: the defaults'."""

    port: tuple[str, Side] | None
    node: Node
    where: str


@dataclass(frozen=True, slots=True)
class BoxRead:
    """A piece of equipment as read so far, with the lists that wait."""

    box: Equipment
    stands: tuple[Stand, ...]


def read_boxes(node: Node | None, register: Register, mistakes: Mistakes) -> dict[str, BoxRead]:
    """The ``equipment`` section, ``instead`` lists waiting; each box is entered in the register."""
    boxes: dict[str, BoxRead] = {}
    register.doubtful |= repeated(node)
    for name, _, value in named(node, "equipment", mistakes):
        reader = BoxReader(name, value, mistakes)
        boxes[name] = reader.read()
        if reader.doubtful:
            register.doubtful.add(name)
        register.add_equipment(boxes[name].box)
    return boxes


def with_stands(read: BoxRead, resolver: Resolver) -> Equipment:
    """The box with its ``instead`` lists resolved to outputs."""
    box = read.box
    found = {stand.port: read_outputs(stand, resolver) for stand in read.stands}
    if not found:
        return box
    return replace(
        box,
        outputs=tuple(stood(port, found) for port in box.outputs),
        inputs=tuple(stood(port, found) for port in box.inputs),
        defaults=replace(box.defaults, instead=found[None]) if None in found else box.defaults,
    )


def stood(port: Port, found: Found) -> Port:
    """The port with its ``instead`` list, if it has one."""
    key = (port.id, port.side)
    return replace(port, keys=replace(port.keys, instead=found[key])) if key in found else port


def read_outputs(stand: Stand, resolver: Resolver) -> tuple[PortAddress, ...]:
    """The outputs that an ``instead`` list names."""
    mistakes = resolver.mistakes
    found: dict[PortAddress, None] = {}
    for item in items(stand.node, stand.where, mistakes):
        port = resolver.port(item, stand.where, "out", FROM_JACKS)
        if port is None:
            continue
        if port.side == "in":
            what = f"{port.equipment}.{port.port} is an input; only an output can stand in"
            mistakes.error(item, stand.where, what, "Name an output")
        elif port in found:
            what = f"{port.equipment}.{port.port} stands here twice"
            mistakes.error(item, stand.where, what, "Keep one of them")
        else:
            found[port] = None
    return tuple(found)


class BoxReader:
    """Reads one piece of equipment; ``doubtful`` where its ports could not all be read."""

    def __init__(self, name: str, node: Node, mistakes: Mistakes) -> None:
        self._name = name
        self._mistakes = mistakes
        self._keys = Keys(node, f"equipment.{name}", mistakes, EQUIPMENT_KEYS)
        self._stands: list[Stand] = []
        self.doubtful = self._keys.may_lack("outputs", "inputs")

    def read(self) -> BoxRead:
        """The box, its ``instead`` lists still waiting."""
        keys = self._keys
        outputs, inputs = self._ports("outputs", "out"), self._ports("inputs", "in")
        sides = Sides(keys, outputs, inputs, self.doubtful)
        box = Equipment(
            id=self._name,
            name=keys.name("name", f"Say what {self._name} is: name: …"),
            label=keys.text("label"),
            place=keys.text("place"),
            outputs=outputs,
            inputs=inputs,
            paths=sides.paths("paths"),
            bypass=sides.paths("bypass"),
            pairs=sides.pairs(),
            defaults=self._defaults(),
            priority=keys.whole("priority", PRIORITY),
            earthed=keys.truth("earthed"),
            drawn=keys.word("drawn", DRAWN),
            caution=keys.text("caution"),
            state=keys.word("state", STATES),
            note=keys.text("note"),
        )
        self._note_levels(box)
        return BoxRead(box, tuple(self._stands))

    def _defaults(self) -> PortKeys:
        node = self._keys.value("defaults")
        return (
            PortKeys() if node is None else self._port_keys(node, self._keys.at("defaults"), None)
        )

    def _ports(self, key: str, side: Side) -> tuple[Port, ...]:
        """The outputs or inputs: a list of ids, or a mapping from id to port keys."""
        node, at = self._keys.value(key), self._keys.at(key)
        if node is None:
            return ()
        if isinstance(node, Sequence):
            return self._listed_ports(node, at, side)
        if not isinstance(node, Mapping):
            self.doubtful = True
            what = f"a list of port ids is wanted here, not {kind(node)}"
            self._mistakes.error(node, at, what, "Write [L, R], or port id: {port keys}")
            return ()
        ports = []
        for port, key_node, value in entries(node, at, self._mistakes):
            if self._legal(port, key_node, at):
                where = f"{at}.{port}"
                keys = PortKeys() if unset(value) else self._port_keys(value, where, (port, side))
                ports.append(Port(port, side, keys))
        return tuple(ports)

    def _listed_ports(self, node: Sequence, at: str, side: Side) -> tuple[Port, ...]:
        ports: dict[str, Port] = {}
        for item in node.items:
            text = read_text(item, at, self._mistakes)
            if text is None:
                self.doubtful = True
            elif text in ports:
                what = f"the port id {text} stands here twice"
                self._mistakes.error(item, at, what, "Give each port an id of its own")
            elif self._legal(text, item, at):
                ports[text] = Port(text, side)
        return tuple(ports.values())

    def _legal(self, port: str, node: Node, at: str) -> bool:
        """Whether a text can be a port id; an error where it cannot."""
        if PORT_ID.match(port):
            return True
        self.doubtful = True
        what = f"{shortened(port)} cannot be a port id"
        self._mistakes.error(node, at, what, "A port id is letters, digits, _ and -")
        return False

    def _port_keys(self, node: Node, where: str, port: tuple[str, Side] | None) -> PortKeys:
        keys = Keys(node, where, self._mistakes, PORT_KEYS)
        self._note_side(keys, port)
        stand = keys.value("instead")
        if stand is not None:
            self._stands.append(Stand(port, stand, keys.at("instead")))
        return PortKeys(
            label=keys.text("label"),
            level=keys.number("level", LEVEL),
            max=keys.number("max", LEVEL),
            impedance=keys.number("impedance", IMPEDANCE),
            balanced=keys.truth("balanced"),
            drive=keys.word("drive", DRIVES),
            phantom=keys.word("phantom", PHANTOMS),
            priority=keys.whole("priority", PRIORITY),
            origin=keys.truth("origin"),
            standby=keys.truth("standby"),
        )

    def _note_side(self, keys: Keys, port: tuple[str, Side] | None) -> None:
        """Note port keys that mean nothing on their side."""
        if port is None:
            return
        own, only = ("input", OUTPUT_ONLY) if port[1] == "in" else ("output", INPUT_ONLY)
        for key in only:
            node = keys.value(key)
            if node is not None:
                what = f"this means nothing of an {own}"
                self._mistakes.note(node, keys.at(key), what, "Leave it out")

    def _note_levels(self, box: Equipment) -> None:
        """Note ports that would clip below their nominal level."""
        for port in (Port("defaults", "out", box.defaults), *box.ports):
            if port.keys.level is None and port.keys.max is None:
                continue
            keys = port.keys.over(box.defaults)
            level = NOMINAL_LEVEL if keys.level is None else keys.level
            if keys.max is not None and keys.max < level:
                where = f"{self._keys.where}.{port.id}"
                what = f"it clips at {keys.max:g} dBu, below its level of {level:g} dBu"
                self._mistakes.note(self._keys.node, where, what, "Mend level or max")


class Sides:
    """Reads what speaks of a box's own ports: paths, bypass, pairs."""

    def __init__(
        self, keys: Keys, outputs: tuple[Port, ...], inputs: tuple[Port, ...], doubtful: bool
    ) -> None:
        self._keys = keys
        self._mistakes = keys.mistakes
        self._outputs = {port.id: None for port in outputs}
        self._inputs = {port.id: None for port in inputs}
        self._both = self._outputs | self._inputs
        self._doubtful = doubtful

    def paths(self, key: str) -> Paths | None:
        """Paths or bypass: a word, or output id → list of input ids."""
        node, at = self._keys.value(key), self._keys.at(key)
        if node is None:
            return None
        if isinstance(node, Mapping):
            return self._mapped(node, at)
        if not isinstance(node, Scalar):
            what = f"straight, all or a mapping is wanted here, not {kind(node)}"
            self._mistakes.error(node, at, what, "Write OUTPUT: [INPUT, …]")
            return None
        word = read_word(node, at, self._mistakes, ("straight", "all"))
        if word == "straight" and len(self._outputs) != len(self._inputs) and not self._doubtful:
            what = (
                f"straight needs as many inputs as outputs; inputs: {len(self._inputs)}, "
                f"outputs: {len(self._outputs)}"
            )
            self._mistakes.error(node, at, what, "Write OUTPUT: [INPUT, …]")
            return None
        return "straight" if word == "straight" else "all" if word == "all" else None

    def _mapped(self, node: Mapping, at: str) -> Paths:
        found = []
        for output, key_node, value in entries(node, at, self._mistakes):
            where = f"{at}.{output}"
            self._known(output, key_node, where, self._outputs, "output")
            sources: dict[str, None] = {}
            for item in () if unset(value) else items(value, where, self._mistakes):
                source = read_text(item, where, self._mistakes)
                if source is None or not self._known(source, item, where, self._inputs, "input"):
                    continue
                if source in sources:
                    what = f"the input {source} stands here twice"
                    self._mistakes.error(item, where, what, "Keep one of them")
                sources[source] = None
            found.append((output, tuple(sources)))
        return tuple(found)

    def pairs(self) -> tuple[tuple[str, str], ...] | None:
        """Stereo pairs of port ids."""
        listed, at = self._keys.items("pairs"), self._keys.at("pairs")
        if listed is None:
            return None
        found: list[tuple[str, str]] = []
        paired: set[str] = set()
        for item in listed:
            texts = [read_text(n, at, self._mistakes) for n in items(item, at, self._mistakes)]
            if isinstance(item, Sequence) and len(texts) != 2:
                what = f"a pair is two port ids, not {len(texts)}"
                self._mistakes.error(item, at, what, "Write [left, right]")
            elif len(texts) == 2 and texts[0] is not None and texts[1] is not None:
                self._check_pair(item, at, (texts[0], texts[1]), paired)
                found.append((texts[0], texts[1]))
        return tuple(found)

    def _check_pair(self, node: Node, at: str, pair: tuple[str, str], paired: set[str]) -> None:
        """Refuse a pair of unknown ports, of one port, or with a port that is paired already."""
        found = [self._known(port, node, at, self._both, "port") for port in pair]
        twice = [port for port in pair if port in paired]
        paired.update(pair)
        if not all(found):
            return
        if pair[0] == pair[1]:
            self._mistakes.error(node, at, f"{pair[0]} is paired with itself", "Name two ports")
        elif twice:
            self._mistakes.error(node, at, f"{twice[0]} is in two pairs", "Keep one of them")

    def _known(self, port: str, node: Node, where: str, known: Ports, word: str) -> bool:
        """Whether a port id is one of some; an error where it is not."""
        if port in known or self._doubtful:
            return True
        shown = ", ".join(islice(known, SHOWN)) or "none"
        hint = self._mistakes.nearest(port, known, f"Its {word}s: {shown}")
        self._mistakes.error(node, where, f"there is no {word} {shortened(port)} here", hint)
        return False
