"""What keeps company over sheets: one studio's equipment, and lines between bays by themselves."""

from __future__ import annotations

from collections import Counter

import networkx as nx

from slinediag.address import natural
from slinediag.chart.company import companies
from slinediag.chart.division import Bench, ends_of
from slinediag.chart.planning import plan_chart
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set
from tests.chart.set_rules import check_set, jack_zones, numbered

PLAYERS = 8


def studios(count: int, ties: int):
    """Studios of players at a desk, the first half of each in one bay, the others in another, so
    that by their positions they take turns; and lines between the bays that lead to none."""
    boxes, points, more = [], [], []
    for s in range(count):
        names = [f"S{s}P{n}" for n in range(PLAYERS)]
        boxes += [f"  {name}: {{name: Player {name}, outputs: [O]}}" for name in names]
        inputs = ", ".join(f"I{n}" for n in range(PLAYERS))
        boxes.append(f"  S{s}D: {{name: Desk {s}, inputs: [{inputs}]}}")
        for n, name in enumerate(names):
            half = points if n < PLAYERS // 2 else more
            number = s * PLAYERS // 2 + n % (PLAYERS // 2) + 1
            half.append(f"      {number}: {{top: {name}.O, bottom: S{s}D.I{n}}}")
    first = count * PLAYERS // 2 + 1
    lines = [
        f"  L{n}: {{from: A.B{first + n}, to: B.T{first + ties - 1 - n}}}" for n in range(ties)
    ]
    bays = [
        f"  {bay}:\n    name: Bay {bay}\n    positions: {first + ties}\n    points:\n"
        + "\n".join([*own, *(f"      {first + n}: {{normal: none}}" for n in range(ties))])
        for bay, own in (("A", points), ("B", more))
    ]
    text = "equipment:\n{}\nbays:\n{}\n".format("\n".join(boxes), "\n".join(bays))
    return plant(text + ("lines:\n" + "\n".join(lines) + "\n" if lines else ""))


def test_companies_are_what_hangs_together_without_lines_between_bays():
    facility = studios(3, 4)
    bench = Bench(plan_chart(facility, None), 9)
    graph = nx.Graph()
    for net in bench.plan.nets:
        ports = [e for e in ends_of(net) if e.address and hasattr(e.address, "equipment")]
        names = [e.address.equipment if e in ports else e.node for e in ends_of(net)]
        if ports:
            nx.add_path(graph, names)
    found = companies(bench)
    for group in nx.connected_components(graph):
        assert len({found.of[unit] for unit in group if unit in found.of}) == 1
    assert len(set(found.of.values())) == nx.number_connected_components(graph) == 3
    assert [natural(part[0]) for part in found.between] == sorted(
        natural(part[0]) for part in found.between
    )
    assert {unit for part in found.between for unit in part}.isdisjoint(found.of)


def test_sheets_of_one_studio_follow_each_other_and_lines_between_bays_come_last():
    facility = studios(3, 16)
    drawings = drawn_set(facility, "A4")
    check_set(facility, drawings)
    company = {}
    for number, drawing in numbered(drawings):
        found = {
            rules.data_of(g)["id"].split("P")[0].removesuffix("D")
            for g in rules.groups(drawing.marks, "equipment")
        }
        if found or list(rules.groups(drawing.marks, "chart")):
            company[number] = found
    runs = [sorted(found) for _, found in sorted(company.items())]
    alone = [found[0] for found in runs if len(found) == 1]
    assert alone == sorted(alone)
    bare = [number for number, found in company.items() if not found]
    assert bare == sorted(company)[len(company) - len(bare) :]
    assert bare


def test_lines_between_bays_stand_together_in_order_of_their_left_jacks():
    drawings = drawn_set(studios(2, 12), "A3")
    zones = jack_zones(drawings)
    first = 2 * PLAYERS // 2 + 1
    sheets = [zones[f"A.B{first + n}"][0] for n in range(12)]
    assert sheets == sorted(sheets)
    assert len(set(sheets)) == 1
    (sheet,) = [d for n, d in numbered(drawings) if n == sheets[0]]
    places = rules.jack_places(sheet)
    centres = [places[f"A.B{first + n}"][0] for n in range(12)]
    # Columns are read downwards, one after the other.
    assert [(c.x, c.y) for c in centres] == sorted((c.x, c.y) for c in centres)


def test_islands_of_a_sheet_are_read_in_the_order_of_their_positions():
    """Two groups of players alike but for a label: the first of them stands at the left."""
    *_, drawing = drawn_set(studios(1, 0), "A3")
    places = rules.jack_places(drawing)
    first, second = ([places[f"{bay}.T{n}"][0].x for n in range(1, 5)] for bay in ("A", "B"))
    assert max(first) < min(second)


def test_a_studio_that_has_no_room_in_columns_of_its_own_stays_on_one_sheet_all_the_same():
    """None of its players is left over on the sheet of another studio."""
    for count in (2, 3, 4):
        drawings = drawn_set(studios(count, 0), "A3")
        assert sum(1 for d in drawings if rules.jack_places(d)) == -(-count // 2)
        for drawing in drawings:
            told = Counter(name[1] for name, _ in rules.equipment_boxes(drawing) if "P" in name)
            assert set(told.values()) <= {PLAYERS}
