"""The first page of a set: where to look for a position, a label, a patch; what is safe to plug."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace

import pytest

from slinediag.address import Jack
from slinediag.chart.overview import contents
from slinediag.chart.page_names import called
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import OutageTable, Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Group, Ref, Text
from slinediag.drawing.query import groups_to_sheets
from slinediag.drawing.styles import H25, H35
from slinediag.geometry import Box
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station

LISTS = {"a position:": "bay-index", "a label:": "finder", "if a box fails:": "outages"}
TABLE = OutageTable("If a box fails", (("LIM", "PB1 T5 to PB1 B7."), ("DESK", "NO PATCH.")))


def divided(facility, sheet, said=TABLE):
    plan = plan_chart(facility, None)
    size = Fraction(1)
    return draw_set(
        Request(facility, None, plan, sheet_named(sheet), "quick", Said(outages=said), size)
    )


@pytest.fixture(scope="module")
def a4():
    return divided(station(), "A4")


def lettering(group):
    """The texts of a group, in order."""
    for mark in group.marks:
        if isinstance(mark, Text):
            yield mark
        elif isinstance(mark, Group):
            yield from lettering(mark)


def blocks_on(drawing) -> list[str]:
    """The names of the lists on a page, as the index calls them."""
    found = [g for g in drawing.marks if isinstance(g, Group)]
    lists = [group for group in found if {"block", "overview"} & set(group.ref.classes)]
    return [f"{g.ref.title}{' (continued)' if goes_on(g) else ''}" for g in lists]


def goes_on(group) -> bool:
    """Whether a list is continued from the page before; the finder is called by its labels."""
    heads = [m.text for m in group.marks if isinstance(m, Text) and m.ref]
    return (
        "finder" not in group.ref.classes and heads[0].endswith(", continued") if heads else False
    )


def pages_with(drawings, block: str) -> list[int]:
    return [d.number for d in drawings if rules.block_words(d, block)]


@pytest.mark.parametrize("sheet", ["A4", "A3", "A1"])
def test_it_says_on_which_pages_to_look_and_leads_there(sheet):
    drawings = divided(station(), sheet)
    (find,) = rules.groups(drawings[0].marks, "find")
    words = [m.text for m in lettering(find) if m.text != "Find"]
    told = dict(zip(words[::2], words[1::2], strict=True))
    assert {*told} == {*LISTS}
    led = {(g.ref.title, sheet) for g, sheet in groups_to_sheets([find])}
    for asked, where in told.items():
        pages = pages_with(drawings, LISTS[asked])
        if where == "below":
            assert pages == [1]
        else:
            numbers = [int(n) for n in re.findall(r"\d+", where)]
            assert (numbers[0], numbers[-1]) == (pages[0], pages[-1])
            assert (f"{asked} {where}", pages[0]) in led
    assert not any(list(rules.groups(d.marks, "find")) for d in drawings[1:])


def test_the_sample_has_its_positions_on_the_first_page(quillmoor_set):
    facility, drawings = quillmoor_set
    assert pages_with(drawings, "bay-index") == [1]
    # What feeds all priority inputs is seen there, too: of 1, the link, to 8, the press feed.
    assert pages_with(drawings, "priority-ways") == [1]
    said = rules.block_words(drawings[0], "priority-ways")
    assert re.search(r"1 LINK \(\d+\), .* 8 PRESS \(\d+\), Press feed box: sheets", said)
    found = {rules.data_of(cell)["at"] for cell in rules.groups(drawings[0].marks, "bay-run")}
    assert {name.partition(".")[0] for name in found} == {*facility.bays}


def not_drawn(drawing) -> dict[str, tuple[int, int]]:
    """The grey positions of the grid: by the first one's top jack, first and last as printed."""
    cells = (rules.data_of(cell) for cell in rules.groups(drawing.marks, "bay-run"))
    return {c["at"]: (int(c["first"]), int(c["last"])) for c in cells if "sheet" not in c}


