"""The first pages of a set: what leads from sheet to sheet, what feeds the priority inputs, where
everything is; and that each of them leads there."""

from __future__ import annotations

import itertools
import re
from fractions import Fraction

import pytest

from slinediag.address import PortAddress
from slinediag.chart.chains import chains_of, legs_of
from slinediag.chart.chart import draw
from slinediag.chart.leads import chart_leads
from slinediag.chart.planning import plan_chart
from slinediag.chart.priority_ways import priority_ways
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Group, Rect, Text
from slinediag.drawing.query import groups_to_sheets, ink_box
from slinediag.file.read import load
from slinediag.tracing.tracer import tracer_of
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station
from tests.chart.set_rules import jack_zones


def divided(facility, sheet):
    plan = plan_chart(facility, None)
    size = Fraction(1)
    return draw_set(Request(facility, None, plan, sheet_named(sheet), "quick", Said(), size))


@pytest.fixture(scope="module")
def a4():
    facility = station()
    return facility, divided(facility, "A4")


def many(bays: int):
    """Bays of ten players by themselves, each with a loudspeaker."""
    boxes, points = "", ""
    for bay, n in itertools.product(range(bays), range(1, 11)):
        name = f"{bay}{n}"
        boxes += f"  P{name}: {{name: Player, outputs: [L, R]}}\n"
        boxes += f"  S{name}: {{name: Loudspeaker, inputs: [L, R]}}\n"
        points += f"  PB{bay}: {{name: Bay, positions: 20, points: {{\n" if n == 1 else ""
        points += f"    {2 * n - 1}-{2 * n}: {{top: [P{name}.L, P{name}.R], "
        points += f"bottom: [S{name}.L, S{name}.R]}}{'}}' if n == 10 else ','}\n"
    return plant("equipment:\n" + boxes + "bays:\n" + points)


def ports_by_sheet(drawings, box: str) -> dict[str, int]:
    """The sheet that each port of a box is drawn on, by its label."""
    return {
        mark.text: drawing.number
        for drawing in drawings
        for group in rules.groups(drawing.marks, "equipment")
        if rules.data_of(group)["id"] == box
        for mark in group.marks
        if isinstance(mark, Text) and mark.ref and "port" in mark.ref.classes
    }


def ends_of_lines(drawing) -> set[tuple[str, str]]:
    """What each line of the overview runs from and to: numbers of cards, names of equipment."""
    boxes = []
    for name, key in (("sheet-card", "sheet"), ("sheet-joint", "id")):
        for group in rules.groups(drawing.marks, name):
            frame = next(mark.box for mark in group.marks if isinstance(mark, Rect))
            boxes.append((rules.data_of(group)[key], frame.grown(10)))
    found = set()
    for line in rules.marked(drawing, "between-sheets"):
        ends = {name for name, box in boxes for run in line.runs for p in run if box.holds(p)}
        assert len(ends) == 2, ends
        found.add(tuple(sorted(ends)))
    return found


def test_thin_lines_join_the_sheets_that_equipment_in_parts_joins(a4):
    facility, drawings = a4
    desk = facility.equipment["DESK"]
    at = ports_by_sheet(drawings, "DESK")
    wanted = set()
    for entry, leaving in desk.ways:
        if at[entry] != at[leaving]:
            wanted |= {tuple(sorted((str(n), "DESK"))) for n in (at[entry], at[leaving])}
    assert wanted
    flags = {
        tuple(sorted((str(d.number), rules.data_of(g)["sheet"])))
        for d in drawings
        for g in rules.groups(d.marks, "reference")
    }
    assert ends_of_lines(drawings[0]) == wanted | flags


def test_a_card_shows_the_priorities_of_its_inputs_and_cuts_no_name(a4):
    _, drawings = a4
    for card in rules.groups(drawings[0].marks, "sheet-card"):
        number = int(rules.data_of(card)["sheet"])
        (sheet,) = (d for d in drawings if d.number == number)
        inputs = {
            mark.text
            for group in rules.groups(sheet.marks, "equipment")
            for mark in group.marks
            if isinstance(mark, Text) and mark.colour == "#ffffff"
        }
        words = [mark.text for mark in card.marks if isinstance(mark, Text)]
        shown = {m.text for m in card.marks if isinstance(m, Text) and m.colour == "#ffffff"}
        assert shown == inputs
        assert not any("…" in text for text in words)


