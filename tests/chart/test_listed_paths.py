"""Where a box says that its ways are listed on a sheet, they are: there, under its own label."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.address import PortAddress
from slinediag.chart.equipment import plan_part
from slinediag.chart.flowing import Column, flow
from slinediag.chart.path_list import list_places, listed_ports, path_block
from slinediag.chart.plain_paths import EVERY, STRAIGHT, path_leads, said_in_box, with_straight
from slinediag.drawing.marks import Group, Text
from slinediag.file.read import load, parse
from tests.bench.plants import plant_text
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import drawn_set

SAMPLES = Path(__file__).parents[2] / "samples"


def listed_words(drawing):
    """By the label of equipment, the words of its list on a sheet, in reading order."""
    found: dict[str, str] = {}
    under = None
    for text in texts_of(rules.groups(drawing.marks, "paths")):
        if text.weight == "bold" and text.height == 2500:
            under = text.text.removesuffix(", continued")
        elif under is not None and "heading" not in (text.ref.classes if text.ref else ()):
            found[under] = f"{found.get(under, '')} {text.text}".strip()
        elif text.ref and "heading" in text.ref.classes:
            under = None
    return found


def texts_of(marks):
    for mark in marks:
        if isinstance(mark, Text):
            yield mark
        elif isinstance(mark, Group):
            yield from texts_of(mark.marks)


def named_in(words, label):
    """Whether a list names a port: by its label, or in a run that counts past it."""
    if re.search(rf"(?:^|, | from | |: ){re.escape(label)}(?=,| |–|$)", words):
        return True
    port = re.fullmatch(r"(.*?)(\d+)([A-Za-z]?)", label)
    runs = re.findall(r"([^,–]*?)(\d+)([A-Za-z]?)–(\d+)([A-Za-z]?)(?=,| |$)", words)
    return port is not None and any(
        stem.split(" from ")[-1].strip(" ").endswith(port[1].strip())
        and tail == end == port[3]
        and int(low) <= int(port[2]) <= int(high)
        for stem, low, tail, high, end in runs
    )


def check_listed(facility, drawings):
    """Each reference to a list leads to a sheet where each of its ports stands, and names all that
    have a line with one; how many there are."""
    lines = [(d.number, port) for d in drawings for port in listed_ports(d.marks)]
    sheets = {d.number or at: listed_words(d) for at, d in enumerate(drawings, 1)}
    found = 0
    for drawing in drawings:
        for group in rules.groups(drawing.marks, "onward"):
            if "listed" not in group.ref.classes:
                continue
            found += 1
            said = " ".join(mark.text for mark in group.marks)
            runs = re.findall(r"(\d+)(?:–(\d+))?", said.rpartition(":")[2])
            numbers = [n for low, high in runs for n in range(int(low), int(high or low) + 1)]
            assert numbers, f"{said!r} names no sheet"
            data = rules.data_of(group)
            assert int(data["sheet"]) == numbers[0]
            ports = data["ports"].split()
            needed = {number for number, port in lines if str(port) in ports}
            assert needed <= {*numbers}, f"{said!r}: {data['ports']} are on sheets {needed}"
            for name in ports:
                port, side = name.rsplit(":", 1)
                box = facility.equipment[port.split(".")[0]]
                label = box.facts[port.split(".")[1], side].label
                words = " ".join(sheets[number].get(box.printed, "") for number in numbers)
                leads = any(port.split(".")[1] in way for way in box.ways)
                assert not leads or named_in(words, label) or "all inputs" in words, (
                    f"{said!r}: {name} is not on sheets {numbers}"
                )
    return found


def test_the_sample_s_references_lead_to_their_lists(quillmoor_set):
    assert check_listed(*quillmoor_set) > 10


def test_references_lead_to_their_lists_on_small_sheets():
    facility = load(SAMPLES / "larkfen.yaml").facility
    check_listed(facility, drawn_set(facility, "A4"))


def test_references_of_a_random_plant_lead_to_their_lists():
    facility = parse(plant_text(96, 3).encode(), "random").facility
    drawings = drawn_set(facility, "A3")
    assert check_listed(facility, drawings)
    for drawing in drawings:
        rules.check_lettering(drawing)


def told_inputs(box, words):
    """The inputs of a box that a line of the list names after from, all but those or them."""
    inputs = {port.id for port in box.inputs}
    said = words.rpartition(" from ")[2]
    if said == "all inputs":
        return inputs
    names = said.removeprefix("all inputs but ")
    named = {port for port in inputs if named_in(names, box.facts[port, "in"].label)}
    return named if names == said else inputs - named


MINUS = """
equipment:
  DESK:
    name: Desk
    inputs: [MIC, DISC, TAPE, 1L, 1R, 2L, 2R, 3L, 3R, TEL]
    outputs: [MINUS, CUE, MAIN]
    paths:
      MINUS: [MIC, DISC, TAPE, 1L, 1R, 2L, 2R, 3L, 3R]
      CUE: [1L, 1R, 2L, 2R, 3L, 3R]
      MAIN: [MIC, TEL]
