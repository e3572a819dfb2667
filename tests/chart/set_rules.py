"""What must hold of a chart on several sheets, as checks of its drawings against its facility.

Each check knows the marks and the facility only, not how the chart was divided.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict

from slinediag.address import natural
from slinediag.chart.frame import zone_at
from slinediag.chart.ranges import number_ranges
from slinediag.chart.sheet import Sheet
from slinediag.chart.titleblock import BLOCK
from slinediag.drawing.marks import Circle, Drawing, Group, Shape, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import union
from slinediag.model.facility import Facility
from tests.chart import rules


def check_set(facility: Facility, drawings: tuple[Drawing, ...]) -> None:
    """Every rule, on every sheet and of the set; AssertionError names the first that is broken."""
    for drawing in drawings:
        rules.check_lettering(drawing)
        rules.check_lines_clear(drawing)
        rules.check_nets_apart(drawing)
        rules.check_cords_clear(drawing)
        rules.check_straight_normals(drawing)
    check_numbers(drawings)
    check_complete(facility, drawings)
    check_wiring(facility, drawings)
    check_references(drawings)
    check_cords(facility, drawings)
    check_finder(facility, drawings)


def together(drawings: tuple[Drawing, ...]) -> Drawing:
    """All marks as if on one sheet, for what does not look at places."""
    marks = tuple(mark for drawing in drawings for mark in drawing.marks)
    return Drawing(drawings[0].width, drawings[0].height, marks, "")


def numbered(drawings: tuple[Drawing, ...]) -> list[tuple[int, Drawing]]:
    """The sheets with the numbers that they are called by."""
    return [(drawing.number or place, drawing) for place, drawing in enumerate(drawings, 1)]


def check_numbers(drawings: tuple[Drawing, ...]) -> None:
    """Each title block says which sheet it is (ISO 7200), the first what the last one's number is;
    numbers that are left out between are told on the first."""
    numbers = [number for number, _ in numbered(drawings)]
    assert numbers == sorted({*numbers})
    for number, drawing in numbered(drawings):
        shown = f"1 of {numbers[-1]}" if number == 1 else str(number)
        blocks = [m for m in drawing.marks if isinstance(m, Group) and BLOCK in m.ref.classes]
        fields = [m for block in blocks for m in block.marks if isinstance(m, Group)]
        (field,) = (m for m in fields if ("field", "sheet") in m.ref.data)
        assert [mark.text for mark in field.marks if isinstance(mark, Text)] == ["Sheet", shown]
    unused = sorted({*range(1, numbers[-1])} - {*numbers})
    index = rules.block_words(together(drawings), "sheet-index")
    told = re.search(r"Sheets? ([\d–, ]+) (?:is|are) not used", index)
    assert (told[1] if told else "") == number_ranges(unused)


def check_complete(facility: Facility, drawings: tuple[Drawing, ...]) -> None:
    """Each jack, normal and port of equipment once on the sheets, or in the lists."""
    whole = together(drawings)
    drawn = Counter(
        name
        for c in rules.marked(whole, "jack")
        if isinstance(c, Circle) and "jack" in rules.data_of(c)
        for name in rules.stands_for(c, "jack")
    )
    assert set(drawn.values()) <= {1}
    listed = rules.listed_positions(facility, whole)
    for jack in facility.jacks:
        here, there = str(jack) in drawn, (jack.bay, jack.position) in listed
        assert here != there, f"{jack} is drawn {here} and listed {there}"
    normals = Counter(
        m for n in rules.marked(whole, "normal") for m in rules.stands_for(n, "normal")
    )
    assert set(normals.values()) <= {1}
    for normal in facility.normals:
        position = (normal.target.bay, normal.target.position)
        assert (str(normal) in normals) != (position in listed), f"normal {normal}"
    check_equipment(facility, whole)


def check_equipment(facility: Facility, whole: Drawing) -> None:
    """Equipment is whole, in parts counted from 1 that show each port once, or listed."""
    parts: dict[str, list] = defaultdict(list)
    for group in rules.groups(whole.marks, "equipment"):
        parts[rules.data_of(group)["id"]].append(group)
    words = rules.block_words(whole, "not-drawn")
    wired = {wire.to for wire in facility.wires.values()}
    removed = {box.id for box in facility.equipment.values() if box.removed}
    for line in facility.lines.values():
        ends = {line.source, line.target}
        if not any(getattr(end, "equipment", None) in removed for end in ends):
            wired |= ends
    for box in facility.equipment.values():
        found = parts.get(box.id, [])
        assert bool(found) != (box.printed in words), f"equipment {box.id}"
        told = [rules.data_of(group).get("part") for group in found]
        wanted = [f"{n} of {len(found)}" for n in range(1, len(found) + 1)]
        # Numbered as one reads the sheet, which is not the order in which they are drawn.
        if len(found) > 1:
            assert Counter(told) == Counter(wanted)
        else:
            assert told == [None] * len(found)
        shown = Counter(label for group in found for label in port_labels(group))
        ports = [f for f in box.facts.values() if f.address in wired]
        if found and all(facts.label for facts in ports):
            assert sum(shown.values()) == len(ports), f"ports of {box.id}"


def port_labels(group) -> list[str]:
    """The labels of wired ports in the group of a box; one of a run once for each of its ports."""
    return [
        m.text
        for m in group.marks
        if isinstance(m, Text) and m.ref and "port" in m.ref.classes
        for _ in rules.data_of(m).get("members", "one").split()
    ]


def check_wiring(facility: Facility, drawings: tuple[Drawing, ...]) -> None:
    """Each wire, tie line and mult is on a line of one net; a net on two sheets is referred to."""
    nets: dict[str, set[int]] = defaultdict(set)
    ends: dict[str, set[str]] = {}
    joined: dict[str, list[set[str]]] = {}
    for number, drawing in numbered(drawings):
        places = rules.jack_places(drawing)
        for line in rules.marked(drawing, "line"):
            data = rules.data_of(line)
            names = set(f"{data['from']} {data['to']}".split())
            joined[data["net"]] = rules.circuits(line)
            assert ends.setdefault(data["net"], names) == names
            assert number not in nets[data["net"]]
            nets[data["net"]].add(number)
            here = names & set(places)
            tips = {point for run in line.runs for point in run}
            for name in here:
                centre, radius = places[name]
                assert any(
                    abs(abs(p.x - centre.x) - radius) <= 10 and p.y == centre.y for p in tips
                ), f"the line of {data['net']} does not reach {name}"
            assert rules.connected(line, places, here), f"the line of {data['net']} falls apart"
    removed = {box.id for box in facility.equipment.values() if box.removed}
    wanted = [(j, w.to) for j, w in facility.wires.items()]
    wanted += [(line.source, line.target) for line in facility.lines.values()]
    for pair in wanted:
        if any(getattr(a, "equipment", None) in removed for a in pair):
            continue
        names = {facility.spelled(a) for a in pair}
        found = sum(names <= circuit for circuits in joined.values() for circuit in circuits)
        assert found == 1, f"no line joins {names}"
    check_interrupted(drawings, nets)


def check_interrupted(drawings: tuple[Drawing, ...], nets: dict[str, set[int]]) -> None:
    """A net on several sheets has a reference on each, that its line there runs to."""
    for number, drawing in numbered(drawings):
        found = defaultdict(list)
        for group in rules.groups(drawing.marks, "reference"):
            found[rules.data_of(group)["net"]].append(group)
        tips = {
            rules.data_of(line)["net"]: {point for run in line.runs for point in run}
            for line in rules.marked(drawing, "line")
        }
        for net, sheets in nets.items():
            assert bool(found[net]) == (number in sheets and len(sheets) > 1), net
            for group in found[net]:
                flag = flag_of(group)
                way = rules.data_of(group)["way"]
                xs = [corner.x for corner in flag.corners]
                x = min(xs) if way == "to" else max(xs)
                y = sum({max(c.y for c in flag.corners), min(c.y for c in flag.corners)}) // 2
                assert any(abs(p.x - x) <= 1 and abs(p.y - y) <= 1 for p in tips[net]), net


def flag_of(group) -> Shape:
    """The flag of a reference."""
    return next(mark for mark in group.marks if isinstance(mark, Shape))


def check_references(drawings: tuple[Drawing, ...]) -> None:
    """Each reference names sheet and zone of its mate, which points back (IEC 61082-1)."""
    found = {}
    for number, drawing in numbered(drawings):
        for group in rules.groups(drawing.marks, "reference"):
            data = rules.data_of(group)
            place = (number, zone_of(drawing, flag_of(group)))
            found.setdefault(data["reference"], []).append((place, group))
    for name, pair in found.items():
        assert len(pair) == 2, f"{name} stands {len(pair)} times"
        for (_, group), (there, _) in (pair, pair[::-1]):
            data = rules.data_of(group)
            assert (int(data["sheet"]), data["zone"]) == there, f"{name} does not find its mate"
            words = [mark.text for mark in group.marks if isinstance(mark, Text)]
            assert f"{there[0]} {there[1]}" in words


def zone_of(drawing: Drawing, *marks) -> str:
    """The zone the middle of marks lies in."""
    sheet = Sheet("", drawing.width, drawing.height)
    return zone_at(sheet, union(map(ink_box, marks)).centre)


def jack_zones(drawings: tuple[Drawing, ...]) -> dict[str, tuple[int, str]]:
    """Sheet and zone of each drawn jack."""
    return {
        name: (number, zone_at(Sheet("", drawing.width, drawing.height), centre))
        for number, drawing in numbered(drawings)
        for name, (centre, _) in rules.jack_places(drawing).items()
    }


def check_cords(facility: Facility, drawings: tuple[Drawing, ...]) -> None:
    """Each cord hangs on one sheet, or on two with a flag that names where its other jack is."""
    zones = jack_zones(drawings)
    sheets: dict[str, list[int]] = defaultdict(list)
    for number, drawing in numbered(drawings):
        for cord in rules.marked(drawing, "cord"):
            if "trial" not in cord.ref.classes:
                sheets[rules.data_of(cord)["cord"]].append(number)
        for flag in rules.groups(drawing.marks, "cord-reference"):
            data = rules.data_of(flag)
            assert (int(data["sheet"]), data["zone"]) == zones[data["jack"]]
    for cord in facility.cords:
        wanted = {zones[str(jack)][0] for jack in (cord.source, cord.target)}
        assert sorted(sheets[str(cord)]) == sorted(wanted), f"cord {cord}"


def check_finder(facility: Facility, drawings: tuple[Drawing, ...]) -> None:
    """The finder names every label once for each jack, with its sheet and zone, alphabetically."""
    zones = jack_zones(drawings)
    rows = [rules.data_of(g) for d in drawings for g in rules.groups(d.marks, "finder-entry")]
    at = {}
    for row in rows:
        if row["jack"]:
            assert row["jack"] not in at
            at[row["jack"]] = row
    labels = {bay.printed: bay.id for bay in facility.bays.values()}
    for called, row in at.items():
        bay, jack = re.fullmatch(r"(.*) ([TB]\d+)", called).groups()
        name = f"{labels[bay]}.{jack}"
        assert (name in zones) == ("sheet" in row), called
        if name in zones:
            assert (int(row["sheet"]), row["zone"]) == zones[name], called
    carried = {str(jack) for jack in facility.wires}
    assert carried <= {f"{labels[c.rsplit(' ', 1)[0]]}.{c.rsplit(' ', 1)[1]}" for c in at}
    keys = [natural(row["label"].casefold()) for row in rows]
    assert keys == sorted(keys), "the finder is not in order"


def crossings(drawing):
    """How often level and upright pieces of different nets cross."""
    level, upright = [], []
    for line in rules.marked(drawing, "line"):
        net = rules.data_of(line)["net"]
        for a, b in rules.segments(line):
            (level if a.y == b.y else upright).append((rules.span(a, b), net))
    return sum(
        1
        for u, net in upright
        for h, other in level
        if net != other and h.x < u.x < h.right and u.y < h.y < u.bottom
    )