def test_a_plug_in_what_is_grey_changes_nothing_that_is_heard(quillmoor_set):
    facility, drawings = quillmoor_set
    jacks = []
    for name, (first, last) in not_drawn(drawings[0]).items():
        bay, _, jack = name.partition(".")
        start = int(jack[1:])
        for number in range(start, start + last - first + 1):
            jacks += [Jack(bay, row, number) for row in facility.bays[bay].jack_rows]
    assert Jack("PB2", "T", 7) in jacks
    assert len(jacks) > 100
    assert ask(facility, Trial(plugs=tuple(jacks))).inputs == ()
    # A position that is drawn is another thing.
    assert ask(facility, Trial(plugs=(Jack("PB2", "B", 13),))).inputs != ()


def test_the_grid_says_what_grey_positions_are(quillmoor_set):
    facility, drawings = quillmoor_set
    words = rules.block_words(drawings[0], "bay-index")
    assert "a plug there breaks and taps nothing that is in use" in words
    for name, (first, last) in not_drawn(drawings[0]).items():
        bay, _, jack = name.partition(".")
        state = facility.bays[bay].point(int(jack[1:])).state or "empty"
        run = str(first) if first == last else f"{first}–{last}"
        assert re.search(rf"(?:^| ){run},? [^a-z]*{state}", words), (bay, run, state)


def test_the_index_says_what_stands_on_each_page():
    for sheet in ("A4", "A3"):
        drawings = divided(station(), sheet)
        rows = {
            sheet: " ".join(text.text for text in lettering(group))
            for drawing in drawings
            for block in rules.groups(drawing.marks, "sheet-index")
            for group, sheet in groups_to_sheets([block])
        }
        for drawing in drawings:
            if list(rules.groups(drawing.marks, "chart")) or drawing.number not in rows:
                continue
            said = re.sub(r"Finder .*? to [^,]*", "Finder", rows[drawing.number])
            assert said == f"{drawing.number} {', '.join(blocks_on(drawing))}"
        assert {*rows} == {d.number for d in drawings}


@pytest.mark.parametrize("sheet", ["A3", "A1"])
def test_few_cards_are_not_blown_up(sheet):
    first = divided(station(), sheet)[0]
    (overview,) = rules.groups(first.marks, "overview")
    for text in lettering(overview):
        assert text.height <= 1.4 * (H25 if text.weight == "regular" else H35)
    caption = [t for t in overview.marks if isinstance(t, Text) and t.text.startswith("A card")]
    assert [text.height for text in caption] == [H25]


def test_all_lists_of_a_small_set_stand_on_its_first_page():
    drawings = divided(station(), "A1")
    without = [d for d in drawings if not list(rules.groups(d.marks, "chart"))]
    assert [d.number for d in without] == [1]
    assert pages_with(drawings, "finder") == pages_with(drawings, "outages") == [1]


def test_a_title_is_cut_at_a_comma_and_never_in_a_word(a4):
    boxes = "".join(
        f"  Q{n}: {{name: Player, label: QUITE A LONG PLAYER {n * n}, outputs: [L, R]}}\n"
        for n in range(1, 9)
    )
    points = ", ".join(f"{2 * n - 1}-{2 * n}: {{top: [Q{n}.L, Q{n}.R]}}" for n in range(1, 9))
    long = plant(
        f"equipment:\n{boxes}bays:\n  PB: {{name: Bay, positions: 16, points: {{{points}}}}}\n"
    )
    cut = 0
    for drawing in (*a4, *divided(long, "A4")):
        for block in rules.groups(drawing.marks, "title-block"):
            words = [text.text for text in lettering(block)]
            assert not any("…" in text for text in words)
            for text in words:
                if text.endswith(" and more") and text not in drawing.title:
                    cut += 1
                    assert text.removesuffix(" and more") + "," in drawing.title
    assert cut


def test_a_sheet_of_much_equipment_is_called_by_what_must_be_heard():
    boxes = "".join(f"  P{n}: {{name: Player, outputs: [O]}}\n" for n in range(1, 18, 2))
    points = ", ".join(f"{n}: {{top: P{n}.O}}" for n in range(1, 18, 2))
    facility = plant(
        f"""
equipment:
{boxes}  LINK: {{name: Link, inputs: {{I: {{priority: 1}}}}}}
bays:
  PB: {{name: Bay, positions: 20, points: {{{points}, 20: {{bottom: LINK.I}}}}}}
"""
    )
    titles = [drawing.title for drawing in divided(facility, "A3")]
    assert any(re.search(r": LINK, .+ and more", title) for title in titles), titles


