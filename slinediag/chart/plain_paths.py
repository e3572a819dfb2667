"""Ways through equipment that a few words in its box tell, and the list's words for others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from slinediag.chart.lettering import LEADING, width
from slinediag.chart.ranges import compressed, compressed_sides, counted, follows
from slinediag.model.equipment import Equipment

STRAIGHT = ("straight", "through")
"""Each input leads to the output of its name or number, and to no other."""
ALL_INPUTS = "all inputs"
EVERY = (f"{ALL_INPUTS} to", "all outputs")
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
    for ins, outs in sources.items():
        tos = compressed([box.facts[o, "out"].label for o in outs])
        yield Lead(tuple(outs), ins, f"{tos} from {_called(box, ins)}")


def _called(box: Equipment, inputs: Sequence[str]) -> str:
    """Some inputs of a box in words, by those that are not among them where that is shorter."""
    called = compressed_sides([box.facts[i, "in"].label for i in inputs])
    rest = [port.id for port in box.inputs if port.id not in {*inputs}]
    if not rest:
        return ALL_INPUTS if len(inputs) > 1 else called
    but = compressed_sides([box.facts[i, "in"].label for i in rest])
    return min(called, f"{ALL_INPUTS} but {but}", key=len)


def with_straight(box: Equipment, leads: Iterable[Lead]) -> list[Lead]:
    """The lines of the list; of outputs that each come from the one input of their name or number
    three or more as one: all that are called like their inputs, and each run in which the first
    comes from the first and the last from the last, with no end left to guess."""
    found = list(leads)
    plain = [lead for lead in found if _straight_label(box, lead)]
    same = [lead for lead in plain if len({*_labels(box, lead)}) == 1]
    runs = [same, *_runs(box, [lead for lead in plain if lead not in same])]
    made = [_as_one(box, run) for run in runs if len(run) >= LEAST_STRAIGHT]
    told = {output for lead in made for output in lead.outputs}
    return made + [lead for lead in found if told.isdisjoint(lead.outputs)]


def _labels(box: Equipment, lead: Lead) -> tuple[str, str]:
    """What the one input and the one output of a line are called."""
    return box.facts[lead.inputs[0], "in"].label, box.facts[lead.outputs[0], "out"].label


def _straight_label(box: Equipment, lead: Lead) -> bool:
    """Whether a line leads from one input to the one output of its name or number."""
    return len(lead.outputs) == len(lead.inputs) == 1 and _alike(*_labels(box, lead))


def _runs(box: Equipment, leads: Iterable[Lead]) -> list[list[Lead]]:
    """Lines whose inputs and outputs both count up."""
    runs: list[list[Lead]] = []
    for lead in leads:
        if runs and all(map(follows, _labels(box, runs[-1][-1]), _labels(box, lead))):
            runs[-1].append(lead)
        else:
            runs.append([lead])
    return runs


def _as_one(box: Equipment, leads: Sequence[Lead]) -> Lead:
    inputs, outputs = (
        tuple(lead.inputs[0] for lead in leads),
        tuple(lead.outputs[0] for lead in leads),
    )
    ins, outs = map(compressed, zip(*(_labels(box, lead) for lead in leads), strict=True))
    words = f"{' '.join(STRAIGHT)}: {outs if ins == outs else f'{outs} from {ins}'}"
    return Lead(outputs, inputs, words)


def said_in_box(box: Equipment, height: int) -> tuple[str, ...]:
    """Lines for the middle of a box of this height that tell all its ways; none where they are
    more, or longer, than it has room for."""
    ways = {*box.ways}
    ports = [port.id for port in box.inputs], [port.id for port in box.outputs]
    if len(ways) > 1 and len(ways) == len({*ports[0]}) * len({*ports[1]}):
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