def test_what_feeds_the_transmitter_is_said_in_the_order_of_the_signal(a4):
    facility, drawings = a4
    (link,) = chains_of(plan_chart(facility, None).subject)
    # By the file: DESK's programme outputs are normaled to the limiter, this to the link.
    assert [one.box for one in link.links] == ["DESK", "LIM", "XMIT"]
    assert set(link.sources) == {"PLY1", "PLY2", "MIC"}
    words = rules.block_words(drawings[0], "priority-ways")
    assert re.search(
        r"LINK \(\d+\), Transmitter link: sheets [\d, ]+ → DESK( \(\d+\))? → LIM", words
    )


def test_the_sample_says_it_through_two_boxes_in_parts():
    facility = load("samples/quillmoor.yaml").facility
    chains = chains_of(plan_chart(facility, None).subject)
    first = [one.box for one in chains[0].links]
    # By the file: desk, delay, distribution amplifier, limiter, link to the transmitter.
    assert (chains[0].priority, first) == (1, ["DESK", "DLY", "DA1", "LIM", "XMIT"])
    assert [chain.priority for chain in chains] == sorted(chain.priority for chain in chains)
    assert chains[6].priority == 6
    # A dummy plug is in the only jack that feeds the talkback of the headphones.
    (talkback,) = (c for c in chains if c.links[-1].box == "HPA" and c.priority == 7)
    assert len(talkback.links) == 1
    assert not talkback.sources


def test_all_that_the_transmitter_hears_leads_to_the_first_box():
    facility = load("samples/quillmoor.yaml").facility
    chain = chains_of(plan_chart(facility, None).subject)[0]
    link = PortAddress("XMIT", "L", "in")
    heard = {port.equipment for port in tracer_of(facility).hears(link)}
    # The microphones too, which come to it by the desk's sends and returns alone.
    assert {"MIC1", "MIC4"} <= heard
    assert heard <= set(chain.sources)


def test_a_sheet_with_nothing_but_jacks_of_a_feed_is_named_between_its_boxes():
    facility = plant("""
        equipment:
          A: {name: Player, outputs: [O]}
          B: {name: Link, inputs: [I], priority: 1}
        bays:
          PB1: {name: Bay, positions: 1, points: {1: {top: A.O}}}
          PB2: {name: Bay, positions: 1, points: {1: {}}}
          PB3: {name: Bay, positions: 1, points: {1: {bottom: B.I}}}
        lines:
          T1: {from: PB1.B1, to: PB2.T1}
          T2: {from: PB2.B1, to: PB3.T1}
    """)
    (chain,) = chains_of(plan_chart(facility, None).subject)
    sheets = {chain.links[0].exits[0]: 3, chain.links[1].entries[0]: 5}
    sheets |= {j: {"PB1": 3, "PB2": 8, "PB3": 5}[j.bay] for j in facility.jacks}
    assert [(leg.sheet, leg.boxes) for leg in legs_of(chain, sheets)] == [
        (3, ("A",)),
        (8, ()),
        (5, ("B",)),
    ]
    items = priority_ways(facility, [chain], sheets, 100_000).items
    groups = [mark for item in items for mark in item.marks]
    words = [m.marks[0].text if isinstance(m, Group) else getattr(m, "text", "") for m in groups]
    assert "A (3) → jacks (8)" in " ".join(filter(None, words))


def test_a_loop_ends():
    facility = plant("""
        equipment:
          A: {name: One, inputs: [I], outputs: [O], paths: all, priority: 1}
          B: {name: Other, inputs: [I], outputs: [O], paths: all}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: A.O, bottom: B.I},
               2: {top: B.O, bottom: A.I}}}
    """)
    (chain,) = chains_of(plan_chart(facility, None).subject)
    assert [one.box for one in chain.links] == ["B", "A"]


