"""The register of a file's bays and ports, and the addresses resolved by it.

Where one id is both an output and an input the place of an address settles its side: a top jack
and ``from`` take the output, a bottom jack and ``to`` the input.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from slinediag.address import (
    Address,
    Jack,
    PortAddress,
    Side,
    Spelling,
    read_jack_part,
    read_spelling,
)
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Node, shortened
from slinediag.file.scalars import read_text
from slinediag.model.bay import Bay
from slinediag.model.equipment import Equipment

WRITE_JACK = "Write a jack as BAY.T1 (top) or BAY.B1 (bottom)"
WRITE_PORT = "Write a port as EQUIPMENT.PORT"
WRITE_ADDRESS = "Write EQUIPMENT.PORT, BAY.T1 or BAY.B1"
SHOWN = 12
"""Port ids that a message lists before it breaks off."""


@dataclass(slots=True)
class Register:
    """What addresses of a file can lead to.

    ``ports`` holds the sides of each port id by equipment id, ``bays`` the bays without points.
    ``doubtful`` equipment and bays could not be read as a whole: an address into one of them that
    leads nowhere is no second mistake.
    """

    ports: dict[str, dict[str, set[Side]]] = field(default_factory=dict)
    bays: dict[str, Bay] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)

    def add_equipment(self, box: Equipment) -> None:
        """Enter the ports of a piece of equipment."""
        own = self.ports.setdefault(box.id, {})
        for port in box.ports:
            own.setdefault(port.id, set()).add(port.side)

    def knows(self, owner: str) -> bool:
        """Whether an id is that of equipment or a bay."""
        return owner in self.ports or owner in self.bays

    def owners(self) -> list[str]:
        """The ids of all equipment and bays."""
        return [*self.ports, *self.bays]

    def has(self, owner: str, part: str) -> bool:
        """Whether a port or jack of this name stands behind the dot after an id."""
        bay = self.bays.get(owner)
        if bay is None:
            return part in self.ports.get(owner, ())
        at = read_jack_part(part)
        return at is not None and at[0] in bay.jack_rows and at[1] <= bay.width


class Resolver:
    """Reads addresses by a register; what is wrong with them goes to ``mistakes``."""

    def __init__(self, register: Register, mistakes: Mistakes) -> None:
        self.register = register
        self.mistakes = mistakes

    def jack(self, node: Node, where: str) -> Jack | None:
        """The jack that a node names; None, with an error, where it names none."""
        spelling = self._spelling(node, where, WRITE_JACK)
        if spelling is None:
            return None
        if spelling.owner in self.register.ports:
            what = f"{spelled(spelling)} is a port; a jack is wanted here"
            self.mistakes.error(node, where, what, WRITE_JACK)
            return None
        return self._jack(node, where, spelling)

    def port(self, node: Node, where: str, side: Side, jack_hint: str) -> PortAddress | None:
        """The port that a node names; ``side`` is that of its place. None, with an error, where
        it names none; ``jack_hint`` says what to do where it names a jack."""
        spelling = self._spelling(node, where, WRITE_PORT)
        if spelling is None:
            return None
        if spelling.owner in self.register.bays:
            what = f"{spelled(spelling)} is a jack; a port is wanted here"
            self.mistakes.error(node, where, what, jack_hint)
            return None
        return self._port(node, where, spelling, side)

    def end(self, node: Node, where: str, side: Side) -> Address | None:
        """The jack or port that a node names; ``side`` is that of its place."""
        spelling = self._spelling(node, where, WRITE_ADDRESS)
        if spelling is None:
            return None
        if spelling.owner in self.register.bays:
            return self._jack(node, where, spelling)
        return self._port(node, where, spelling, side)

    def _spelling(self, node: Node, where: str, hint: str) -> Spelling | None:
        """The owner, part and suffix that a node spells, of an owner that is known."""
        text = read_text(node, where, self.mistakes)
        if text is None:
            return None
        spelling = read_spelling(text)
        if spelling is None:
            what = f"{shortened(text)} is not an address"
            self.mistakes.error(node, where, what, self._whole_hint(text, hint))
            return None
        if not self.register.knows(spelling.owner):
            what = f"there is no equipment or bay {spelling.owner}"
            self.mistakes.error(node, where, what, self._owner_hint(spelling))
            return None
        return spelling

    def _whole_hint(self, text: str, otherwise: str) -> str:
        """A hint for a text that is no address: perhaps the dot is another character."""
        for mark in ("/", ":", "-", " ", "_", ","):
            owner, found, part = text.strip().partition(mark)
            if found and self.register.has(owner, part):
                return f"Did you mean {owner}.{part}?"
        return otherwise

    def _owner_hint(self, spelling: Spelling) -> str:
        """A hint for an unknown id: the nearest that has this port or jack, else the nearest."""
        otherwise = "Add it to equipment or bays, or mend the address"
        register = self.register
        if not self.mistakes.may_compare(len(register.ports) + len(register.bays)):
            return otherwise
        owners = register.owners()
        fitting = [owner for owner in owners if register.has(owner, spelling.part)]
        hint = self.mistakes.nearest(spelling.owner, fitting)
        if hint:
            return hint.replace("?", f".{spelling.part}?")
        return self.mistakes.nearest(spelling.owner, owners, otherwise)

    def _jack(self, node: Node, where: str, spelling: Spelling) -> Jack | None:
        bay = self.register.bays[spelling.owner]
        at = read_jack_part(spelling.part)
        if spelling.side is not None:
            hint = f"Write {bay.id}.{spelling.part}"
            what = f"{spelled(spelling)}: a jack has no :{spelling.side}"
            self.mistakes.error(node, where, what, hint)
            return None
        if at is None:
            what = f"{spelled(spelling)} is not a jack"
            self.mistakes.error(node, where, what, jack_hint(bay, spelling.part))
            return None
        row, position = at
        if bay.id in self.register.doubtful:
            return Jack(bay.id, row, position)
        if row not in bay.jack_rows:
            what = f"bay {bay.id} has one row, T; there is no {spelled(spelling)}"
            self.mistakes.error(node, where, what, f"Write {bay.id}.T{position}, or set rows: 2")
            return None
        if position > bay.width:
            what = f"bay {bay.id} has {bay.width} positions; there is no {spelled(spelling)}"
            self.mistakes.error(node, where, what, f"The last one is {bay.id}.{row}{bay.width}")
            return None
        return Jack(bay.id, row, position)

    def _port(self, node: Node, where: str, spelling: Spelling, side: Side) -> PortAddress | None:
        owner, part, suffix = spelling
        own = self.register.ports[owner]
        sides = own.get(part)
        unsure = owner in self.register.doubtful
        if unsure and (not sides or suffix not in {None, *sides}):
            return None
        if not sides:
            what = f"equipment {owner} has no port {part}"
            self.mistakes.error(node, where, what, self._port_hint(owner, part))
            return None
        if suffix is not None and suffix not in sides:
            other = "in" if suffix == "out" else "out"
            word = "output" if suffix == "out" else "input"
            what = f"{owner}.{part} is not an {word} of {owner}"
            self.mistakes.error(
                node, where, what, f"Write {owner}.{part} or {owner}.{part}:{other}"
            )
            return None
        own_side = side if side in sides else next(iter(sides))
        return PortAddress(owner, part, own_side if suffix is None else suffix)

    def _port_hint(self, owner: str, part: str) -> str:
        """A hint for an unknown port: the nearest of its equipment, else all it has."""
        known = list(self.register.ports[owner])
        if not known:
            return f"{owner} has no ports; give it outputs or inputs"
        shown = ", ".join(known[:SHOWN]) + (", …" if len(known) > SHOWN else "")
        hint = self.mistakes.nearest(part, known, f"{owner} has {shown}")
        return hint.replace("Did you mean ", f"Did you mean {owner}.")


def spelled(spelling: Spelling) -> str:
    """An address as it was written."""
    suffix = f":{spelling.side}" if spelling.side else ""
    return f"{spelling.owner}.{spelling.part}{suffix}"


def jack_hint(bay: Bay, part: str) -> str:
    """What to write in place of a part that is no jack: its row in capitals, no leading zero."""
    row, digits = part[:1].upper(), part[1:].lstrip("0")
    if row in bay.jack_rows and digits.isascii() and digits.isdigit():
        return f"Did you mean {bay.id}.{row}{digits}?"
    if part.isascii() and part.isdigit():
        number = part.lstrip("0")
        return f"Did you mean {bay.id}.T{number}?" if number else WRITE_JACK
    return WRITE_JACK
