"""The section ``bays``: panels first, since addresses need their size, then their points."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar, get_args

from slinediag.address import Jack, PortAddress, Row, Side
from slinediag.file.claims import Uses
from slinediag.file.keys import Keys, entries, named, repeated, unset
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Mapping, Node, Sequence, shortened
from slinediag.file.register import Register, Resolver
from slinediag.file.scalars import Range, read_text, read_word
from slinediag.model.bay import (
    EMPTY_POINT,
    Bay,
    BayPoint,
    NormalKind,
    Numbering,
    PointState,
    Shield,
    Sleeves,
    Style,
    Terminations,
    Wire,
)

BAY_KEYS = (
    "name", "label", "style", "positions", "rows", "numbering", "first", "place", "unit",
    "normal", "sleeves", "earthed", "normals_out", "terminations", "pitch", "window", "offset",
    "points", "note",
)  # fmt: skip
POINT_KEYS = (
    "top", "bottom", "normal", "label_top", "label_bottom", "group", "state", "note",
)  # fmt: skip
WIRE_KEYS = ("to", "cable", "shield", "swapped")

STYLES: tuple[Style, ...] = get_args(Style)
NORMALS: tuple[NormalKind, ...] = get_args(NormalKind)
NUMBERINGS: tuple[Numbering, ...] = get_args(Numbering)
SLEEVES: tuple[Sleeves, ...] = get_args(Sleeves)
TERMINATIONS: tuple[Terminations, ...] = get_args(Terminations)
POINT_STATES: tuple[PointState, ...] = get_args(PointState)
SHIELDS: tuple[Shield, ...] = get_args(Shield)

POSITIONS = Range(1, 96)
ROWS = Range(1, 2)
FIRST = Range(0, 100_000)
UNIT = Range(1, 100)
MILLIMETRES = Range(0, 1000, above=True)
OFFSET = Range(0, 1000)
SPAN = re.compile(r"([1-9][0-9]{0,3})(?:-([1-9][0-9]{0,3}))?\Z")
TIE_HINT = "A tie line from jack to jack stands under lines: TL1: {from: JACK, to: JACK}"

V = TypeVar("V")
W = TypeVar("W", bound=str)


@dataclass(frozen=True, slots=True)
class Panel:
    """A bay without its points, and the node that holds them."""

    bay: Bay
    points: Node | None


def read_panels(node: Node | None, register: Register, mistakes: Mistakes) -> dict[str, Panel]:
    """The ``bays`` section without points; every bay is entered in the register."""
    panels = {}
    register.doubtful |= repeated(node)
    for name, key_node, value in named(node, "bays", mistakes):
        if name in register.ports:
            what = f"the id {name} is that of equipment as well"
            mistakes.error(key_node, f"bays.{name}", what, "Give one of them another id")
            continue
        keys = Keys(value, f"bays.{name}", mistakes, BAY_KEYS)
        bay = read_bay(name, keys)
        panels[name] = Panel(bay, keys.value("points"))
        register.bays[name] = bay
        sizes = ("positions", "rows", "style")
        unread = any(keys.value(key) and getattr(bay, key) is None for key in sizes)
        if unread or keys.may_lack(*sizes):
            register.doubtful.add(name)
    return panels


def read_bay(name: str, keys: Keys) -> Bay:
    """A bay without its points."""
    return Bay(
        id=name,
        name=keys.name("name", f"Say what {name} is: name: …"),
        label=keys.text("label"),
        style=keys.word("style", STYLES),
        positions=keys.whole("positions", POSITIONS),
        rows=keys.whole("rows", ROWS),
        numbering=keys.word("numbering", NUMBERINGS),
        first=keys.whole("first", FIRST),
        place=keys.text("place"),
        unit=keys.whole("unit", UNIT),
        normal=keys.word("normal", NORMALS),
        sleeves=keys.word("sleeves", SLEEVES),
        earthed=keys.truth("earthed"),
        normals_out=keys.truth("normals_out"),
        terminations=keys.word("terminations", TERMINATIONS),
        pitch=keys.number("pitch", MILLIMETRES),
        window=keys.number("window", MILLIMETRES),
        offset=keys.number("offset", OFFSET),
        note=keys.text("note"),
    )


def read_points(panel: Panel, resolver: Resolver, uses: Uses) -> Bay:
    """The bay with its points; those that say nothing are left out."""
    if panel.points is None:
        return panel.bay
    where, mistakes = f"bays.{panel.bay.id}.points", resolver.mistakes
    found: dict[int, BayPoint] = {}
    lines: dict[int, Node] = {}
    for key, key_node, value in entries(panel.points, where, mistakes):
        span = read_span(key)
        at = f"{where}.{key}"
        if span is None:
            mistakes.error(key_node, at, f"{shortened(key)} is not a position", span_hint(key))
            continue
        if not check_span(panel.bay, span, resolver, key_node, at):
            continue
        twice = next((n for n in span if n in lines), None)
        if twice is not None:
            what = (
                f"position {twice} stands here twice, first in line {mistakes.line(lines[twice])}"
            )
            mistakes.error(key_node, at, what, "Keep one of them")
            continue
        lines.update(dict.fromkeys(span, key_node))
        run = RunReader(panel.bay, span, "-" in key, Keys(value, at, mistakes, POINT_KEYS))
        found.update(run.read(resolver, uses))
    points = {n: point for n, point in found.items() if point != EMPTY_POINT}
    return replace(panel.bay, points=points)


def read_span(key: str) -> range | None:
    """The positions of a key, ``7`` or ``7-8``; None where it is neither."""
    found = SPAN.match(key)
    if not found:
        return None
    first = int(found[1])
    last = int(found[2]) if found[2] else first
    return range(first, last + 1) if first <= last else None


def span_hint(key: str) -> str:
    """What to write in place of a key that names no positions."""
    numbers = [number.lstrip("0") for number in re.findall(r"[0-9]{1,6}", key)]
    if not numbers or len(numbers) > 2 or "" in numbers or re.search("[A-Za-z]{3}", key):
        return "Write a position, as 7, or a run, as 7-8"
    return f"Did you mean {'-'.join(sorted(numbers, key=int))}?"


def check_span(bay: Bay, span: range, resolver: Resolver, node: Node, where: str) -> bool:
    """Whether the bay has these positions; an error where it has not."""
    unsure = bay.id in resolver.register.doubtful
    width = int(POSITIONS.most) if unsure else bay.width
    if span[-1] <= width:
        return True
    what = f"bay {bay.id} has {bay.width} positions; there is no {span[-1]}"
    hint = "Mend the position, or set positions (at most 96)"
    resolver.mistakes.error(
        node, where, f"no bay has a position {span[-1]}" if unsure else what, hint
    )
    return False


class RunReader:
    """Reads the point of one position, or the points of a run."""

    def __init__(self, bay: Bay, span: range, run: bool, keys: Keys) -> None:
        self._bay = bay
        self._span = span
        self._run = run
        self._keys = keys
        self._mistakes = keys.mistakes
        if bay.rows == 1:
            self._refuse_bottom()

    def read(self, resolver: Resolver, uses: Uses) -> dict[int, BayPoint]:
        """The points by position."""
        columns = zip(
            self._span,
            self._wires("top", "T", resolver, uses),
            self._wires("bottom", "B", resolver, uses),
            self._words("normal", NORMALS),
            self._texts("label_top"),
            self._texts("label_bottom"),
            self._texts("group"),
            self._words("state", POINT_STATES),
            self._texts("note"),
            strict=True,
        )
        return {position: BayPoint(*values) for position, *values in columns}

    def _refuse_bottom(self) -> None:
        for key in ("bottom", "label_bottom"):
            node = self._keys.value(key)
            if node is not None:
                what = f"bay {self._bay.id} has one row, top"
                self._mistakes.error(node, self._keys.at(key), what, "Delete it, or set rows: 2")

    def _texts(self, key: str) -> list[str | None]:
        where = self._keys.at(key)
        return self._column(key, lambda node, _: read_text(node, where, self._mistakes))

    def _words(self, key: str, words: tuple[W, ...]) -> list[W | None]:
        where = self._keys.at(key)
        return self._column(key, lambda node, _: read_word(node, where, self._mistakes, words))

    def _wires(self, key: str, row: Row, resolver: Resolver, uses: Uses) -> list[Wire | None]:
        node, count = self._keys.value(key), len(self._span)
        if node is not None and not isinstance(node, Sequence) and count > 1:
            what = f"one port cannot be wired to the {count} jacks of a run"
            hint = f"Write a list of {count}, ~ for none"
            self._mistakes.error(node, self._keys.at(key), what, hint)
            return [None] * count
        return self._column(
            key,
            lambda item, position: read_wire(
                item, Jack(self._bay.id, row, position), resolver, uses
            ),
        )

    def _column(self, key: str, read: Callable[[Node, int], V | None]) -> list[V | None]:
        """The values of a key, one for each position of the run."""
        node, count = self._keys.value(key), len(self._span)
        if node is None:
            return [None] * count
        if not isinstance(node, Sequence):
            return [read(node, self._span[0])] * count
        if len(node.items) != count or not self._run:
            self._refuse_list(node, key, count)
            return [None] * count
        pairs = zip(node.items, self._span, strict=True)
        return [None if unset(item) else read(item, position) for item, position in pairs]

    def _refuse_list(self, node: Sequence, key: str, count: int) -> None:
        where = self._keys.at(key)
        if not self._run:
            what = "a list is for a run of positions; this is one position"
            self._mistakes.error(node, where, what, "Write one value, or a run as 7-8")
            return
        what = f"this list holds {len(node.items)} values for {count} positions"
        hint = f"Write {count} values, ~ for none, or one for all"
        self._mistakes.error(node, where, what, hint)


def read_wire(node: Node, jack: Jack, resolver: Resolver, uses: Uses) -> Wire | None:
    """The wire at a jack: an address, or ``{to, cable, shield, swapped}``."""
    where, mistakes = str(jack), resolver.mistakes
    side: Side = "out" if jack.row == "T" else "in"
    if not isinstance(node, Mapping):
        port = resolver.port(node, where, side, TIE_HINT)
        if port is None:
            return None
        claim(jack, port, node, uses)
        return Wire(port)
    keys = Keys(node, where, mistakes, WIRE_KEYS)
    target = keys.required("to", "Say what is wired here: to: EQUIPMENT.PORT")
    port = None if target is None else resolver.port(target, where, side, TIE_HINT)
    shield = keys.word("shield", SHIELDS)
    swapped = bool(keys.truth("swapped"))
    cable = uses.cable(keys.value("cable"), keys.at("cable"), f"at {jack}")
    if port is None or target is None:
        return None
    claim(jack, port, target, uses)
    return Wire(port, cable, shield, swapped)


def claim(jack: Jack, port: PortAddress, node: Node, uses: Uses) -> None:
    """Note that a wire takes its jack and its port."""
    for thing in (jack, port):
        uses.wired.add(thing, node, str(jack), f"at {jack}")
