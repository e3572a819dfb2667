"""Draws the lines behind the bays: one path for each net, its dots, arrows, and what is silent."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from slinediag.address import Address, PortAddress
from slinediag.chart import symbols
from slinediag.chart.descriptions import Cables, cables_by_end, line_words
from slinediag.chart.graph import Placed, PlacedPiece
from slinediag.chart.overlay import Outcome
from slinediag.chart.points import JACK_RADIUS, PointPlan
from slinediag.chart.rear import RearEnd, RearNet, entry_port
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Line, Mark, Ref, Shape
from slinediag.geometry import Box, Point, Run
from slinediag.model.facility import Facility

Flags = Mapping[str, int]
"""How far a line goes on inside the node of a flag, by the node."""

BEND = 1_500
"""How much of each limb is drawn in full at a corner of a dashed line, micrometres."""


class DrawnLines(NamedTuple):
    """All lines in painting order: what lies below the points, and the marks on the lines."""

    lines: tuple[Mark, ...]
    marks: tuple[Mark, ...]


def draw_lines(
    facility: Facility,
    nets: tuple[RearNet, ...],
    points: Mapping[str, PointPlan],
    placed: Placed,
    outcome: Outcome,
    flags: Flags = MappingProxyType({}),
) -> DrawnLines:
    """The lines of all nets that have any, in the order of the nets."""
    pieces: dict[int, list[PlacedPiece]] = {}
    for piece in placed.pieces:
        pieces.setdefault(piece.net, []).append(piece)
    cables = cables_by_end(facility)
    lines: list[Mark] = []
    marks: list[Mark] = []
    for number, net in enumerate(nets):
        runs = _runs(net, pieces.get(number, []), _Ends(points, placed.nodes, flags))
        if not runs:
            continue
        lines += _inked(facility, cables, net, runs, outcome)
        for piece in pieces.get(number, []):
            marks += _marks_on(piece)
    return DrawnLines(tuple(lines), tuple(marks))


def _marks_on(piece: PlacedPiece) -> Iterator[Circle | Shape]:
    yield from (symbols.branch_dot(dot) for dot in piece.dots)
    yield from (symbols.arrow_back(at) for at in piece.arrows)


class _Ends(NamedTuple):
    """Nodes inside which lines go on, and where all nodes stand."""

    points: Mapping[str, PointPlan]
    nodes: Mapping[str, Box]
    flags: Flags


def _runs(net: RearNet, pieces: list[PlacedPiece], ends: _Ends) -> tuple[Run, ...]:
    """The net's runs, led on inside its nodes to the jacks, and through its positions."""
    reached = [
        end
        for sources, targets in net.pieces
        if len(sources) + len(targets) > 1
        for end in (*sources, *targets)
    ]
    runs = [run for piece in pieces for run in piece.runs]
    runs += [run for end in reached if (run := _lead(end, ends))]
    runs += [_straight(left, right, ends) for left, right in net.through]
    return joined(runs)


def _lead(end: RearEnd, ends: _Ends) -> Run | None:
    """From the edge of a node to the jack, to the mark where a normal comes in, or to the flag."""
    plan, at = ends.points.get(end.node), ends.nodes[end.node]
    if plan is None:
        return _lead_to_flag(end, at, ends.flags.get(end.node, 0))
    for number, row in enumerate(plan.rows):
        y = at.y + plan.row_y(number)
        if row.entry and row.normal and end.port == entry_port(row.normal.target):
            return Point(at.x, y), Point(at.x + plan.left_x, y)
        if row.left and row.left.jack == end.address:
            return Point(at.x, y), Point(at.x + plan.left_x - JACK_RADIUS, y)
        if row.right and row.right.jack == end.address:
            return Point(at.x + plan.right_x + JACK_RADIUS, y), Point(at.right, y)
    return None


def _lead_to_flag(end: RearEnd, at: Box, length: int) -> Run | None:
    if not length:
        return None
    y = at.centre.y
    if end.port == "in":
        return Point(at.x, y), Point(at.x + length, y)
    return Point(at.right - length, y), Point(at.right, y)


def _straight(left: RearEnd, right: RearEnd, ends: _Ends) -> Run:
    """From the left jack of a position straight to its right jack."""
    plan, at = ends.points[left.node], ends.nodes[right.node]
    y = at.y + plan.row_y(0)
    return (
        Point(at.x + plan.left_x + JACK_RADIUS, y),
        Point(at.x + plan.right_x - JACK_RADIUS, y),
    )


