"""Ways through equipment that a few words in its box tell, and the list's words for others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import product
from typing import NamedTuple

from slinediag.chart.lettering import LEADING, width
from slinediag.chart.ranges import compressed, counted
from slinediag.model.equipment import Equipment

STRAIGHT = ("straight", "through")
"""Each input leads to the output of its name or number, and to no other."""
EVERY = ("all inputs to", "all outputs")
LEAST_STRAIGHT = 3
"""So many lines of the list that lead straight through are said as one."""
WIDEST_LINE = 32_000
"""A line of a list that takes no more room than this may stand in a box."""

Ways = tuple[tuple[str, str], ...]
"""Inputs and outputs by their ids."""


class Lead(NamedTuple):
    """A line of the list: outputs, the inputs that lead to each of them, and its words."""

    outputs: tuple[str, ...]
    inputs: tuple[str, ...]
    words: str


def path_leads(box: Equipment, ways: Ways) -> Iterator[Lead]:
    """Paths of a box, output by output; outputs with the same inputs together."""
    sources: dict[tuple[str, ...], list[str]] = {}
    entries: dict[str, set[str]] = defaultdict(set)
    for entry, leaving in ways:
        entries[leaving].add(entry)
    for port in box.outputs:
        inputs = tuple(p.id for p in box.inputs if p.id in entries[port.id])
        if inputs:
            sources.setdefault(inputs, []).append(port.id)
    every = tuple(port.id for port in box.inputs)
    for ins, outs in sources.items():
        called = compressed([box.facts[i, "in"].label for i in ins])
        froms = "all inputs" if ins == every and len(ins) > 1 else called
        tos = compressed([box.facts[o, "out"].label for o in outs])
        yield Lead(tuple(outs), ins, f"{tos} from {froms}")


def with_straight(box: Equipment, leads: Iterable[Lead]) -> list[Lead]:
    """The lines of the list, those of three outputs or more that each come from the one input of
    their name or number as one."""
    found = list(leads)
    plain = [
        lead
        for lead in found
        if len(lead.outputs) == len(lead.inputs) == 1
        and _alike(box.facts[lead.inputs[0], "in"].label, box.facts[lead.outputs[0], "out"].label)
    ]
    if len(plain) < LEAST_STRAIGHT:
        return found
    inputs, outputs = (
        tuple(lead.inputs[0] for lead in plain),
        tuple(lead.outputs[0] for lead in plain),
    )
    ins = compressed([box.facts[port, "in"].label for port in inputs])
    outs = compressed([box.facts[port, "out"].label for port in outputs])
    words = f"{' '.join(STRAIGHT)}: {outs if ins == outs else f'{outs} from {ins}'}"
    rest = [lead for lead in found if lead not in plain]
    return [Lead(outputs, inputs, words), *rest]


def said_in_box(box: Equipment, height: int) -> tuple[str, ...]:
    """Lines for the middle of a box of this height that tell all its ways; none where they are
    more, or longer, than it has room for."""
    ways = {*box.ways}
    ports = [port.id for port in box.inputs], [port.id for port in box.outputs]
    if len(ways) > 1 and ways == {*product(*ports)}:
        found: tuple[str, ...] = EVERY
    elif _straight(box, ways, ports):
        found = STRAIGHT
    else:
        found = tuple(lead.words for lead in path_leads(box, box.ways))
    fits = len(found) * LEADING <= height and max(map(width, found), default=0) <= WIDEST_LINE
    return found if fits else ()


def _straight(
    box: Equipment, ways: set[tuple[str, str]], ports: tuple[list[str], list[str]]
) -> bool:
    """Whether each input leads to the output of its place alone, and both are called alike."""
    pairs = [*zip(*ports, strict=False)]
    return (
        len(ports[0]) == len(ports[1])
        and ways == {*pairs}
        and all(_alike(box.facts[i, "in"].label, box.facts[o, "out"].label) for i, o in pairs)
    )


def _alike(one: str, other: str) -> bool:
    """Whether two labels are the same, or bear the same number or last word: I1 and O1."""
    if one.casefold() == other.casefold():
        return True
    first, second = counted(one), counted(other)
    if first and second:
        return (first.number, first.tail) == (second.number, second.tail)
    ends = one.split()[-1:], other.split()[-1:]
    return bool(ends[0]) and ends[0] == ends[1]