def test_a_card_names_what_its_priorities_are_of(quillmoor_set):
    """Also what stands there in part, as the logger does: else nobody knows whose they are."""
    facility, drawings = quillmoor_set
    cards = {rules.data_of(c)["sheet"]: c for c in rules.groups(drawings[0].marks, "sheet-card")}
    named = set()
    for drawing in drawings:
        for group in rules.groups(drawing.marks, "equipment"):
            if any(isinstance(m, Text) and m.colour == "#ffffff" for m in group.marks):
                box = facility.equipment[rules.data_of(group)["id"]]
                words = " ".join(text.text for text in lettering(cards[str(drawing.number)]))
                assert box.printed in words, (drawing.number, box.printed)
                named.add(box.printed)
    assert {"LINK", "LOGGER"} <= named


def test_what_to_do_when_a_box_fails_is_told_first_of_a_page_that_holds_much():
    names = {"notes": "Notes", "sheet-index": "Sheets of this set", "ties": "Tie lines and mults"}
    blocks = [Group((), Ref(("block", name), title=title)) for name, title in names.items()]
    fails = Group((), Ref(("block", "outages"), title="If a box fails"))
    assert called([*blocks, fails]) == "If a box fails, Notes, Sheets of this set and more"
    assert called([*blocks[:1], fails]) == "If a box fails, Notes"


def test_a_finder_of_which_a_page_has_no_label_yet_has_its_name_all_the_same():
    begun = Group((), Ref(("block", "finder"), title="Finder"))
    assert called([begun]) == "Finder"


def told_of(parted: set[str]):
    """What is told of a sheet with the desk and the limiter, of which some stand there in part."""
    boxes = [
        replace(box, parts=2 if box.equipment.id in parted else 1)
        for box in plan_chart(station(), None).boxes
        if box.equipment.id in ("DESK", "LIM", "XMIT")
    ]
    nodes = {box.id: Box(n * 80_000, 0, 10_000, 10_000) for n, box in enumerate(boxes)}
    share, there = SimpleNamespace(number=4, positions=()), SimpleNamespace(nodes=nodes)
    return contents(station(), SimpleNamespace(share=share, boxes=tuple(boxes), there=there))


def test_a_sheet_with_parts_alone_says_so_on_its_card():
    """Or its card reads as if the equipment were there and nowhere else."""
    told = told_of({"DESK", "LIM", "XMIT"})
    assert told.names[0].startswith("parts of ")
    assert {name.removeprefix("parts of ") for name in told.names} == {*told.every}
    # Beside what stands there whole only what has inputs of a priority is named.
    assert {*told_of({"DESK", "XMIT"}).names} == {"LIM", "LINK"}
    assert {*told_of({"DESK", "LIM"}).names} == {"LINK"}


def test_what_feeds_many_priority_inputs_is_told_in_few_words_on_the_first_page():
    """With what each codec is it would go on behind the drawings."""
    numbers = range(1, 9)
    codecs = "".join(
        f"  C{n}: {{name: Codec for outside broadcasts and reporters number {n}, label: CODEC {n},"
        f" inputs: {{I: {{priority: 1}}}}}}\n"
        for n in numbers
    )
    mics = "".join(f"  M{n}: {{name: Microphone, outputs: [O]}}\n" for n in numbers)
    ports = {way: ", ".join(f"{way}{n}" for n in numbers) for way in "IO"}
    sent = ", ".join(f"{n}: {{top: DESK.O{n}, bottom: C{n}.I}}" for n in numbers)
    picked = ", ".join(f"{n}: {{top: M{n}.O, bottom: DESK.I{n}}}" for n in numbers)
    facility = plant(
        f"""
equipment:
{codecs}{mics}  DESK: {{name: Desk, inputs: [{ports["I"]}], outputs: [{ports["O"]}], paths: all}}
bays:
  PA: {{name: Bay, positions: 8, points: {{{sent}}}}}
  PB: {{name: Bay, positions: 8, points: {{{picked}}}}}
"""
    )
    drawings = divided(facility, "A4")
    assert pages_with(drawings, "priority-ways") == [1]
    words = rules.block_words(drawings[0], "priority-ways")
    assert "Codec for outside broadcasts" not in words
    assert {f"CODEC {n}" for n in numbers} <= {*re.findall(r"CODEC \d+", words)}