def joined(runs: list[Run]) -> tuple[Run, ...]:
    """Runs that meet end to end and nowhere else, made one; corners on a straight left out."""
    degree: dict[Point, int] = {}
    for run in runs:
        for end in (run[0], run[-1]):
            degree[end] = degree.get(end, 0) + 1
    inner = {corner for run in runs for corner in run[1:-1]}
    done: list[Run] = []
    left = sorted(runs)
    while left:
        run = left.pop(0)
        run = _grown(run, left, degree, inner)
        run = tuple(reversed(_grown(tuple(reversed(run)), left, degree, inner)))
        done.append(_plain(run))
    return tuple(sorted(done))


def _grown(run: Run, left: list[Run], degree: Mapping[Point, int], inner: set[Point]) -> Run:
    """The run led on at its last end for as long as exactly one other run goes on there."""
    while degree[run[-1]] == 2 and run[-1] not in inner:
        onward = next((r for r in left if run[-1] in (r[0], r[-1])), None)
        if onward is None:
            break
        left.remove(onward)
        run = (*run, *(onward[1:] if onward[0] == run[-1] else tuple(reversed(onward))[1:]))
    return run


def _plain(run: Run) -> Run:
    """The run without corners that lie on a straight."""
    kept = [run[0]]
    for corner, after in itertools.pairwise(run):
        before = kept[-1]
        straight = (before.x == corner.x == after.x) or (before.y == corner.y == after.y)
        if not straight:
            kept.append(corner)
    return (*kept, run[-1])


def _inked(
    facility: Facility, cables: Cables, net: RearNet, runs: tuple[Run, ...], outcome: Outcome
) -> Iterator[Line]:
    """The net's path; where it falls silent, hollow and dashed."""
    froms, tos = ends_named(net)
    silent = not outcome.silent.isdisjoint(net.addresses)
    ref = Ref(
        ("line", "silent") if silent else ("line",),
        line_data(facility, net),
        title=line_title(facility, net),
        desc=line_words(facility, cables, (froms, tos), silent=silent),
    )
    yield Line(runs, symbols.SILENT if silent else styles.LINE, ref)
    if silent:
        if bends := tuple(_corners(runs)):
            yield Line(bends, replace(symbols.SILENT, dash="solid"), Ref(("silent-bend",)))
        yield Line(runs, symbols.HOLLOW, Ref(("hollow",)))


def _corners(runs: tuple[Run, ...]) -> Iterator[Run]:
    """The bends of dashed runs, drawn in full, so that no gap falls on a corner."""
    for run in runs:
        for before, corner, after in zip(run, run[1:], run[2:], strict=False):
            yield _short(corner, before), corner, _short(corner, after)


def _short(corner: Point, to: Point) -> Point:
    """A little way from a corner along one of its limbs, half of it at most."""
    dx, dy = to.x - corner.x, to.y - corner.y
    reach = min(BEND, (abs(dx) + abs(dy)) // 2)
    return corner.moved(*((d > 0) * reach - (d < 0) * reach for d in (dx, dy)))


def line_data(facility: Facility, net: RearNet) -> tuple[tuple[str, str], ...]:
    """Where a line comes from and goes to, its net; and the circuits that it stands for, each as
    its two ends."""
    froms, tos = (" ".join(map(facility.spelled, ends)) for ends in ends_named(net))
    data = (("from", froms), ("to", tos), ("net", net.name))
    circuits = ("=".join(map(facility.spelled, ends)) for ends in net.circuits)
    members = " ".join(circuits)
    return (*data, ("members", members)) if members else data


def line_title(facility: Facility, net: RearNet) -> str:
    """A line by its ends."""
    froms, tos = (", ".join(map(facility.spelled, ends)) for ends in ends_named(net))
    count = f"{len(net.circuits)} lines drawn as one" if net.circuits else "Line"
    return f"{count} from {froms} to {tos}"


def ends_named(net: RearNet) -> tuple[list[Address], list[Address]]:
    """Where the line comes from and goes to; a net on one side of its nodes is split by ports."""
    rights, lefts = (right for _, right in net.through), (left for left, _ in net.through)
    sources = [address for end in (*net.sources, *rights) for address in end.addresses]
    targets = [address for end in (*net.targets, *lefts) for address in end.addresses]
    if sources and targets:
        return sources, targets
    both = [*sources, *targets]
    outputs = [a for a in both if isinstance(a, PortAddress) and a.side == "out"]
    first = outputs or both[:1]
    rest = [a for a in both if a not in first]
    return list(first), rest or list(first)
