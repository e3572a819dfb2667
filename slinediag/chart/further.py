"""What several inputs of a part have in common is said once: all the outputs that they lead to.

Lengths in micrometres.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import pairwise, product

from slinediag.address import PortAddress
from slinediag.chart.clear_room import CLEARANCES, DESCENT, clear_spot
from slinediag.chart.equipment import MARGIN, BoxPlan
from slinediag.chart.fars import Far, Onward, lines_at
from slinediag.chart.lettering import LEADING, SMALL, letter, width
from slinediag.chart.pointers import SPACE
from slinediag.chart.ranges import compressed
from slinediag.drawing.marks import Group, Mark, Ref, Weight
from slinediag.drawing.styles import BLACK, TEXT_GREY
from slinediag.geometry import Box, Point

SIDED = re.compile(r"(.+) ([LR])\Z", re.ASCII)
SIDE = re.compile(r"(?:\A|[0-9 ])([LR])\Z", re.ASCII)
"""The side of a stereo pair that a label ends in."""
HERE = "here"
"""Said of outputs in the same part."""
NARROWER = 6_000
"""By how much less each further try wraps the words."""
MOST_LINES = 6
BETWEEN = 3
"""Of so many parts of the room between a row and another that words are not about, all but one are
left free, so that the words stand at their own row."""

Called = Callable[[PortAddress], str]
"""What names the place of an output: its sheet, on a chart of one sheet its zone."""


@dataclass(frozen=True, slots=True)
class Shared:
    """Rows of inputs that lead to the same outputs; these by the names of their places, the sides
    of a stereo pair as one; none where it is all outputs.

    ``also``: whether each row leads besides to what it names first.
    """

    rows: tuple[PortAddress, ...]
    named: tuple[tuple[str, tuple[str, ...]], ...]
    also: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """Letters of a line from its start; ``place`` where they name one."""

    words: str
    weight: Weight = "regular"
    place: str = ""


Unit = tuple[Piece, ...]
"""Pieces that stay on one line."""


Names = tuple[tuple[str, str], ...]
"""Outputs, and the names of their places."""


def shared_ways(plan: BoxPlan, called: Called) -> list[Shared]:
    """The rows of a part that leave some of their outputs to the list, by all that they lead to; a
    row that has that with no other by all but what it names first."""
    everywhere = tuple(row.port for row in plan.onward if len(lines_at(row)) > 1 and row.all_others)
    made = [Shared(everywhere, ())] if len(everywhere) > 1 else []
    listed = [
        row
        for row in plan.onward
        if row.port.side == "in" and any(line.listed for line in lines_at(row))
    ]
    whole = {row.port: _named(plan, row, row.fars, called) for row in listed}
    rest = {row.port: _named(plan, row, row.rest, called) for row in listed}
    among = Counter(map(frozenset, whole.values()))
    found: dict[tuple[bool, frozenset[tuple[str, str]]], list[PortAddress]] = {}
    for row in listed:
        names = frozenset(whole[row.port])
        lone = not names or (among[names] == 1 and _in_company(row.port, rest, whole, among))
        key = frozenset(rest[row.port]) if lone else names
        if key:
            found.setdefault((lone, key), []).append(row.port)
    return made + [
        _shared(ports, (rest if also else whole)[ports[0]], also=also)
        for (also, _), ports in found.items()
    ]


def _in_company(
    port: PortAddress,
    rest: Mapping[PortAddress, Names],
    whole: Mapping[PortAddress, Names],
    among: Mapping[frozenset[tuple[str, str]], int],
) -> bool:
    """Whether another row, alone with what it leads to as well, has all but the first in common."""
    return any(
        other != port and {*names} == {*rest[port]}
        for other, names in rest.items()
        if not whole[other] or among[frozenset(whole[other])] == 1
    )


def _shared(rows: Sequence[PortAddress], names: Names, *, also: bool) -> Shared:
    places: dict[str, dict[str, None]] = {}
    for name, place in names:
        places.setdefault(place, {})[name] = None
    named = tuple((place, tuple(found)) for place, found in places.items())
    return Shared(tuple(rows), named, also)


def _named(plan: BoxPlan, row: Onward, fars: Sequence[Far], called: Called) -> Names:
    """The outputs that each port of a row leads to, and the names of their places; none where not
    each leads to all of these."""
    facts = plan.equipment.facts
    labels = {facts[port.id, "out"].label for port in plan.equipment.outputs}
    reached = {
        facts[port.port, "out"].label for far in row.fars if far.of_each for port in far.there
    }
    found: list[tuple[str, str]] = []
    for far in fars:
        place = HERE if far.port in row.own else called(far.port)
        outs = [facts[port.port, "out"].label for port in far.there]
        ins = [facts[port.port, "in"].label for port in far.here]
        pairs = zip(ins, outs, strict=True) if far.in_turn else product(ins, outs)
        as_one = {_pair_of(one, other, labels, reached) for one, other in pairs}
        if far.of or (far.in_turn and "" in as_one):
            return ()
        names = as_one if as_one and "" not in as_one else {far.label}
        found += ((name, place) for name in sorted(names))
    return tuple(found)


def _pair_of(entry: str, leaving: str, labels: Set[str], reached: Set[str]) -> str:
    """What a stereo pair is called one side of which an input leads to, where it leads to the other
    side too, or is of that side itself; empty for all else."""
    sided = SIDED.match(leaving)
    if sided is None:
        return ""
    both = {f"{sided[1]} L", f"{sided[1]} R"}
    own = SIDE.search(entry)
    if both <= reached or (both <= labels and own and own[1] == sided[2]):
        return sided[1]
    return ""


def place_shared(
    plan: BoxPlan, shared: Shared, taken: Sequence[Box]
) -> tuple[Box, list[list[Unit]]] | None:
    """Room in a box for what rows share, and its lines: clear of all that is taken, and at no row
    of others; None where it has no such room."""
    units = list(_units(plan, shared))
    level = [slot.y for slot in plan.inputs if slot.port in shared.rows]
    widest = max(map(_across, units))
    taken = [*taken, *_at_others(plan, shared.rows)]
    tried = set()
    for room in range(plan.width - 2 * MARGIN, widest - 1, -NARROWER):
        lines = _wrapped(units, room)
        if len(lines) > MOST_LINES or len(lines) in tried:
            continue
        tried.add(len(lines))
        across = max(map(_line_across, lines))
        down = SMALL + DESCENT + LEADING * (len(lines) - 1)
        wish = Point(MARGIN, sum(level) // len(level) - down // 2)
        # Between close rows few words about all outputs would look like those of one row.
        clear = CLEARANCES if shared.named else CLEARANCES[:-1]
        spot = clear_spot(plan, (across, down), taken, wish, rightmost=False, clearances=clear)
        if spot is not None:
            return Box(spot.x, spot.y, across, down), lines
    return None


def _at_others(plan: BoxPlan, rows: Collection[PortAddress]) -> Iterator[Box]:
    """Where words about inputs would look like words about others: beside and between their rows;
    not below all of them, since the words name their inputs."""
    own = {slot.y for slot in plan.inputs if slot.port in rows}
    levels = [slot.y for slot in plan.inputs]
    levels += [idle.y - SMALL // 2 for idle in plan.idle_inputs]
    ys = sorted({*levels})
    if ys[0] not in own:
        yield Box(0, 0, plan.width, ys[0])
    for above, below in pairwise(ys):
        half = (below - above) * (BETWEEN - 1) // BETWEEN
        if above not in own and below not in own:
            yield Box(0, above, plan.width, below - above)
        elif above not in own:
            yield Box(0, above, plan.width, half)
        elif below not in own:
            yield Box(0, below - half, plan.width, half)


def _units(plan: BoxPlan, shared: Shared) -> Iterator[Unit]:
    labels = [slot.label for slot in plan.inputs if slot.port in shared.rows]
    way = "also to" if shared.also else "to"
    if len(labels) == len(plan.inputs) > 1:
        yield (Piece(f"all {way}"),)
    else:
        *first, last = compressed(labels).split(", ")
        yield from ((Piece(f"{words},"),) for words in first)
        yield (Piece(f"{last} {way}"),)
    if not shared.named:
        yield (Piece("all outputs"),)
    for number, (place, names) in enumerate(shared.named, 1):
        *before, last = compressed(names).split(", ")
        yield from ((Piece(f"{name},"),) for name in before)
        end = (Piece("·"),) if number < len(shared.named) else ()
        named = Piece(HERE) if place == HERE else Piece(place, "bold", place)
        yield (Piece(last), named, *end)


def _across(unit: Unit) -> int:
    return sum(width(p.words, SMALL, p.weight) for p in unit) + SPACE * (len(unit) - 1)


def _line_across(line: Sequence[Unit]) -> int:
    return sum(map(_across, line)) + SPACE * (len(line) - 1)


def _wrapped(units: Sequence[Unit], room: int) -> list[list[Unit]]:
    lines: list[list[Unit]] = []
    for unit in units:
        if lines and _line_across([*lines[-1], unit]) <= room:
            lines[-1].append(unit)
        else:
            lines.append([unit])
    return lines


def draw_shared(box: str, corner: Point, lines: Sequence[Sequence[Unit]]) -> Group:
    """The lines from a corner on; each sheet that they name leads to the box there."""
    marks: list[Mark] = []
    for number, line in enumerate(lines):
        foot = corner.moved(0, SMALL + number * LEADING)
        for piece in (piece for unit in line for piece in unit):
            colour = BLACK if piece.place else TEXT_GREY
            text = letter(foot, piece.words, weight=piece.weight, colour=colour)
            if piece.place.isdecimal():
                data = (("at", box), ("sheet", piece.place))
                title = f"To sheet {piece.place}"
                marks.append(Group((text,), Ref(("to-sheet",), data, title=title)))
            else:
                marks.append(text)
            foot = foot.moved(width(piece.words, SMALL, piece.weight) + SPACE, 0)
    words = " ".join(p.words for line in lines for unit in line for p in unit)
    return Group(tuple(marks), Ref(("further",), title=words))
