"""The fewest crossings of any order within given layers, by an integer program.

Nothing is taken from the search: what runs in which gap is read off the graph and the layers anew,
and HiGHS (scipy.optimize.milp) gives the least number with its proof. For each pair of items of a
layer a variable says which stands above; that orders are orders is asked for only where a solution
breaks it (Grötschel, Jünger, Reinelt, "A cutting plane algorithm for the linear ordering problem",
1984; Jünger, Mutzel, "2-layer straightline crossing minimization", 1997).

In a gap nets are trees whose ends lie on the edge of a disc. Where the ends of two go k times in
turn about it, they cross k - 1 times at least: each must pass between the groups of the other.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import networkx
import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from slinediag.layout.graph import Edge, Graph

Item = tuple[str, object]
"""A box or a lane in a layer."""
End = tuple[Item, float]
"""Where a net ends at an item, and how far down on it."""
Term = tuple[int, End, End]
"""On one side of a gap, 0 left and 1 right, the one end stands above the other."""


@dataclass
class Gap:
    """The nets that run right of a layer: their ends on the left and on the right."""

    number: int
    nets: dict[int, tuple[list[End], list[End]]] = field(default_factory=dict)


def gaps_of(graph: Graph, layer: Mapping[str, int]) -> list[Gap]:
    """What runs in each gap; a net has one lane in each layer that it passes."""
    y = {}
    for node in graph.nodes:
        y |= {(node.id, "in", port.id): port.y for port in node.inputs}
        y |= {(node.id, "out", port.id): port.y for port in node.outputs}
    joined = networkx.Graph()
    for edge in graph.edges:
        joined.add_edge(
            (edge.source[0], "out", edge.source[1]), (edge.target[0], "in", edge.target[1])
        )
    gaps: dict[int, Gap] = {}
    for number, ends in enumerate(networkx.connected_components(joined)):
        sides: tuple[dict[int, list[End]], ...] = (defaultdict(list), defaultdict(list))
        for end in sorted(ends):
            name, side, _ = end
            gap = layer[name] if side == "out" else layer[name] - 1
            sides[side == "in"][gap].append((("box", name), y[end]))
        first, last = min([*sides[0], *sides[1]]), max([*sides[0], *sides[1]])
        lane: End = (("lane", number), 0.0)
        for gap in range(first, last + 1):
            lefts = sides[0][gap] + ([lane] if gap > first else [])
            rights = sides[1][gap] + ([lane] if gap < last else [])
            gaps.setdefault(gap, Gap(gap)).nets[number] = (lefts, rights)
    return [gaps[number] for number in sorted(gaps)]


class Program:
    """Variables: for each pair of items of a layer 1 where the first is above; crossings by pair."""

    def __init__(self, gaps: Sequence[Gap]) -> None:
        self.items: dict[int, list[Item]] = defaultdict(list)
        for gap in gaps:
            for side in (0, 1):
                for ends in gap.nets.values():
                    self.items[gap.number + side] += [item for item, _ in ends[side]]
        self.pairs: dict[tuple[int, Item, Item], int] = {}
        for layer, items in self.items.items():
            self.items[layer] = sorted(set(items), key=repr)
            for one, other in itertools.combinations(self.items[layer], 2):
                self.pairs[layer, one, other] = len(self.pairs)
        self.met = [(gap, *pair) for gap in gaps for pair in itertools.combinations(gap.nets, 2)]
        self.size = len(self.pairs) + len(self.met)
        self.rows: list[dict[int, float]] = []
        self.least: list[float] = []
        for number, (gap, one, other) in enumerate(self.met):
            for terms in chords_crossing(gap.nets[one], gap.nets[other]):
                self._cross(number, terms, 1)

    def least_crossings(self, *, below: int | None = None) -> int:
        """The fewest crossings; with ``below`` any number not less than it where there are as many."""
        if not self.met:
            return 0
        while True:
            values = self._solved(whole=False)
            if below is not None and np.ceil(values[len(self.pairs) :].sum() - 1e-6) >= below:
                return below
            if not self._order(values):
                break
        while True:
            values = self._solved(whole=True)
            if not self._order(values) + self._trees(values):
                return round(values[len(self.pairs) :].sum())

    def _solved(self, *, whole: bool) -> np.ndarray:
        rows = [number for number, row in enumerate(self.rows) for _ in row]
        columns = [column for row in self.rows for column in row]
        factors = [factor for row in self.rows for factor in row.values()]
        matrix = csr_array((factors, (rows, columns)), shape=(len(self.rows), self.size))
        order = np.arange(self.size) < len(self.pairs)
        found = milp(
            np.where(order, 0.0, 1.0),
            constraints=LinearConstraint(matrix, self.least, np.inf) if self.rows else None,
            integrality=order.astype(int) if whole else None,
            bounds=Bounds(0, np.where(order, 1.0, np.inf)),
        )
        assert found.status == 0, found.message
        return found.x

    def _above(self, layer: int, one: End, other: End) -> tuple[int, float, float]:
        """Whether an end is above another: factor times a variable, and what is added."""
        if one[0] == other[0]:
            return 0, 0.0, float(one[1] < other[1])
        if (layer, one[0], other[0]) in self.pairs:
            return self.pairs[layer, one[0], other[0]], 1.0, 0.0
        return self.pairs[layer, other[0], one[0]], -1.0, 1.0

    def _cross(self, number: int, terms: Sequence[Term], times: int) -> None:
        """Two nets cross so many times where all terms hold."""
        gap = self.met[number][0].number
        row: dict[int, float] = defaultdict(float)
        least = float(times)
        for side, one, other in terms:
            column, factor, added = self._above(gap + side, one, other)
            row[column] -= times * factor
            least -= times * (1 - added)
        row = {column: factor for column, factor in row.items() if factor}
        if least - sum(factor for factor in row.values() if factor < 0) > 0:
            self.rows.append({**row, len(self.pairs) + number: 1.0})
            self.least.append(least)

    def _order(self, values: np.ndarray) -> int:
        """Add that what is above what is above a third is above that, where it is not; how often."""
        before = len(self.rows)
        for layer, items in self.items.items():
            above = np.zeros((len(items), len(items)))
            for (i, one), (j, other) in itertools.combinations(enumerate(items), 2):
                above[i, j] = values[self.pairs[layer, one, other]]
                above[j, i] = 1 - above[i, j]
            ring = above[:, :, None] + above[None, :, :] + above.T[:, None, :]
            for i, j, k in zip(*np.nonzero(ring > 2 + 1e-4), strict=True):
                if i < j and i < k and len({i, j, k}) == 3:
                    self._no_ring(layer, [items[i], items[j], items[k]])
        return len(self.rows) - before

    def _no_ring(self, layer: int, ring: Sequence[Item]) -> None:
        row: dict[int, float] = defaultdict(float)
        least = -2.0
        for one, other in zip(ring, [*ring[1:], ring[0]], strict=True):
            column, factor, added = self._above(layer, (one, 0.0), (other, 0.0))
            row[column] -= factor
            least += added
        self.rows.append(dict(row))
        self.least.append(least)

    def _trees(self, values: np.ndarray) -> int:
        """Add how often nets of several ends cross, where that is more than once; how often."""
        before = len(self.rows)
        for number, (gap, *nets) in enumerate(self.met):
            circle: list[tuple[int, End, int]] = []
            terms: list[Term] = []
            for side in (0, 1):
                here = [(side, end, net) for net in nets for end in gap.nets[net][side]]
                ranked = sorted(here, key=lambda own, here=here: self._rank(values, gap, own, here))
                terms += [(side, one[1], other[1]) for one, other in itertools.pairwise(ranked)]
                circle += ranked if side == 0 else ranked[::-1]
            turns = sum(a[2] != b[2] for a, b in zip(circle, [*circle[1:], circle[0]], strict=True))
            times = max(0, turns // 2 - 1)
            if times > values[len(self.pairs) + number] + 1e-6:
                self._cross(number, terms, times)
        return len(self.rows) - before

    def _rank(self, values: np.ndarray, gap: Gap, own: tuple, here: list[tuple]) -> float:
        """How many ends are above one of a gap's side."""
        total = 0.0
        for other in here:
            if other is not own:
                column, factor, added = self._above(gap.number + own[0], other[1], own[1])
                total += factor * round(values[column]) + added
        return total


