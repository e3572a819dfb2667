"""The finder of a set: one entry for each piece of equipment, whole labels, pages named by them."""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.finder import Entry, Place, entries, finder
from slinediag.chart.frame import zone_at
from slinediag.chart.leads import chart_leads
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.page_names import called
from slinediag.chart.planning import plan_chart
from slinediag.chart.sheet import Sheet
from slinediag.drawing.marks import Drawing, Group, Line, Rect, Ref, Text
from slinediag.drawing.query import ink_box, text_box, text_boxes
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import station


@pytest.fixture(scope="module")
def drawings():
    return draw(station(), sheet="A4")


def finder_entries(drawings):
    return [group for d in drawings for group in rules.groups(d.marks, "finder-entry")]


def test_equipment_has_one_entry_with_all_its_places(drawings):
    places: dict[str, set[str]] = {}
    for drawing in drawings:
        for group in rules.groups(drawing.marks, "equipment"):
            frame = next(mark.box for mark in group.marks if isinstance(mark, Rect))
            zone = zone_at(Sheet("", drawing.width, drawing.height), frame.centre)
            places.setdefault(rules.data_of(group)["id"], set()).add(f"{drawing.number} {zone}")
    assert len(places["DESK"]) > 1
    facility = station()
    boxes = [g for g in finder_entries(drawings) if not rules.data_of(g)["jack"]]
    assert len(boxes) == len(facility.equipment)
    for box in facility.equipment.values():
        (entry,) = (g for g in boxes if rules.data_of(g)["label"] == box.printed)
        links = list(rules.groups(entry.marks, "to-sheet"))
        told = {mark.text.rstrip(",") for link in links for mark in link.marks}
        assert told == places.get(box.id, set())
        assert all(rules.data_of(link)["at"] == box.id for link in links)


def test_every_place_leads_to_what_stands_there(drawings):
    led = {(link.sheet, link.box): link for link in chart_leads(drawings, {}).links}
    count = 0
    for at, drawing in enumerate(drawings):
        for entry in rules.groups(drawing.marks, "finder-entry"):
            links = [entry] if "sheet" in rules.data_of(entry) else entry.marks
            for group in (g for g in links if isinstance(g, Group)):
                link = led[at, ink_box(group)]
                assert drawings[link.target].number == int(rules.data_of(group)["sheet"])
                assert link.room is not None, "it leads to the sheet only"
                count += 1
    assert count > 20


def test_a_page_is_called_by_its_first_and_last_label(drawings):
    front = [rules.block_words(drawing, "sheet-index") for drawing in drawings]
    for drawing in drawings:
        labels = [rules.data_of(g)["label"] for g in rules.groups(drawing.marks, "finder-entry")]
        if labels:
            called = f"Finder {labels[0]} to {labels[-1]}"
            assert called in drawing.title
            assert any(f"{drawing.number} {called}" in words for words in front)


LONG = "PROD DESK EXTERNAL A"


def test_a_label_is_cut_nowhere_and_leaves_no_stub():
    found = [
        Entry(f"{LONG} L", "PB4 B25", (Place(10, "D5"),), "PB4.B25"),
        Entry(f"{LONG} R", "PB4 B26", (Place(10, "E5"),), "PB4.B26"),
        Entry("X", "PB4 B27", (), "PB4.B27"),
    ]
    for room in (52_000, 60_000, 90_000):
        block = finder(found, room)
        for entry, item in zip(found, block.items[1:], strict=True):
            (group,) = (mark for mark in item.marks if isinstance(mark, Group))
            texts = [mark for mark in group.marks if isinstance(mark, Text)]
            *label, jack, _ = texts
            # In one piece, or in lines that are each as full as the column lets them be.
            assert [mark.text for mark in label] == [entry.label]
            assert text_box(label[0]).right <= (
                text_box(jack).x if jack.at.y == label[0].at.y else room
            )
            for mark in texts:
                assert text_box(mark).x >= 0
                assert text_box(mark).right <= room
            assert any(isinstance(mark, Line) for mark in item.marks), "no rule"


def test_a_label_a_little_too_wide_stands_beside_its_jack_squeezed():
    found = [
        Entry(f"MUSIC DESK DIRECT {n}", f"M4 T{n}", (Place(20, "B3"),), f"M4.T{n}")
        for n in (1, 10, 11)
    ]
    squeezed = 0
    for room in (58_000, 90_000):
        for item in finder(found, room).items[1:]:
            (group,) = (mark for mark in item.marks if isinstance(mark, Group))
            label, jack, place = (mark for mark in group.marks if isinstance(mark, Text))
            assert label.at.y == jack.at.y == place.at.y
            assert text_box(label).right < text_box(jack).x
            natural = width(label.text)
            assert 0.7 * natural <= label.width <= natural
            assert label.height == SMALL
            squeezed += label.width < natural
        assert squeezed == 3, "those squeezed have room, or the other way round"


