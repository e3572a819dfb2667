"""A new facility as it is first jotted down, and the file that comes of it; no widgets.

Everything is optional: what is left blank is left out, or gets what the format takes for granted.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import ID, PORT_ID, PortAddress, Side
from slinediag.file.write import new_file
from slinediag.model.bay import POSITIONS, Bay, BayPoint, NormalKind, Style, Wire
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Facility, Practice
from slinediag.problems import Problem, RequestError, WriteError, problem

NO_NAME = "New facility"
STYLES: dict[str, Style] = {
    "bantam": "bantam",
    "long-frame": "long-frame",
    "quarter-inch": "quarter-inch",
}
NORMALS: dict[str, NormalKind] = {
    "half": "half",
    "full": "full",
    "reverse-half": "reverse-half",
    "parallel": "parallel",
    "none": "none",
}
PATHS: dict[str, Literal["straight", "all"]] = {"straight": "straight", "all": "all"}
RUN = re.compile(r"([0-9]+)-([0-9]+)\Z", re.ASCII)
MOST_PORTS = 512
HEAD = """\
# {name}
# Written by slinediag and read by it; edited by hand as well: comments, order and spelling stay.
# An address is EQUIPMENT.PORT, BAY.T<n> (top jack) or BAY.B<n> (bottom jack).
# What is wrong or doubtful here:  slinediag check {file}
"""
EMPTY = """
# Equipment and bays look like this:
# equipment:
#   PLY1: {name: Player 1, outputs: [L, R]}
#   LINK: {name: Transmitter link, inputs: [L, R]}
# bays:
#   PB1:
#     name: Bay 1
#     points:
#       1-2: {top: [PLY1.L, PLY1.R], bottom: [LINK.L, LINK.R]}
"""


@dataclass(frozen=True, slots=True)
class DraftBay:
    """A bay as typed."""

    id: str = ""
    name: str = ""
    style: str = ""
    positions: str = ""
    normal: str = ""
    place: str = ""

    @property
    def blank(self) -> bool:
        """Whether it says nothing."""
        return not (self.id or self.name)


@dataclass(frozen=True, slots=True)
class DraftBox:
    """A piece of equipment as typed; its ports as words: ``L R``, ``1-8``."""

    id: str = ""
    name: str = ""
    inputs: str = ""
    outputs: str = ""
    paths: str = ""
    place: str = ""

    @property
    def blank(self) -> bool:
        """Whether it says nothing."""
        return not (self.id or self.name or self.inputs or self.outputs)


@dataclass(frozen=True, slots=True)
class DraftPoint:
    """A position as typed: the output in its top jack, the input in its bottom jack."""

    bay: str = ""
    position: str = ""
    top: str = ""
    bottom: str = ""
    normal: str = ""

    @property
    def blank(self) -> bool:
        """Whether it says nothing."""
        return not (self.top or self.bottom or self.normal)


@dataclass(frozen=True, slots=True)
class Draft:
    """All that was jotted down."""

    name: str = ""
    owner: str = ""
    bays: tuple[DraftBay, ...] = ()
    boxes: tuple[DraftBox, ...] = ()
    points: tuple[DraftPoint, ...] = ()


KINDS: dict[str, DraftBox] = {
    "Stereo player": DraftBox("PLY", "Player", "", "L R"),
    "Recorder, stereo": DraftBox("REC", "Recorder", "L R", "L R"),
    "Microphone": DraftBox("MIC", "Microphone", "", "1"),
    "Desk, 8 to 2": DraftBox("DESK", "Desk", "1-8", "L R", "all"),
    "Limiter, stereo": DraftBox("LIM", "Limiter", "L R", "L R", "straight"),
    "Distribution amplifier, 1 to 6": DraftBox("DA", "Distribution amplifier", "IN", "1-6", "all"),
    "Loudspeakers": DraftBox("MON", "Loudspeakers", "L R", ""),
    "Transmitter link": DraftBox("LINK", "Transmitter link", "L R", ""),
    "Line, in and out": DraftBox("LINE", "Line", "IN", "OUT"),
    "Anything else": DraftBox("BOX", "Equipment", "", ""),
}
"""Simple kinds to begin with; all of each can be typed over."""


def of_kind(kind: str, taken: Iterable[str]) -> DraftBox:
    """A new piece of equipment of a kind, with an id and a name that are free."""
    begun, known = KINDS[kind], set(taken)
    number = next(n for n in range(1, 10_000) if f"{begun.id}{n}" not in known)
    return replace(begun, id=f"{begun.id}{number}", name=f"{begun.name} {number}")


def read_ports(text: str) -> tuple[str, ...]:
    """Port ids from words: ``L R`` or ``L, R``; ``1-8`` is eight of them."""
    ids: list[str] = []
    for word in text.replace(",", " ").split():
        found = RUN.match(word)
        if found and 0 <= int(found[2]) - int(found[1]) < MOST_PORTS:
            ids += [str(n) for n in range(int(found[1]), int(found[2]) + 1)]
        else:
            ids.append(word)
    return tuple(ids)


def port_names(boxes: Sequence[DraftBox], side: Side) -> list[str]:
    """The addresses of all outputs or inputs, as filed."""
    return [
        f"{box.id}.{port}"
        for box in boxes
        if not box.blank
        for port in read_ports(box.outputs if side == "out" else box.inputs)
    ]


def in_order(bays: Sequence[DraftBay], boxes: Sequence[DraftBox]) -> tuple[DraftPoint, ...]:
    """Each box's inputs on bottom jacks, below the outputs of the boxes before it on top jacks.

    So a chain that is jotted down in order is normaled through; no box comes to feed itself.
    """
    tops: dict[int, str] = {}
    bottoms: dict[int, str] = {}
    top = bottom = 0
    for box in boxes:
        entries, leavings = port_names([box], "in"), port_names([box], "out")
        bottoms |= dict(enumerate(entries, bottom))
        bottom += len(entries)
        if entries and leavings:
            top = bottom = max(top, bottom)
        tops |= dict(enumerate(leavings, top))
        top += len(leavings)
    places = [(bay.id, n) for bay in bays if not bay.blank for n in range(1, width(bay) + 1)]
    return tuple(
        DraftPoint(bay, str(number), tops.get(at, ""), bottoms.get(at, ""))
        for at, (bay, number) in enumerate(places)
        if at in tops or at in bottoms
    )


def width(bay: DraftBay) -> int:
    """Positions a row; what cannot be read counts as what its style has."""
    style = STYLES.get(bay.style, "bantam")
    return int(bay.positions) if bay.positions.isdecimal() else POSITIONS[style]


# ---- what is wrong with it


def mistakes(draft: Draft) -> list[Problem]:
    """What keeps the draft from becoming a file, in the order of its pages."""
    bays = [bay for bay in draft.bays if not bay.blank]
    boxes = [box for box in draft.boxes if not box.blank]
    found = [p for bay in bays for p in _bay_mistakes(bay)]
    found += [p for box in boxes for p in _box_mistakes(box)]
    seen: set[str] = set()
    for id_ in [bay.id for bay in bays] + [box.id for box in boxes]:
        if id_ and id_ in seen:
            found.append(problem(id_, "this id stands twice", "Give each an id of its own"))
        seen.add(id_)
    return found + list(_point_mistakes(draft, bays, boxes))


def _bay_mistakes(bay: DraftBay) -> Iterator[Problem]:
    yield from _id_mistakes(bay.id, bay.name, "bay")
    fits = bay.positions.isdecimal() and 1 <= int(bay.positions) <= 96
    if bay.positions and not fits:
        what = f"“{bay.positions}” is no number of positions"
        yield problem(bay.id, what, "Write a number from 1 to 96")


def _box_mistakes(box: DraftBox) -> Iterator[Problem]:
    yield from _id_mistakes(box.id, box.name, "piece of equipment")
    inputs, outputs = read_ports(box.inputs), read_ports(box.outputs)
    for word, ports in (("inputs", inputs), ("outputs", outputs)):
        for port in dict.fromkeys(ports):
            if not PORT_ID.match(port):
                hint = "Write letters, digits, _ and -, as in L R or 1-8"
                yield problem(box.id, f"“{port}” cannot be a port among its {word}", hint)
            if ports.count(port) > 1:
                yield problem(box.id, f"{port} stands twice among its {word}", "Name each once")
    if box.paths == "straight" and len(inputs) != len(outputs):
        hint = "Give it as many outputs as inputs, or choose all or none"
        yield problem(box.id, "straight paths need as many outputs as inputs", hint)


def _id_mistakes(id_: str, name: str, word: str) -> Iterator[Problem]:
    if not id_:
        yield problem(name, f"this {word} has no id", "Give it a short one, as PB1 or PLY1")
    elif not ID.match(id_):
        hint = "An id is a letter, then letters, digits, _ and -"
        yield problem(id_, f"this cannot be the id of a {word}", hint)


def _point_mistakes(draft: Draft, bays: list[DraftBay], boxes: list[DraftBox]) -> Iterator[Problem]:
    widths = {bay.id: width(bay) for bay in bays}
    places: set[tuple[str, str]] = set()
    used: set[tuple[Side, str]] = set()
    known = {side: set(port_names(boxes, side)) for side in ("out", "in")}
    for point in draft.points:
        if point.blank:
            continue
        where = f"{point.bay} {point.position}".strip() or "a position"
        if point.bay not in widths:
            yield problem(where, "there is no such bay", "Choose one of the bays")
        elif not point.position.isdecimal() or not 1 <= int(point.position) <= widths[point.bay]:
            hint = f"Bay {point.bay} has positions 1 to {widths[point.bay]}"
            yield problem(where, "there is no such position", hint)
        elif (point.bay, point.position.lstrip("0")) in places:
            yield problem(where, "this position stands twice", "Say all of it in one line")
        places.add((point.bay, point.position.lstrip("0")))
        for side, port in _sides(point):
            if port not in known[side]:
                word = "output" if side == "out" else "input"
                yield problem(where, f"there is no {word} {port}", "Choose one from the list")
            elif (side, port) in used:
                yield problem(
                    where, f"{port} is on another position too", "A port goes to one jack"
                )
            used.add((side, port))


def _sides(point: DraftPoint) -> Iterator[tuple[Side, str]]:
    if point.top:
        yield "out", point.top
    if point.bottom:
        yield "in", point.bottom


# ---- what comes of it


def facility_of(draft: Draft) -> Facility:
    """The facility of a draft; RequestError with all that keeps it from being one."""
    found = mistakes(draft)
    if found:
        raise RequestError(found)
    boxes = [_box(box) for box in draft.boxes if not box.blank]
    bays = [_bay(bay, draft.points) for bay in draft.bays if not bay.blank]
    return Facility(
        practice=Practice(draft.name.strip() or NO_NAME, owner=draft.owner.strip() or None),
        equipment={box.id: box for box in boxes},
        bays={bay.id: bay for bay in bays},
    )


def _box(box: DraftBox) -> Equipment:
    return Equipment(
        box.id,
        box.name or box.id,
        place=box.place or None,
        outputs=tuple(Port(port, "out") for port in read_ports(box.outputs)),
        inputs=tuple(Port(port, "in") for port in read_ports(box.inputs)),
        paths=PATHS.get(box.paths),
    )


def _bay(bay: DraftBay, points: Iterable[DraftPoint]) -> Bay:
    return Bay(
        bay.id,
        bay.name or bay.id,
        style=STYLES.get(bay.style),
        positions=int(bay.positions) if bay.positions else None,
        normal=NORMALS.get(bay.normal),
        place=bay.place or None,
        points={
            int(point.position): BayPoint(
                top=_wire(point.top, "out"),
                bottom=_wire(point.bottom, "in"),
                normal=NORMALS.get(point.normal),
            )
            for point in points
            if point.bay == bay.id and not point.blank
        },
    )


def _wire(port: str, side: Side) -> Wire | None:
    box, _, part = port.partition(".")
    return Wire(PortAddress(box, part, side)) if port else None


def file_of(draft: Draft, file: str) -> bytes:
    """The bytes of the draft's file, called ``file``; RequestError as in ``facility_of``."""
    facility = facility_of(draft)
    try:
        body = new_file(facility).decode("utf-8")
    except WriteError as error:
        raise RequestError(error.problems) from None
    # Quoted, a name may hold what must not stand in a comment.
    name = " ".join("".join(c for c in facility.name if c.isprintable() or c == "\n").split())
    head = HEAD.format(name=name, file=os.path.basename(file))
    tail = "" if facility.equipment or facility.bays else EMPTY
    return (head + body + tail).encode("utf-8")


def file_name(name: str) -> str:
    """A file name for a facility of this name."""
    words = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower()
    return f"{words or 'new-facility'}.yaml"