def test_the_grid_names_the_sheet_of_every_position(a4):
    facility, drawings = a4
    zones = jack_zones(drawings)
    told = {}
    for drawing in drawings:
        for cell in rules.groups(drawing.marks, "bay-run"):
            data = rules.data_of(cell)
            bay = data["at"].partition(".")[0]
            for number in range(int(data["first"]), int(data["last"]) + 1):
                assert (bay, number) not in told
                told[bay, number] = int(data.get("sheet", 0))
            words = [mark.text for mark in cell.marks]
            assert words[-1] == data.get("sheet", words[0])
    for jack in facility.jacks:
        assert told[jack.bay, jack.position] == zones.get(str(jack), (0,))[0], jack


def test_index_cards_grid_and_ways_lead_to_their_sheets(a4):
    _, drawings = a4
    leads = chart_leads(drawings, {})
    led = {(link.sheet, link.box): link for link in leads.links}
    names = ("sheet-index", "bay-index", "priority-ways")
    for at, drawing in enumerate(drawings):
        for group, sheet in groups_to_sheets(drawing.marks):
            link = led[at, ink_box(group)]
            assert drawings[link.target].number == sheet
            if "at" in rules.data_of(group):
                assert link.room is not None
    numbers = {d.number for d in drawings}
    rows = set()
    for drawing in drawings:
        for block in rules.groups(drawing.marks, "block"):
            if set(block.ref.classes) & set(names):
                found = {sheet for _, sheet in groups_to_sheets(block.marks)}
                assert found
                if "sheet-index" in block.ref.classes:
                    rows |= found
    assert rows == numbers


def test_the_sheets_that_a_part_names_lead_to_the_other_parts(a4):
    _, drawings = a4
    led = {(link.sheet, link.box): link for link in chart_leads(drawings, {}).links}
    parts = {
        (rules.data_of(group)["id"], str(drawing.number))
        for drawing in drawings
        for group in rules.groups(drawing.marks, "equipment")
    }
    count = 0
    for at, drawing in enumerate(drawings):
        for group in rules.groups(drawing.marks, "equipment"):
            for number in rules.groups(group.marks, "to-sheet"):
                data = rules.data_of(number)
                if data.get("at") == rules.data_of(group)["id"]:
                    assert (data["at"], data["sheet"]) in parts
                    link = led[at, ink_box(number)]
                    assert str(drawings[link.target].number) == data["sheet"]
                    assert link.room is not None
                    count += 1
    assert count > 2


def test_more_sheets_than_lines_can_lead_between_are_still_shown():
    drawings = draw(many(5), sheet="A4", fold=False)
    cards = [
        rules.data_of(card)["sheet"]
        for drawing in drawings
        for card in rules.groups(drawing.marks, "sheet-card")
    ]
    drawn = [str(d.number) for d in drawings if list(rules.groups(d.marks, "chart"))]
    assert len(drawn) > 10
    assert sorted(cards, key=int) == drawn
    for drawing in drawings[:3]:
        frames = [
            mark.box
            for card in rules.groups(drawing.marks, "sheet-card")
            for mark in card.marks
            if isinstance(mark, Rect)
        ]
        assert not any(one.meets(other) for one, other in itertools.combinations(frames, 2))


STUDIOS = 7


def studios():
    """Studios with a desk each that joins what plays and what listens; one feeds the next."""
    boxes = points = lines = ""
    for s in range(1, STUDIOS + 1):
        numbers = range(1, 5)
        ins = ", ".join(f"{n}{side}" for n in numbers for side in "LR")
        outs = ", ".join(f"O{n}{side}" for n in numbers for side in "LR")
        boxes += f"  DESK{s}: {{name: Desk, place: Studio {s}, inputs: [{ins}], outputs: [{outs}], "
        boxes += "paths: all}\n"
        points += f"  B{s}: {{name: Bay, positions: 33, points: {{\n"
        for n in numbers:
            boxes += f"  P{s}{n}: {{name: Player, place: Studio {s}, outputs: [L, R]}}\n"
            priority = "priority: 1, " if n == 1 else ""
            boxes += f"  S{s}{n}: {{name: Loudspeaker, place: Studio {s}, {priority}"
            boxes += "inputs: [L, R]}\n"
            points += f"    {2 * n - 1}-{2 * n}: {{top: [P{s}{n}.L, P{s}{n}.R], "
            points += f"bottom: [DESK{s}.{n}L, DESK{s}.{n}R]}},\n"
            points += f"    {2 * n + 15}-{2 * n + 16}: {{top: [DESK{s}.O{n}L, DESK{s}.O{n}R], "
            points += f"bottom: [S{s}{n}.L, S{s}{n}.R]}},\n"
        points += "  }}\n"
    for s in range(1, STUDIOS):
        lines += f"  T{s}: {{from: B{s}.T33, to: B{s + 1}.B33}}\n"
    return plant(f"equipment:\n{boxes}bays:\n{points}lines:\n{lines}")


