"""The list of ways through equipment: those that are not drawn or said in its box.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slinediag.address import PortAddress, natural
from slinediag.chart.blocks import Block, Item, indent_for, prose
from slinediag.chart.equipment import BoxPlan, standing_paths
from slinediag.chart.plain_paths import Lead, path_leads, with_straight
from slinediag.chart.ranges import lettered_run
from slinediag.drawing.marks import Group, Mark, Ref, Text
from slinediag.geometry import Point
from slinediag.model.equipment import Equipment

KEPT = 45_000
"""The lines of a piece of equipment stay in one column where they are no higher than this."""
RUNS = "5L–10L, say, is all L from 5 to 10, and no R."


def path_block(boxes: Sequence[BoxPlan], room: int) -> Block:
    """The list in a column of this width; each line is a group that names its ports."""
    told = list(_told(boxes))
    indent = min(indent_for(box.printed for box, _ in told), room // 2)
    items = [item for box, leads in told for item in _items(box, leads, room, indent)]
    if any(lettered_run(lead.words) for _, leads in told for lead in leads):
        items.insert(0, prose(RUNS, room))
    return Block("paths", "Paths inside equipment", tuple(items))


def _items(box: Equipment, leads: Sequence[Lead], room: int, indent: int) -> Iterator[Item]:
    made = [
        prose(lead.words, room, "" if number else box.printed, indent)
        for number, lead in enumerate(leads)
    ]
    height = sum(item.height for item in made)
    for number, (item, lead) in enumerate(zip(made, leads, strict=True)):
        data = (("equipment", box.id), ("from", " ".join(lead.inputs)))
        ref = Ref(("path-line",), (*data, ("to", " ".join(lead.outputs))))
        yield Item(
            item.height,
            (Group(item.marks, ref),),
            under=box.printed if number else "",
            group=height if not number and height <= KEPT else 0,
        )


def _told(boxes: Sequence[BoxPlan]) -> Iterator[tuple[Equipment, list[Lead]]]:
    """The ways of each piece of equipment in whose box, or boxes, not all are drawn or said."""
    once: dict[str, BoxPlan] = {}
    for plan in boxes:
        if plan.equipment.id not in once or plan.style == "listed" or plan.onward:
            once[plan.equipment.id] = plan
    for plan in sorted(once.values(), key=_by_label):
        box = plan.equipment
        leads = with_straight(box, path_leads(box, box.ways)) if _untold(plan) else []
        if standing_paths(plan, failed=True)[0] == "listed":
            leads += [
                lead._replace(words=f"bypass, when failed: {lead.words}")
                for lead in with_straight(box, path_leads(box, box.bypass_ways))
            ]
        if leads:
            yield box, leads


def _by_label(plan: BoxPlan) -> tuple[object, object]:
    box = plan.equipment
    return natural(box.printed.casefold()), natural(box.id)


def _untold(plan: BoxPlan) -> bool:
    """Whether not all paths of a box are drawn or said in it."""
    return bool(plan.onward) or (plan.style == "listed" and not plan.said)


def listed_ports(marks: Iterable[Mark]) -> Iterator[PortAddress]:
    """The ports whose ways are listed among marks, each as often as a line names it."""
    for group in _lines(marks):
        data = dict(group.ref.data)
        yield from (PortAddress(data["equipment"], p, "in") for p in data["from"].split())
        yield from (PortAddress(data["equipment"], p, "out") for p in data["to"].split())


def list_places(marks: Iterable[Mark]) -> Iterator[tuple[str, Point]]:
    """The labels of the equipment whose paths begin to be listed among marks, and where."""
    for group in _lines(marks):
        texts = (mark for mark in group.marks if isinstance(mark, Text))
        yield from ((text.text, text.at) for text in texts if text.weight == "bold")


def _lines(marks: Iterable[Mark]) -> Iterator[Group]:
    """The lines of the list among marks."""
    for mark in marks:
        if isinstance(mark, Group) and mark.ref.classes == ("path-line",):
            yield mark
        elif isinstance(mark, Group):
            yield from _lines(mark.marks)
