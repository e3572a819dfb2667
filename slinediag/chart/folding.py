"""Finds runs of parallel circuits that one line can stand for.

Positions that follow each other in one bay fold where they are alike, and so is all that their
lines lead to: ports that follow each other on one box, or positions that fold too. What has a
plug in it, a note, a state or an end of its own stands by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from slinediag.address import Address, Jack, PortAddress
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.overlay import Outcome
from slinediag.chart.paths import Slot
from slinediag.chart.points import PointPlan, PointRow, Spot, half_point, whole_point
from slinediag.chart.ranges import run_of_labels, run_of_titles
from slinediag.chart.rear import RearEnd, RearNet
from slinediag.chart.subject import Subject, swapped_ports

MARKED = frozenset({"lost", "doubled"})
"""What a trial makes of an input that is marked at it."""

Bounds = Callable[[Address], bool]
Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Folds:
    """What is folded: the ids of nodes in runs, and the ports in runs, each by its first; and by
    the first jack of a run on either side, how many lines are folded behind it."""

    nodes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ports: Mapping[PortAddress, tuple[PortAddress, ...]] = field(default_factory=dict)
    lines: Mapping[Jack, int] = field(default_factory=dict)


NO_FOLDS = Folds()


def with_folds(points: Sequence[PointPlan], folds: Folds) -> tuple[PointPlan, ...]:
    """The nodes with one for each run, in the place of its first."""
    known = {point.id: point for point in points}
    behind = {name for run in folds.nodes.values() for name in run[1:]}
    return tuple(
        _folded_point([known[name] for name in folds.nodes[point.id]], folds.lines)
        if point.id in folds.nodes
        else point
        for point in points
        if point.id not in behind
    )


def _folded_point(plans: Sequence[PointPlan], lines: Mapping[Jack, int]) -> PointPlan:
    """Nodes that are alike as one that stands for all of them, their order kept.

    ``lines``: by the first jack of a side, how many lines are folded there.
    """
    first, rows = plans[0], [plan.rows[0] for plan in plans]
    row = replace(
        first.rows[0],
        left=_folded_spot([r.left for r in rows], lines),
        right=_folded_spot([r.right for r in rows], lines),
        title=run_of_titles([r.title for r in rows]),
    )
    measured = half_point(first.position, row) if first.half else whole_point(first.position, [row])
    return replace(measured, members=tuple(plan.position for plan in plans))


def _folded_spot(spots: Sequence[Spot | None], lines: Mapping[Jack, int]) -> Spot | None:
    """The jacks of one side as one, by the ends of what is printed at them; None where none is."""
    found = [spot for spot in spots if spot is not None]
    if not found:
        return None
    return replace(
        found[0],
        label=run_of_labels([spot.label for spot in found]),
        rear=run_of_labels([spot.rear for spot in found]),
        members=tuple(spot.jack for spot in found),
        count=lines.get(found[0].jack, 0),
    )


def find_folds(
    subject: Subject,
    boxes: Sequence[BoxPlan],
    points: Sequence[PointPlan],
    nets: Sequence[RearNet],
    outcome: Outcome,
    bounds: Bounds | None,
    apart: Collection[str] = (),
) -> Folds:
    """The longest runs of at least two.

    ``bounds``: whether something is in the part that is drawn; nothing folds across its edge.
    ``apart``: nodes that stand alone.
    """
    finder = _Finder(subject, boxes, points, nets, outcome, bounds, apart)
    follower = dict(sorted(finder.joined()))
    followers = set(follower.values())
    found: dict[str, tuple[str, ...]] = {}
    for first in [name for name in follower if name not in followers]:
        run = [first]
        while run[-1] in follower:
            run.append(follower[run[-1]])
        found[first] = tuple(run)
    runs = found.values()
    return Folds(found, dict(finder.ports_of(runs)), dict(finder.lines_of(runs)))


class _Finder:
    """Pairs of neighbours that are alike; those struck out whose lines lead to what is not."""

    def __init__(
        self,
        subject: Subject,
        boxes: Sequence[BoxPlan],
        points: Sequence[PointPlan],
        nets: Sequence[RearNet],
        outcome: Outcome,
        bounds: Bounds | None,
        apart: Collection[str],
    ) -> None:
        self._subject, self._outcome, self._bounds = subject, outcome, bounds
        self._apart = frozenset(apart)
        self._swapped = swapped_ports(subject.facility)
        self._points = {point.id: point for point in points}
        self._net = {
            (end.node, end.port): net
            for net in nets
            for end in (*net.sources, *net.targets, *(e for pair in net.through for e in pair))
        }
        self._slots = {
            slot.port: (box, number, slot)
            for box in boxes
            for side in (box.inputs, box.outputs)
            for number, slot in enumerate(side)
        }

    def joined(self) -> set[Pair]:
        """The pairs that fold: the most for which both lines of each lead to pairs that fold."""
        pairs = {pair for pair in self._neighbours() if self._alike(*pair)}
        while True:
            kept = {pair for pair in pairs if self._lines_alike(*pair, pairs)}
            if kept == pairs:
                return kept
            pairs = kept

    def ports_of(
        self, runs: Iterable[tuple[str, ...]]
    ) -> Iterator[tuple[PortAddress, tuple[PortAddress, ...]]]:
        """The ports that the lines of folded nodes lead to, in the order of the nodes."""
        for run in runs:
            for side in self._ports(run[0]):
                far = [self._far(node, side) for node in run]
                found = tuple(
                    end.address for end in far if end and isinstance(end.address, PortAddress)
                )
                if found:
                    yield found[0], found

    def lines_of(self, runs: Iterable[tuple[str, ...]]) -> Iterator[tuple[Jack, int]]:
        """The first jacks behind which lines are folded, and how many."""
        for run in runs:
            for spot in self._spots(self._points[run[0]].rows[0]):
                if self._far(run[0], spot.jack.row) is not None:
                    yield spot.jack, len(run)

    def _neighbours(self) -> Iterator[Pair]:
        """Nodes of positions that follow each other in a bay; half ones with their like."""
        by_place = {self._place(point): point.id for point in self._points.values()}
        for point in self._points.values():
            bay, number, row = self._place(point)
            following = by_place.get((bay, number + 1, row))
            if following is not None:
                yield point.id, following

    def _place(self, point: PointPlan) -> tuple[str, int, str]:
        row = self._spots(point.rows[0])[0].jack.row if point.half else ""
        return point.position.bay, point.position.number, row

    @staticmethod
    def _spots(row: PointRow) -> list[Spot]:
        return [spot for spot in (row.left, row.right) if spot is not None]

    def _alike(self, one: str, other: str) -> bool:
        """Whether two nodes are drawn alike but for their numbers and labels."""
        return self._likeness[one] == self._likeness[other] is not None

    @cached_property
    def _likeness(self) -> dict[str, object]:
        """By node, all in which nodes that fold are the same; None for one that stands alone."""
        return {name: self._described(point) for name, point in self._points.items()}

    def _described(self, point: PointPlan) -> object:
        """All in which nodes that fold are the same; None of a node that stands alone."""
        row, facility = point.rows[0], self._subject.facility
        spots = self._spots(row)
        if len(point.rows) > 1 or row.entry or row.through or point.id in self._apart:
            return None
        if any(jack in self._subject.plugs.jacks for jack in self._all_jacks(point)):
            return None
        filed = facility.bays[point.position.bay].point(point.position.number)
        normal = row.normal
        return (
            point.half,
            [(spot.jack.row, spot.swapped, spot.dim, bool(spot.rear)) for spot in spots],
            row.left is None,
            row.tags,
            row.note,
            normal and (normal.kind, normal.source.row, normal.source in self._outcome.silent),
            (filed.group, filed.state),
            self._bounds is None or self._bounds(spots[0].jack),
        )

    def _all_jacks(self, point: PointPlan) -> list[Jack]:
        bay = self._subject.facility.bays[point.position.bay]
        return [Jack(bay.id, row, point.position.number) for row in bay.jack_rows]

    def _ports(self, node: str) -> list[str]:
        """The ports of a node at which lines end."""
        return [spot.jack.row for spot in self._spots(self._points[node].rows[0])]

    def _far(self, node: str, port: str) -> RearEnd | None:
        """The other end of a line that has one."""
        net = self._net[node, port]
        ends = (*net.sources, *net.targets)
        return next((end for end in ends if (end.node, end.port) != (node, port)), None)

    def _lines_alike(self, one: str, other: str, pairs: set[Pair]) -> bool:
        return self._mates_fold(one, other, pairs) and all(
            self._line_alike((one, port), (other, port), pairs) for port in self._ports(one)
        )

    def _mates_fold(self, one: str, other: str, pairs: set[Pair]) -> bool:
        """Whether the other jacks of positions whose jacks stand apart fold as well."""
        mates = self._mates.get(one), self._mates.get(other)
        if mates[0] is None or mates[1] is None:
            return mates[0] is mates[1]
        return (mates[0], mates[1]) in pairs

    @cached_property
    def _mates(self) -> dict[str, str]:
        """By node of one jack, the node of the other jack of its position."""
        halves: dict[object, list[str]] = {}
        for point in self._points.values():
            if point.half:
                halves.setdefault(point.position, []).append(point.id)
        both = [(ids[0], ids[1]) for ids in halves.values() if len(ids) == 2]
        return {**dict(both), **{other: one for one, other in both}}

    def _line_alike(self, one: Pair, other: Pair, pairs: set[Pair]) -> bool:
        """Whether two lines are silent or not alike, and end in nothing or in what folds."""
        nets = self._net[one], self._net[other]
        if any(net.through or len(net.sources) + len(net.targets) > 2 for net in nets):
            return False
        silent = [not self._outcome.silent.isdisjoint(net.addresses) for net in nets]
        far = self._far(*one), self._far(*other)
        if silent[0] != silent[1] or far[0] is None or far[1] is None:
            return silent[0] == silent[1] and far[0] is far[1]
        ends = far[0].address, far[1].address
        if isinstance(ends[0], PortAddress) and isinstance(ends[1], PortAddress):
            return self._ports_follow(ends[0], ends[1])
        if isinstance(ends[0], Jack) and isinstance(ends[1], Jack):
            return ends[0].row == ends[1].row and (far[0].node, far[1].node) in pairs
        return False

    def _ports_follow(self, one: PortAddress, other: PortAddress) -> bool:
        """Whether a port stands next under another, and both are marked alike."""
        (box, number, slot), (other_box, other_number, other_slot) = (
            self._slots[one],
            self._slots[other],
        )
        filed = box.equipment.inputs if one.side == "in" else box.equipment.outputs
        ids = [port.id for port in filed]
        return (
            box.id == other_box.id
            and one.side == other.side
            and other_number == number + 1
            and ids.index(other.port) == ids.index(one.port) + 1
            and self._marked(slot) == self._marked(other_slot)
        )

    def _marked(self, slot: Slot) -> object:
        change = self._outcome.changes.get(slot.port)
        shown = change if change in MARKED else None
        inside = self._bounds is None or self._bounds(slot.port)
        return slot.priority, slot.port in self._swapped, shown, inside
