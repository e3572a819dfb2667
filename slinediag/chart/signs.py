"""Which of the legend's signs a sheet bears; and which a chart may bear, before it is laid out."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from slinediag.chart.planning import Plan
from slinediag.chart.subject import swapped_ports
from slinediag.circuit.contacts import WIRING
from slinediag.drawing.marks import Group, Line, Mark, Ref, Text
from slinediag.tracing.values import Answer

Sign = Literal[
    "full",
    "half",
    "reverse-half",
    "parallel",
    "none",
    "mult",
    "lone",
    "rows",
    "sheet",
    "elsewhere",
    "joined",
    "back",
    "swapped",
    "priority",
    "note",
    "idle",
    "onward",
    "tie",
    "wall",
    "slash",
    "cord",
    "dummy",
    "broken",
    "tapped",
    "trial",
    "pulled",
    "silent",
    "doubled",
    "failed",
]
OF_TRIALS: tuple[Sign, ...] = ("trial", "pulled", "silent", "doubled", "failed")
OF_CORDS: frozenset[Sign] = frozenset(("cord", "trial", "pulled"))
ZONE = "C2"
"""The sample of a zone, where none is known yet."""
PLACE = re.compile(r"(?:[0-9]+ )?[A-Z]+[0-9]+", re.ASCII)
"""Sheet and zone, or on one sheet the zone, as an input in a part names them."""
BY_CLASS: dict[str, tuple[Sign, ...]] = {
    "branch": ("joined",),
    "arrow": ("back",),
    "swapped": ("swapped",),
    "priority": ("priority",),
    "note": ("note",),
    "slash": ("slash",),
    "tie-name": ("tie",),
    "wall": ("wall",),
    "dummy-plug": ("dummy",),
    "break-cross": ("broken",),
    "tap-ring": ("tapped",),
    "silent": ("silent",),
    "warning": ("doubled",),
    "stamp": ("failed",),
}
"""What a mark of a class is a sign of; others take more than their class to tell."""
BY_JACKS: dict[str, Sign] = {"non-normaled": "none", "of-mult": "mult", "lone": "lone"}
"""What a position is a sign of, by what its data say of its jacks."""


def signs_of(plan: Plan, answer: Answer | None, *, alone: bool = False) -> frozenset[Sign]:
    """Every sign that a planned chart may bear, however it is divided and laid out.

    ``alone``: on one sheet, where no line leads to another.
    """
    rows = [row for point in plan.points for row in point.rows]
    found: set[Sign] = {row.normal.kind if row.normal else "none" for row in rows}
    found |= {"joined", "back", "rows"}
    plugs = plan.subject.plugs
    normals = [row.normal for row in rows if row.normal]
    at_ports = swapped_ports(plan.subject.facility)
    swapped = any(spot.swapped for row in rows for spot in (row.left, row.right) if spot)
    boxes = [box.equipment.id for box in plan.boxes]
    told: tuple[tuple[Sign, bool], ...] = (
        ("sheet", not alone),
        ("elsewhere", plan.excerpt is not None),
        ("swapped", swapped or bool({p.equipment for p in at_ports} & {*boxes})),
        ("idle", any(box.idle_inputs or box.idle_outputs for box in plan.boxes)),
        ("priority", any(slot.priority for box in plan.boxes for slot in box.inputs)),
        ("note", bool(plan.notes.words)),
        ("slash", bool(plan.folds.nodes)),
        ("cord", any(cord.standing == "standing" for cord in plugs.cords)),
        ("dummy", bool(plugs.dummies)),
        ("broken", any(plugs.breaking(normal) for normal in normals)),
        ("tapped", any(plugs.tapping(normal) for normal in normals)),
    )
    found |= {sign for sign, holds in told if holds}
    if answer is not None and not answer.trial.empty:
        found |= set(OF_TRIALS)
    return frozenset(found)


def signs_on(marks: Iterable[Mark]) -> Mapping[Sign, str]:
    """The signs that these marks of a chart are; of some the first words of their kind, which a
    legend shows as its sample."""
    lines: list[Line] = []
    found: dict[Sign, str] = {}
    for mark in _all(marks):
        if mark.ref is not None:
            for sign in _signs(mark.ref):
                found.setdefault(sign, "")
            for sign, words in _samples(mark):
                found[sign] = found.get(sign) or words
        if isinstance(mark, Line) and mark.ref and {"line", "normal"} & set(mark.ref.classes):
            lines.append(mark)
    if "joined" not in found and _cross(lines):
        found["joined"] = ""
    return found


def one_sheet_signs(marks: Iterable[Mark], *, named: bool) -> Mapping[Sign, str]:
    """The signs of a chart on one sheet; ``named``: whether inputs of equipment in parts will name
    zones there, which are known last."""
    found = dict(signs_on(marks))
    if named:
        found["onward"] = ZONE
    return found


def _samples(mark: Mark) -> Iterator[tuple[Sign, str]]:
    """Words of a mark that a legend may show as they stand on the chart."""
    classes = mark.ref.classes if mark.ref else ()
    if isinstance(mark, Text):
        if "idle" in classes:
            yield "idle", mark.text
        elif "tie-name" in classes:
            yield "tie", mark.text
        elif "note-number" in classes:
            yield "note", mark.text
    elif isinstance(mark, Group) and "onward" in classes:
        for piece in mark.marks:
            if isinstance(piece, Text) and PLACE.fullmatch(piece.text):
                yield "onward", piece.text


def _signs(ref: Ref) -> Iterator[Sign]:
    """The signs that the legend explains of what a mark stands for."""
    data, classes = dict(ref.data), set(ref.classes)
    for name in ref.classes:
        yield from BY_CLASS.get(name, ())
    for word in data.get("signs", "").split():
        yield BY_JACKS[word]
    if "normal" in classes:
        yield from (kind for kind in WIRING if kind == data.get("kind"))
    if "point" in classes and "bottom" in data:
        yield "rows"
    if classes & {"reference", "cord-reference"}:
        yield "elsewhere" if "elsewhere" in classes else "sheet"
    if "cord" in classes:
        if "standing" in classes:
            yield "cord"
        elif "trial" in classes:
            yield "trial"
        elif "pulled" in classes:
            yield "pulled"
    if "idle" in classes:
        yield "idle"


def _all(marks: Iterable[Mark]) -> Iterator[Mark]:
    for mark in marks:
        yield mark
        if isinstance(mark, Group):
            yield from _all(mark.marks)


def _cross(lines: Iterable[Line]) -> bool:
    """Whether a level and an upright piece cross in the midst of both."""
    pieces = [piece for line in lines for run in line.runs for piece in itertools.pairwise(run)]
    level = [(a.y, *sorted((a.x, b.x))) for a, b in pieces if a.y == b.y]
    upright = [(a.x, *sorted((a.y, b.y))) for a, b in pieces if a.x == b.x]
    return any(
        left < x < right and top < y < foot for x, top, foot in upright for y, left, right in level
    )