"""


def test_inputs_are_told_by_those_left_out_where_that_is_shorter():
    (box,) = plant(MINUS).equipment.values()
    assert [lead.words for lead in path_leads(box, box.ways)] == [
        "MINUS from all inputs but TEL",
        "CUE from 1L–3L, 1R–3R",
        "MAIN from MIC, TEL",
    ]


@pytest.mark.parametrize("sample", ["larkfen", "quillmoor"])
def test_each_line_of_the_list_names_the_inputs_that_lead_there_and_no_other(sample):
    read = 0
    for box in load(SAMPLES / f"{sample}.yaml").facility.equipment.values():
        for lead in path_leads(box, box.ways):
            assert told_inputs(box, lead.words) == {*lead.inputs}, (box.id, lead.words)
            read += "all inputs but" in lead.words
    assert read or sample == "larkfen"


def words_of(marks):
    return [text.text for text in texts_of(marks)]


def planned(sections):
    """The first piece of equipment of a plant as a box, all its ports with lines."""
    facility = plant(sections)
    box = next(iter(facility.equipment.values()))
    wired = frozenset(PortAddress(box.id, p.id, p.side) for p in box.ports)
    made = plan_part(box, box.inputs, box.outputs, wired, None)
    return replace(made, style="listed", said=())


MIXED = "{O1: [I2], O2: [I1, I3], O3: [I3, I1, I2], O4: [I1]}"


def test_a_list_that_goes_on_says_again_whose_ways_they_are():
    plan = planned(
        f"equipment: {{BOX: {{name: Box, inputs: [I1, I2, I3], outputs: [O1, O2, O3, O4], "
        f"paths: {MIXED}}}}}"
    )
    block = path_block([plan], 60_000)
    first, *rest = (item.height for item in block.items)
    tall = 8_000 + first + rest[0] + 1_000
    columns = [Column(0, 0, tall), Column(100_000, 0, tall + 3_000)]
    whole = flow([block], [Column(0, 0, 90_000)])
    assert not any("continued" in words for words in words_of(whole))
    (made,) = flow([block], columns)
    words = words_of(made.marks)
    at = words.index("BOX, continued")
    assert words[at - 1] == "Paths inside equipment, continued"
    assert words.index("BOX") < at < len(words) - 1
    assert {*listed_ports([made])} == {*listed_ports(whole)}
    assert [label for label, _ in list_places([made])] == ["BOX"]


def test_the_lines_of_a_box_stay_together_where_the_next_column_has_room():
    plan = planned(
        f"equipment: {{BOX: {{name: Box, inputs: [I1, I2, I3], outputs: [O1, O2, O3, O4], "
        f"paths: {MIXED}}}}}"
    )
    other = planned(
        "equipment: {ARM: {name: Arm, inputs: [I1, I2], outputs: [O1, O2], "
        "paths: {O1: [I2], O2: [I1, I2]}}}"
    )
    block = path_block([other, plan], 60_000)
    height = 8_000 + sum(item.height for item in block.items) - 2_000
    (made,) = flow([block], [Column(0, 0, height), Column(100_000, 0, height)])
    texts = {text.text: text for text in texts_of(made.marks)}
    assert texts["ARM"].at.x == 0
    assert texts["BOX"].at.x == 100_000
    assert not any("BOX, continued" in words for words in words_of(made.marks))


@pytest.mark.parametrize(
    ("sides", "paths", "said"),
    [
        ("inputs: [A, B, C], outputs: [A, B, C]", "straight", STRAIGHT),
        ("inputs: [I1, I2], outputs: [O1, O2]", "straight", STRAIGHT),
        ("inputs: [IN L, IN R], outputs: [OUT L, OUT R]", "straight", STRAIGHT),
        ("inputs: [A, B], outputs: [X, Y]", "straight", ("X from A", "Y from B")),
        ("inputs: [A, B], outputs: [A, B]", "{A: [B], B: [A]}", ("A from B", "B from A")),
        ("inputs: [A, B, C], outputs: [X, Y]", "all", EVERY),
        ("inputs: [A, B], outputs: [X]", "{X: [A]}", ("X from A",)),
        (
            "inputs: [A, B, C], outputs: [X, Y, Z]",
            "{X: [A], Y: [A, B, C], Z: [B, C]}",
            ("X from A", "Y from all inputs", "Z from B, C"),
        ),
    ],
)
def test_ways_that_a_few_words_tell_are_told_in_the_box(sides, paths, said):
    sides = re.sub(r"(IN|OUT) ([LR])", r"\1\2: {label: \1 \2}", sides)
    if "{" in sides:
        sides = sides.replace("[", "{").replace("]", "}")
    (box,) = plant(f"equipment: {{B: {{name: Box, {sides}, paths: {paths}}}}}").equipment.values()
    assert said_in_box(box, 40_000) == said
    assert said_in_box(box, 4_000) == ()


def test_references_lead_to_the_page_of_their_own_line_where_a_list_takes_several():
    """A desk whose every output has inputs of its own, on small sheets."""
    count = 44
    ins, outs = ([f"{way}{n}" for n in range(1, count + 1)] for way in "IO")
    paths = ", ".join(
        f"{out}: [{', '.join(i for j, i in enumerate(ins) if n * 2654435761 >> j & 1)}]"
        for n, out in enumerate(outs, 1)
    )
    rows = "\n".join(
        f"      {n}: {{top: P{n % 9}.O{n // 9}, bottom: DESK.I{n}}}\n"
        f"      {count + n}: {{top: DESK.O{n}, bottom: L{n % 9}.I{n // 9}}}"
        for n in range(1, count + 1)
    )
    boxes = "\n".join(
        f"  P{n}: {{name: Player {n}, outputs: [O0, O1, O2, O3, O4]}}\n"
        f"  L{n}: {{name: Listener {n}, inputs: [I0, I1, I2, I3, I4]}}"
        for n in range(9)
    )
    facility = plant(
        f"equipment:\n{boxes}\n"
        f"  DESK: {{name: Desk, inputs: [{', '.join(ins)}], outputs: [{', '.join(outs)}], "
        f"paths: {{{paths}}}}}\n"
        f"bays:\n  PA:\n    name: Bay\n    positions: {2 * count}\n    points:\n{rows}\n"
    )
    drawings = drawn_set(facility, "A4")
    assert sum("DESK" in listed_words(drawing) for drawing in drawings) > 1
    assert check_listed(facility, drawings)


def test_ways_straight_through_are_one_line_of_the_list():
    facility = plant("""
        equipment:
          M:
            name: Matrix
            inputs: [I1, I2, I3, I4, I5, I6, X]
            outputs: [O1, O2, O3, O4, O5, O6, Y]
            paths: {O1: [I1], O2: [I2], O3: [I3], O4: [I4], O5: [I5], O6: [I6], Y: [I1, X]}
        """)
    box = facility.equipment["M"]
    leads = with_straight(box, path_leads(box, box.ways))
    assert [lead.words for lead in leads] == ["straight through: O1–6 from I1–6", "Y from I1, X"]
    told = {(i, o) for i, o in zip(leads[0].inputs, leads[0].outputs, strict=True)}
    told |= {(i, o) for lead in leads[1:] for i in lead.inputs for o in lead.outputs}
    assert told == {*box.ways}


def test_ways_straight_through_are_told_run_by_run():
    """So that nobody has to count through three runs to find which goes where."""
    rows = [f"D{n}: [R{n}]" for n in range(1, 5)] + [f"D{n}: [M{n}]" for n in range(5, 9)]
    rows += ["S1: [M1]", "S2: [M2]"]
    ins = [f"R{n}: {{label: RTN {n}}}" for n in range(1, 5)]
    ins += [f"M{n}: {{label: MIC {n}}}" for n in range(1, 9)]
    outs = [f"D{n}: {{label: DIRECT {n}}}" for n in range(1, 9)] + ["S1: {label: SND 1}"]
    outs.append("S2: {label: SND 2}")
    facility = plant(
        f"equipment: {{M: {{name: Desk, inputs: {{{', '.join(ins)}}}, "
        f"outputs: {{{', '.join(outs)}}}, paths: {{{', '.join(rows)}}}}}}}"
    )
    box = facility.equipment["M"]
    assert [lead.words for lead in with_straight(box, path_leads(box, box.ways))] == [
        "straight through: DIRECT 1–4 from RTN 1–4",
        "straight through: DIRECT 5–8 from MIC 5–8",
        "SND 1 from MIC 1",
        "SND 2 from MIC 2",
    ]