def chords_crossing(one: tuple, other: tuple) -> Iterator[list[Term]]:
    """The orders of ends in which a chord between two ends of each net cross."""

    def chords(net: tuple) -> list[tuple]:
        ends = [(side, end) for side in (0, 1) for end in net[side]]
        return list(itertools.combinations(ends, 2))

    for ((s, a), (t, b)), ((u, c), (v, d)) in itertools.product(chords(one), chords(other)):
        if s != t and u != v:
            yield [(0, a, c), (1, d, b)]
            yield [(0, c, a), (1, b, d)]
        elif s == t == u == v:
            for p, q, r, w in itertools.permutations((a, b, c, d)):
                if {id(p), id(r)} in ({id(a), id(b)}, {id(c), id(d)}):
                    yield [(s, p, q), (s, q, r), (s, r, w)]
        elif s == t:
            middle = c if u == s else d
            yield [(s, a, middle), (s, middle, b)]
            yield [(s, b, middle), (s, middle, a)]
        elif u == v:
            middle = a if s == u else b
            yield [(u, c, middle), (u, middle, d)]
            yield [(u, d, middle), (u, middle, c)]


def least_crossings(graph: Graph, layer: Mapping[str, int], *, below: int | None = None) -> int:
    """The fewest crossings of any order within layers, ports as they are.

    With ``below`` it stops where it is proven that there are no fewer, and gives that.
    """
    numbers = {old: new for new, old in enumerate(sorted(set(layer.values())))}
    layers = {name: numbers[old] for name, old in layer.items()}
    return Program(gaps_of(graph, layers)).least_crossings(below=below)