@pytest.fixture(scope="module")
def grouped():
    return studios(), divided(studios(), "A4")


def group_boxes(drawings):
    """The cards of each group of the overview by its name, as they stand in order."""
    found: dict[str, list] = {}
    for drawing in drawings:
        for overview in rules.groups(drawing.marks, "overview"):
            name = ""
            for mark in overview.marks:
                classes = mark.ref.classes if mark.ref else ()
                name = mark.ref.title if "sheet-group" in classes else name
                if "sheet-card" in classes:
                    found.setdefault(name, []).append(mark)
    return found


def test_many_sheets_stand_in_groups_by_room_or_say_what_leads_there(grouped):
    facility, drawings = grouped
    cards = [c for drawing in drawings for c in rules.groups(drawing.marks, "sheet-card")]
    numbers = sorted(int(rules.data_of(card)["sheet"]) for card in cards)
    assert numbers == [d.number for d in drawings if list(rules.groups(d.marks, "chart"))]
    assert len(numbers) > STUDIOS
    room = {box.printed: box.place for box in facility.equipment.values()}
    for name, found in group_boxes(drawings).items():
        for card in found if name.startswith("Studio") else ():
            (sheet,) = (d for d in drawings if str(d.number) == rules.data_of(card)["sheet"])
            there = {
                room[rules.data_of(box)["id"]] for box in rules.groups(sheet.marks, "equipment")
            }
            assert name in there
    # Each sheet that a desk joins to others says so in words or by a line.
    lines = {end for d in drawings for pair in ends_of_lines(d) for end in pair}
    for card in cards:
        number = int(rules.data_of(card)["sheet"])
        words = " ".join(m.text for m in card.marks if isinstance(m, Text))
        for s in range(1, STUDIOS + 1):
            at = ports_by_sheet(drawings, f"DESK{s}")
            if len(set(at.values())) > 1 and number in at.values():
                assert str(number) in lines or f"DESK{s}" in words


def test_headings_of_groups_are_read_from_a_metre_off(grouped):
    _, drawings = grouped
    heads = [g for d in drawings for g in rules.groups(d.marks, "sheet-group")]
    for head in heads:
        (words,) = (mark for mark in head.marks if isinstance(mark, Text))
        # 16 minutes of arc at 1000 mm: 4.65 mm (ISO 9241-3; NUREG-0700 1.3.1-4).
        assert words.height >= 4_650
    for drawing in drawings:
        rules.check_lettering(drawing)


def test_the_grid_of_positions_names_the_sheet_that_lists_those_not_drawn(a4):
    _, drawings = a4
    words = " ".join(rules.block_words(drawing, "bay-index") for drawing in drawings)
    (on,) = re.findall(r"\(listed on sheet (\d+)\)\.", words)
    assert "Positions not drawn" in rules.block_words(drawings[int(on) - 1], "spares")


def test_an_overview_on_a_page_of_its_own_is_named_at_the_top(a4, monkeypatch):
    monkeypatch.setattr("slinediag.chart.glancing.SHARED", 0.01)
    for drawings, alone in ((a4[1], False), (divided(station(), "A4"), True)):
        (on,) = {d.number for d in drawings if list(rules.groups(d.marks, "sheet-card"))}
        assert (on != 1) == alone
        assert drawings[0].desc.startswith(f"Overview on sheet {on}. ") == alone
