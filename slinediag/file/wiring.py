"""The sections ``normals``, ``mults``, ``lines``, ``cords`` and ``plugs``."""

from __future__ import annotations

from typing import get_args

from slinediag.address import Address, Jack
from slinediag.file.claims import Uses
from slinediag.file.keys import Keys, items, named
from slinediag.file.nodes import Mapping, Node
from slinediag.file.practice import CORD_LENGTH
from slinediag.file.register import Resolver
from slinediag.file.scalars import read_text, read_word
from slinediag.model.bay import Bay
from slinediag.model.facility import Cord, CrossKind, CrossNormal, Line, LineShield, Mult, Plug

CROSS_KEYS = ("from", "to", "kind")
LINE_KEYS = ("from", "to", "cable", "shield", "swapped")
CORD_KEYS = ("from", "to", "length", "note", "since", "by")
PLUG_KEYS = ("jack", "note", "since", "by")
CROSS_KINDS: tuple[CrossKind, ...] = get_args(CrossKind)
LINE_SHIELDS: tuple[LineShield, ...] = get_args(LineShield)
SAY_FROM = "Say where it begins: from: …"
SAY_TO = "Say where it ends: to: …"


class WiringReader:
    """Reads what joins jacks and ports beside the wires of points."""

    def __init__(self, resolver: Resolver, uses: Uses) -> None:
        self._resolver = resolver
        self._mistakes = resolver.mistakes
        self._uses = uses

    def normals(self, node: Node | None, bays: dict[str, Bay]) -> tuple[CrossNormal, ...]:
        """The normals across positions."""
        found = []
        for number, item in enumerate(self._items(node, "normals"), 1):
            keys = Keys(item, f"normals[{number}]", self._mistakes, CROSS_KEYS)
            source, target = self._jacks(keys)
            kind = self._kind(keys)
            if source is None or target is None:
                continue
            if source == target:
                what = f"a normal cannot run from {source} to itself"
                self._mistakes.error(item, keys.where, what, "Name two jacks")
                continue
            self._uses.ended.add(target, keys.value("to") or item, keys.where, f"{source}={target}")
            self._note_replaced(target, keys, bays)
            found.append(CrossNormal(source, target, kind))
        return tuple(found)

    def _kind(self, keys: Keys) -> CrossKind | None:
        node = keys.value("kind")
        if node is None:
            return None
        text = read_text(node, keys.at("kind"), self._mistakes)
        if text == "reverse-half":
            what = "a reverse-half across positions is a half the other way"
            hint = "Exchange from and to, and write kind: half"
            self._mistakes.error(node, keys.at("kind"), what, hint)
        elif text == "none":
            what = "a normal of kind none joins nothing"
            hint = "Delete the entry; for a position without a normal write normal: none there"
            self._mistakes.error(node, keys.at("kind"), what, hint)
        elif text is not None:
            return read_word(node, keys.at("kind"), self._mistakes, CROSS_KINDS)
        return None

    def _note_replaced(self, target: Jack, keys: Keys, bays: dict[str, Bay]) -> None:
        """Note a position that states a normal which the one across positions replaces."""
        stated = bays[target.bay].point(target.position).normal if target.bay in bays else None
        if stated is not None and stated != "none":
            what = f"position {target.position} of {target.bay} states normal: {stated}"
            hint = "This entry takes its place; leave normal out there"
            self._mistakes.note(keys.value("to") or keys.node, keys.where, what, hint)

    def mults(self, node: Node | None) -> dict[str, Mult]:
        """The mults."""
        found = {}
        for name, _, value in named(node, "mults", self._mistakes):
            where = f"mults.{name}"
            jacks = []
            for item in items(value, where, self._mistakes):
                jack = self._resolver.jack(item, where)
                if jack is not None:
                    jacks.append(jack)
                    self._uses.tied.add(jack, item, where, f"in {name}")
            found[name] = Mult(name, tuple(jacks))
        return found

    def lines(self, node: Node | None) -> dict[str, Line]:
        """The direct lines and tie lines."""
        found = {}
        for name, _, value in named(node, "lines", self._mistakes):
            keys = Keys(value, f"lines.{name}", self._mistakes, LINE_KEYS)
            first, last = keys.required("from", SAY_FROM), keys.required("to", SAY_TO)
            source = None if first is None else self._resolver.end(first, keys.at("from"), "out")
            target = None if last is None else self._resolver.end(last, keys.at("to"), "in")
            cable = self._uses.cable(keys.value("cable"), keys.at("cable"), f"by line {name}")
            shield, swapped = keys.word("shield", LINE_SHIELDS), bool(keys.truth("swapped"))
            if source is not None and source == target:
                what = f"a line cannot run from {source} to itself"
                self._mistakes.error(value, keys.where, what, "Name two ends")
                continue
            for end, node_of_end, key in ((source, first, "from"), (target, last, "to")):
                if end is not None and node_of_end is not None:
                    self._uses.wired.add(end, node_of_end, keys.at(key), f"by line {name}")
            if source is not None and target is not None:
                self._check_ends(keys, source, target)
                found[name] = Line(name, source, target, cable, shield, swapped)
        return found

    def _check_ends(self, keys: Keys, source: Address, target: Address) -> None:
        if isinstance(source, Jack) != isinstance(target, Jack):
            jack, port = (source, target) if isinstance(source, Jack) else (target, source)
            what = (
                f"a line runs from port to port or from jack to jack, not from {source} to {target}"
            )
            row = "top" if isinstance(jack, Jack) and jack.row == "T" else "bottom"
            hint = f"Wire {port} at its position: {row} of {jack}"
            self._mistakes.error(keys.node, keys.where, what, hint)

    def cords(self, node: Node | None) -> tuple[Cord, ...]:
        """The standing cords."""
        found = []
        for number, item in enumerate(self._items(node, "cords"), 1):
            keys = Keys(item, f"cords[{number}]", self._mistakes, CORD_KEYS)
            source, target = self._jacks(keys)
            length = keys.number("length", CORD_LENGTH)
            note, since, by = keys.text("note"), keys.date("since"), keys.text("by")
            if source is not None and source == target:
                what = f"a cord cannot run from {source} to itself"
                self._mistakes.error(item, keys.where, what, "Name two jacks, or a dummy plug")
                continue
            for jack, key in ((source, "from"), (target, "to")):
                end = keys.value(key)
                if jack is not None and end is not None:
                    user = f"the cord {source or '?'}={target or '?'}"
                    self._uses.plugged.add(jack, end, keys.where, user)
            if source is not None and target is not None:
                found.append(Cord(source, target, length, note, since, by))
        return tuple(found)

    def plugs(self, node: Node | None) -> tuple[Plug, ...]:
        """The dummy plugs."""
        found = []
        for number, item in enumerate(self._items(node, "plugs"), 1):
            where = f"plugs[{number}]"
            if isinstance(item, Mapping):
                keys = Keys(item, where, self._mistakes, PLUG_KEYS)
                at = keys.required("jack", "Say where it is: jack: BAY.T1")
                note, since, by = keys.text("note"), keys.date("since"), keys.text("by")
            else:
                at, note, since, by = item, None, None, None
            jack = None if at is None else self._resolver.jack(at, where)
            if jack is not None and at is not None:
                self._uses.plugged.add(jack, at, where, "a dummy plug")
                found.append(Plug(jack, note, since, by))
        return tuple(found)

    def _items(self, node: Node | None, where: str) -> tuple[Node, ...]:
        return () if node is None else items(node, where, self._mistakes)

    def _jacks(self, keys: Keys) -> tuple[Jack | None, Jack | None]:
        """The jacks of ``from`` and ``to``."""
        first, last = keys.required("from", SAY_FROM), keys.required("to", SAY_TO)
        return (
            None if first is None else self._resolver.jack(first, keys.where),
            None if last is None else self._resolver.jack(last, keys.where),
        )