def contracted(graph: Graph) -> Graph:
    """The graph without the boxes that one line enters and one leaves: each is but a longer line."""
    ends: dict[tuple[str, str, str], list[Edge]] = defaultdict(list)
    entering: dict[str, list[Edge]] = defaultdict(list)
    leaving: dict[str, list[Edge]] = defaultdict(list)
    for edge in graph.edges:
        ends["out", *edge.source].append(edge)
        ends["in", *edge.target].append(edge)
        leaving[edge.source[0]].append(edge)
        entering[edge.target[0]].append(edge)

    def alone(edge: Edge) -> bool:
        return len(ends["out", *edge.source]) == 1 == len(ends["in", *edge.target])

    inner = {
        node.id
        for node in graph.nodes
        if len(entering[node.id]) == 1 == len(leaving[node.id])
        and alone(entering[node.id][0])
        and alone(leaving[node.id][0])
    }
    edges = []
    for edge in graph.edges:
        if edge.source[0] not in inner:
            target = edge.target
            while target[0] in inner:
                target = leaving[target[0]][0].target
            edges.append(Edge(edge.source, target))
    return Graph(tuple(node for node in graph.nodes if node.id not in inner), tuple(edges))


def moves(graph: Graph, layer: Mapping[str, int]) -> Iterator[dict[str, int]]:
    """All ways to move one box, its lines' other ends where they are: each as new layers.

    Into any other layer that keeps what runs forward forward and what runs back back, and between
    any two of them.
    """
    layers = {node.id: 2 * layer[node.id] for node in graph.nodes}
    for node in graph.nodes:
        low, high = -1, max(layers.values()) + 1
        for edge in graph.edges:
            source, target = edge.source[0], edge.target[0]
            back = layers[target] <= layers[source]
            if source != target and node.id == target:
                low, high = (
                    (low, min(high, layers[source]))
                    if back
                    else (max(low, layers[source] + 1), high)
                )
            elif source != target and node.id == source:
                low, high = (
                    (max(low, layers[target]), high)
                    if back
                    else (low, min(high, layers[target] - 1))
                )
        for to in range(low, high + 1):
            if to != layers[node.id]:
                yield {**layers, node.id: to}
