"""Reads what is drawn and said in boxes back as single ways, port by port.

Knows the marks and the ports of the facility, not how the words were made.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import product
from typing import NamedTuple

from slinediag.drawing.marks import Drawing, Group, Line, Rect, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box
from slinediag.model.equipment import Equipment
from tests.chart import rules

Ways = set[tuple[str, str]]
"""Inputs and outputs by their ids."""
COUNTED = re.compile(r"(.*?)(\d+)([A-Za-z]?)")
MORE = re.compile(r"(?:(\d+) more here(?:, (\d+))?|(?:(\d+) )?more):(?: sheets?)?")
NEAR = 1300
"""How far the level of a row may be from the foot of its label."""
BUT = "all inputs but "


class Row(NamedTuple):
    """A row of a box: its side, label, ports, and its level on the sheet."""

    side: str
    label: str
    ports: tuple[str, ...]
    y: int


class Part(NamedTuple):
    """A box, or a part of it, as drawn, with the words that lie in it."""

    box: Equipment
    rect: Box
    rows: tuple[Row, ...]
    group: Group
    onward: tuple[Group, ...]
    further: tuple[Group, ...]

    @property
    def here(self) -> set[tuple[str, str]]:
        """The ports that are drawn in it."""
        return {(row.side, port) for row in self.rows for port in row.ports}


def parts(equipment, marks: Sequence) -> Iterator[Part]:
    """All boxes among marks."""
    onward = [(ink_box(g), g) for g in rules.groups(marks, "onward")]
    further = [(ink_box(g), g) for g in rules.groups(marks, "further")]
    for group in rules.groups(marks, "equipment"):
        rect = next(mark.box for mark in group.marks if isinstance(mark, Rect))
        box = equipment[rules.data_of(group)["id"]]
        yield Part(
            box,
            rect,
            tuple(_rows(box, group)),
            group,
            tuple(g for room, g in onward if rect.contains(room)),
            tuple(g for room, g in further if rect.contains(room)),
        )


def _rows(box: Equipment, group: Group) -> Iterator[Row]:
    for mark in group.marks:
        if isinstance(mark, Text) and mark.ref and "port" in mark.ref.classes:
            side = "in" if mark.anchor == "start" else "out"
            words = mark.text.removesuffix(" +/−")
            told = rules.data_of(mark).get("members", "").split()
            ports = [re.fullmatch(r"[^.]+\.(.+?)(?::(?:in|out))?", name)[1] for name in told]
            yield Row(side, words, tuple(ports or named(box, side, words)), mark.at.y)


def named(box: Equipment, side: str, words: str, stem: str = "") -> list[str]:
    """The ports that a list of labels names, runs among them told by their ends."""
    if words in ("all inputs", "all outputs"):
        return [port.id for port in (box.inputs if side == "in" else box.outputs)]
    if words.startswith(BUT):
        left_out = named(box, side, words.removeprefix(BUT))
        return [p.id for p in box.ports if p.side == side and p.id not in left_out]
    labels = {box.facts[p.id, side].label or p.id: p.id for p in box.ports if p.side == side}
    order = list(labels)
    found: list[str] = []
    for piece in words.split(", "):
        first, dots, last = piece.partition(" … ")
        first = _whole(first if dots else piece, labels, stem)
        stem = first.rpartition(" ")[0]
        if dots:
            begin, end = order.index(first), order.index(_whole(last, labels, stem))
            found += order[begin : end + 1]
        elif "–" in first:
            found += _run(first, labels)
        else:
            found.append(first)
    return [labels[label] for label in found]


def _whole(piece: str, labels, stem: str) -> str:
    """A label as filed, of which words that the one before it has may be left out."""
    for label in (piece, f"{stem} {piece}"):
        if label in labels or _run(label, labels):
            return label
    raise AssertionError(f"{piece!r} names none of {sorted(labels)}")


def _run(words: str, labels) -> list[str]:
    """The labels of a run told by its ends; none where it is none."""
    low, dash, high = words.partition("–")
    one, other = COUNTED.fullmatch(low), COUNTED.fullmatch(high)
    if not (dash and one and other) or one[3] != other[3]:
        return []
    found = [f"{one[1]}{n}{one[3]}" for n in range(int(one[2]), int(other[2]) + 1)]
    return found if all(label in labels for label in found) else []


def pairs(row: Row, own: Sequence[str], far: Sequence[str], *, in_turn: bool = False) -> Ways:
    """Ways between ports of a row and others: each with each, or in turn."""
    if in_turn:
        assert len(own) == len(far), f"{own} and {far} are not of one number"
        found = zip(own, far, strict=True)
    else:
        found = product(own, far)
    return {(o, f) if row.side == "in" else (f, o) for o, f in found}


class Said(NamedTuple):
    """What stands at a row: the ways that it names, and its words on how many more there are."""

    row: Row
    ways: Ways
    more: re.Match[str] | None
    others: bool


def at_rows(part: Part) -> Iterator[Said]:
    """The sentences at the rows of a part, those of one row together."""
    lines: dict[str, list[str]] = {}
    for group in part.onward:
        data = rules.data_of(group)
        if "port" in data:
            words = " ".join(m.text for m in group.marks if m.weight != "bold")
            lines.setdefault(data["port"], []).append(words)
    for name, told in lines.items():
        port, _, side = name.partition(".")[2].partition(":")
        (row,) = (
            row for row in part.rows if row.ports[0] == port and row.side == (side or row.side)
        )
        ways: Ways = set()
        more, others = None, False
        for words in told:
            if found := MORE.fullmatch(words):
                more = found
            elif words == "and all other outputs":
                others = True
            else:
                ways |= _at_row(part.box, row, words)
        yield Said(row, ways, more, others)


def _at_row(box: Equipment, row: Row, words: str) -> Ways:
    """The ways that one line at a row names."""
    far_side, way = ("out", "to") if row.side == "in" else ("in", "from")
    words = words.removeprefix("and ")
    stem = re.split(" … |, ", row.label)[0].rpartition(" ")[0]
    of, found, names = f" {words}".partition(f" {way} ")
    if not found:
        of, names = "", words
    of = of.strip()
    in_turn = names.endswith(" in turn")
    far = named(box, far_side, names.removesuffix(" in turn"))
    told = re.fullmatch(r"(.*?) ?(each|all)?", of)
    own = named(box, row.side, told[1], stem) if told[1] else list(row.ports)
    assert set(own) <= set(row.ports)
    if len(own) > 1 and len(far) > 1 and not in_turn:
        assert told[2] or names.startswith("all "), (
            f"{row.label}: {words!r} leaves open which goes where"
        )
    return pairs(row, own, far, in_turn=in_turn)


def shared(part: Part) -> Iterator[tuple[list[str], bool, list[tuple[str, ...]]]]:
    """What inputs have in common: these; whether there is more at their rows; and the names of
    outputs, of a stereo pair both sides together."""
    for group in part.further:
        words = group.ref.title
        head, _, rest = words.partition(" to ")
        also = head.endswith(" also")
        head = head.removesuffix(" also")
        rows = [p for row in part.rows if row.side == "in" for p in row.ports]
        own = rows if head == "all" else named(part.box, "in", head)
        if rest == "all outputs":
            yield own, also, [(port.id,) for port in part.box.outputs]
            continue
        outs: list[tuple[str, ...]] = []
        for piece in rest.split(" · "):
            names = re.fullmatch(r"(.*) (?:\d+|here|[A-Z]\d+)", piece)[1]
            stem = ""
            for name in names.split(", "):
                pair = [p.id for p in part.box.outputs if _side_of(part.box, p.id, name)]
                alone = () if pair else named(part.box, "out", name, stem)
                outs += [tuple(pair)] if pair else [(p,) for p in alone]
                stem = name.rpartition(" ")[0] or stem
        yield own, also, outs


def _side_of(box: Equipment, port: str, name: str) -> bool:
    return box.facts[port, "out"].label in (f"{name} L", f"{name} R")


def drawn(part: Part) -> Ways:
    """The ways that rules and bars in a box show; of rows that stand for several ports, each to
    its like."""
    found: Ways = set()
    for line in (m for m in part.group.marks if isinstance(m, Line) and m.ref):
        if "path" not in line.ref.classes:
            continue
        upright = [(a, b) for a, b in rules.segments(line) if a.x == b.x and a.y != b.y]
        level = [(a, b) for a, b in rules.segments(line) if a.y == b.y]
        spans = [(min(a.y, b.y), max(a.y, b.y)) for a, b in upright]
        alone = {a.y for a, _ in level if not any(low <= a.y <= high for low, high in spans)}
        bar = upright[0][0].x if upright else None
        for low, high in [*spans, *((y, y) for y in alone)]:
            within = [(a, b) for a, b in level if low <= a.y <= high]
            lone = low == high
            ins = [_row_at(part, "in", a.y) for a, b in within if lone or b.x == bar]
            outs = [_row_at(part, "out", a.y) for a, b in within if lone or a.x == bar]
            for one, other in product(ins, outs):
                found |= set(zip(one.ports, other.ports, strict=True))
    return found


def _row_at(part: Part, side: str, y: int) -> Row:
    (row,) = (r for r in part.rows if r.side == side and abs(r.y - y) <= NEAR)
    return row


def told_in(part: Part) -> Ways | None:
    """The ways that a few words in a box tell; None where none do."""
    words = " ".join(
        m.text
        for m in part.group.marks
        if isinstance(m, Text) and m.at.y > part.rect.y and not (m.ref and m.ref.classes)
    )
    if words == "straight through":
        ends = zip(part.box.inputs, part.box.outputs, strict=True)
        return {(one.id, other.id) for one, other in ends}
    if words == "all inputs to all outputs":
        return {(i.id, o.id) for i, o in product(part.box.inputs, part.box.outputs)}
    lines = [m.text for m in part.group.marks if isinstance(m, Text) and " from " in m.text]
    lines = [line for line in lines if line in words]
    return {way for line in lines for way in _listed(part.box, line)} if lines else None


def listed(equipment, drawings: Sequence[Drawing]) -> dict[str, list[Ways]]:
    """By equipment the ways that each line of the list tells; those of a bypass apart."""
    found: dict[str, list[Ways]] = {}
    for drawing in drawings:
        for group in rules.groups(drawing.marks, "path-line"):
            box = equipment[rules.data_of(group)["equipment"]]
            words = " ".join(m.text for m in group.marks if m.weight != "bold")
            if not words.startswith("bypass"):
                found.setdefault(box.id, []).append(_listed(box, words))
    return found


def _listed(box: Equipment, words: str) -> Ways:
    """The ways of a line of the list: from each input to each output, or straight through."""
    rest = words.removeprefix("straight through: ")
    outs, found, ins = rest.partition(" from ")
    leaving = named(box, "out", outs)
    entries = named(box, "in", ins if found else outs)
    if rest == words:
        return set(product(entries, leaving))
    assert found or len(entries) == len(leaving)
    # One run to one run, or names alike: with more ends a reader would have to count.
    assert not found or (len(outs.split(", ")) == len(ins.split(", ")) == 1), words
    return set(zip(entries, leaving, strict=True))