def test_a_page_is_called_by_whole_labels():
    labels = ("FROM MCR 8", "MUSIC DESK DIRECT 14")
    found = [Entry(label, "M4 T9", (Place(20, "B3"),), "M4.T9") for label in labels]
    items = finder(found, 90_000).items
    block = Group(
        tuple(m for item in items for m in item.marks), Ref(("block", "finder"), (), "Finder")
    )
    assert called([block]) == "Finder FROM MCR 8 to MUSIC DESK DIRECT 14"


def line_of(block, label):
    """The words of an entry in their order."""
    (found,) = (
        group
        for item in block.items
        for group in rules.groups(item.marks, "finder-entry")
        if rules.data_of(group)["label"] == label and not rules.data_of(group)["jack"]
    )
    return [mark.text for mark, _ in text_boxes(Drawing(1, 1, (found,), ""))]


def test_equipment_whose_label_says_less_has_its_name_behind_it_where_there_is_room():
    named = Entry("MIC 3", "", (Place(5, "C4"),), "M3", "Guest microphone 2")
    assert line_of(finder([named], 60_000), "MIC 3") == ["MIC 3", "5 C4", "Guest microphone 2"]
    assert line_of(finder([named], 30_000), "MIC 3") == ["MIC 3", "5 C4"]


def test_a_name_that_differs_from_its_label_in_letters_only_is_not_said_again():
    facility = plant(
        """
        equipment:
          M2: {name: Guest microphone 1, label: MIC 2, outputs: [O]}
          D1: {name: Disc-1, label: DISC 1, outputs: [O]}
          OLD: {name: Cartridge player, label: CART, state: removed, outputs: [O]}
        bays: {PB: {name: Bay, positions: 2, points: {1: {top: M2.O}, 2: {top: D1.O}}}}
        """
    )
    found = {entry.at: entry for entry in entries(plan_chart(facility, None).told, {}, {})}
    assert [found[box].name for box in ("M2", "D1")] == ["Guest microphone 1", ""]
    assert line_of(finder([found["OLD"]], 80_000), "CART")[1] == "see Equipment not drawn"


def test_equipment_does_not_end_a_column_over_none_of_its_jacks():
    lines = [
        Entry("PHONES", "", (Place(3, "D8"),), "P"),
        Entry("PHONES L", "PB2 B37", (Place(3, "D7"),), "PB2.B37"),
        Entry("RACK", "", (Place(4, "A1"),), "R"),
        Entry("STREAM", "", (Place(4, "A2"),), "S"),
    ]
    _, phones, below, *others = finder(lines, 60_000).items
    assert phones.group == phones.height + below.height
    assert not any(item.group for item in (below, *others))


@pytest.mark.parametrize(
    "bay", ["Ä" * 30, "MASTER CONTROL ROOM BAY", "W" * 30, "漢字かな交じり文の長い名前"]
)
def test_a_jack_wider_than_its_column_stays_within_it(bay):
    found = [Entry("TO BAY 1", f"{bay} T{n}", (Place(10, "D5"),), f"LA.T{n}") for n in (1, 16)]
    for room in (52_000, 60_000, 90_000):
        for entry, item in zip(found, finder(found, room).items[1:], strict=True):
            (group,) = (mark for mark in item.marks if isinstance(mark, Group))
            label, *jack, place = (mark for mark in group.marks if isinstance(mark, Text))
            assert "".join(line.text for line in jack).replace(" ", "") == entry.jack.replace(
                " ", ""
            )
            for line in jack:
                assert text_box(line).x >= 0
                assert text_box(line).right < text_box(place).x
                assert line.width >= 0.7 * width(line.text) - 1
            assert place.at.y == jack[-1].at.y
            assert text_box(place).bottom <= item.height
            (rules_,) = (
                mark
                for mark in item.marks
                if isinstance(mark, Line) and len(mark.runs) < 3 and mark.runs[0][0].x > 0
            )
            (row,) = {line.at.y for line in jack[-1:]}
            for run in rules_.runs:
                crossed = [
                    line
                    for line in (label, *jack)
                    if line.at.y >= row and text_box(line).x < run[0].x < text_box(line).right
                ]
                assert not crossed, "a rule through a jack"
