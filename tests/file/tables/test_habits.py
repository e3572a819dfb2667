"""Single habits of those who keep tables: words, signs, numbers, headings, blanks."""

from __future__ import annotations

import pytest

from slinediag.address import Jack, PortAddress
from slinediag.file.tables.book import Book, read_book
from slinediag.file.tables.cells import Sheet, Span
from slinediag.file.tables.fields import field_of, read_maps
from slinediag.file.tables.imports import import_book
from slinediag.file.tables.meanings import normal_of
from slinediag.file.tables.naming import place_in, take_apart
from slinediag.file.tables.numbers import read_position
from slinediag.model.labels import jack_label
from slinediag.problems import RequestError


def taken_in(text, *maps):
    return import_book(read_book(text.encode(), "table.csv"), read_maps(maps))


def bay_of(text, *maps):
    (bay,) = taken_in(text, *maps).facility.bays.values()
    return bay


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Pos.", "position"),
        ("Patch Point #", "position"),
        ("SOURCE", "label T"),
        ("Goes to", "label B"),
        ("Top equipment", "box T"),
        ("Source L", "label T L"),
        ("Dest. right", "label B R"),
        ("Source cable no.", "cable T"),
        ("Dest. Location", "place B"),
        ("Bottom port", "port B"),
        ("L/R", "side"),
        ("Normalled", "normal"),
        ("Remarks", "note"),
        ("In use", "state"),
        ("Colour of lid", None),
        ("Source of destination", None),
    ],
)
def test_headings(heading, field):
    assert field_of(heading) == field


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("Half-normal", "half"), ("HN", "half"), ("½", "half"), ("FULL", "full"),
        ("fn", "full"), ("Rev. half", None), ("reverse half-normal", "reverse-half"),
        ("par.", "parallel"), ("//", "parallel"), ("Non-normalled", "none"), ("–", "none"),
        ("zig", None),
    ],
)  # fmt: skip
def test_words_and_signs_of_normals(word, kind):
    found = normal_of(word)
    assert (found.kind if found else None) == kind


@pytest.mark.parametrize(
    ("text", "numbers", "bay", "row"),
    [
        ("7", (7,), "", None), ("07", (7,), "", None), ("7.0", (7,), "", None),
        ("#7", (7,), "", None), ("7-8", (7, 8), "", None), ("7/8", (7, 8), "", None),
        ("PB1-07", (7,), "PB1", None), ("PB1 T7", (7,), "PB1", "T"), ("b7", (7,), "", "B"),
        ("7B", (7,), "", "B"), ("7A", (7,), "", "T"), ("A12", (12,), "A", None),
    ],
)  # fmt: skip
def test_numbers_of_positions(text, numbers, bay, row):
    assert read_position(text) == (numbers, bay, row)


@pytest.mark.parametrize(
    "text", ["", "seven", "8-7", "7,9", "2024-03-01", "٣", "1-200", "-4", "7½"]
)
def test_what_is_no_position(text):
    assert read_position(text) is None


@pytest.mark.parametrize(
    ("label", "box", "port"),
    [
        ("DISC 1 L", "DISC 1", "L"), ("DISC 1-R", "DISC 1", "R"), ("DISC 1 (L)", "DISC 1", "L"),
        ("DESK 5L", "DESK", "5L"), ("DA 2 OUT 3", "DA 2", "OUT 3"), ("MIC 1", "MIC 1", ""),
        ("CODEC SEND", "CODEC", "SEND"), ("TAPE 1 OUT L", "TAPE 1", "OUT L"), ("L", "L", ""),
        ("PGM DA 3R", "PGM DA", "3R"), ("PROD DESK MIC 2", "PROD DESK", "MIC 2"),
    ],
)  # fmt: skip
def test_labels_taken_apart(label, box, port):
    name = take_apart(label)
    assert (name.box, name.port) == (box, port)


def test_what_prints_at_a_jack_is_what_the_table_printed():
    made = taken_in("Pos,Top,Bottom\n1,Disc-1 l,DESK 5L\n2,DISC 1 R,Desk 5R\n3,TEL (hybrid),XMIT\n")
    for position, row, label in (
        (1, "T", "Disc-1 l"),
        (2, "T", "DISC 1 R"),
        (2, "B", "Desk 5R"),
        (3, "T", "TEL (hybrid)"),
    ):
        assert jack_label(made.facility, Jack("PB1", row, position)) == label


def test_two_rows_named_by_position_prefix():
    bay = bay_of("Jack;Label;Normal\nT1;MIC 1;full\nB1;DESK 1;\nT2;MIC 2;full\nB2;DESK 2;\n")
    assert {n: (p.top.to, p.bottom.to) for n, p in bay.points.items()} == {
        1: (PortAddress("MIC1", "O", "out"), PortAddress("DESK", "1", "in")),
        2: (PortAddress("MIC2", "O", "out"), PortAddress("DESK", "2", "in")),
    }
    assert bay.normal == "full"


def test_an_input_on_the_top_row_says_in():
    bay = bay_of("Pos,Top,Bottom,Normal\n1,LIM IN L,LIM OUT L,none\n")
    assert bay.points[1].top.to == PortAddress("LIM", "L", "in")
    assert bay.points[1].bottom.to == PortAddress("LIM", "L", "out")


def test_blanks_that_mean_as_above():
    text = "Pos,Top,Bottom,Normal,Section\n1,A,B,half,MICS\n2,C,D,,\n3,E,F,full,LINES\n4,G,H,,\n"
    made = taken_in(text)
    (bay,) = made.facility.bays.values()
    assert [bay.normal_at(n) for n in (1, 2, 3, 4)] == ["half", "half", "full", "full"]
    assert [bay.points[n].group for n in (1, 2, 3, 4)] == ["MICS", "MICS", "LINES", "LINES"]
    assert any("as above" in g.what and g.certainty == "likely" for g in made.report.guesses)


def test_blanks_between_stated_normals_are_none_and_doubtful():
    made = taken_in("Pos,Top,Bottom,Normal\n1,A,B,half\n2,C,D,half\n3,E,F,\n")
    (bay,) = made.facility.bays.values()
    assert [bay.normal_at(n) for n in (1, 2, 3)] == ["half", "half", "none"]
    assert any("no normal" in g.what and g.certainty == "doubtful" for g in made.report.guesses)


def test_n_is_none_beside_y():
    bay = bay_of("Pos,Top,Bottom,Normal\n1,A,B,Y\n2,C,D,N\n3,E,F,N\n")
    assert [bay.normal_at(n) for n in (1, 2, 3)] == ["full", "none", "none"]


def test_numbers_that_begin_again_are_another_bay():
    made = taken_in("Pos,Top,Bottom\n1,A,B\n2,C,D\n1,E,F\n2,G,H\n")
    assert [sorted(bay.points) for bay in made.facility.bays.values()] == [[1, 2], [1, 2]]


def test_tables_side_by_side():
    bay = bay_of("Pos,Top,Bottom,,Pos,Top,Bottom\n1,A,B,,25,C,D\n2,E,F,,26,G,H\n")
    assert sorted(bay.points) == [1, 2, 25, 26]
    assert bay.points[26].bottom.to.equipment == "H"


def test_a_position_that_stands_twice_is_kept_as_a_note():
    made = taken_in("Pos,Top,Bottom\n1,A,B\n2,C,D\n2,E,F\n")
    (bay,) = made.facility.bays.values()
    assert bay.points[2].top.to.equipment == "C"
    assert "E" in bay.note
    assert "F" in bay.note
    assert any("stands twice" in mark.what for mark in made.report.marks)


def test_a_port_that_stands_twice_is_wired_once():
    made = taken_in("Pos,Top,Bottom\n1,TONE,B\n2,TONE,D\n")
    (bay,) = made.facility.bays.values()
    assert (bay.points[1].top is not None, bay.points[2].top) == (True, None)
    assert bay.points[2].label_top == "TONE"
    assert any("already" in mark.what for mark in made.report.marks)


def test_a_bay_of_one_row():
    bay = bay_of("Pos,Label\n1,MIC 1\n2,MIC 2\n")
    assert bay.rows == 1


def test_numbers_through_both_rows():
    numbers, more = ",".join(map(str, range(1, 13))), ",".join(map(str, range(13, 25)))
    labels = ",".join(f"A{n} OUT" for n in range(12))
    ends = ",".join(f"B{n} IN" for n in range(12))
    bay = bay_of(f",{numbers}\nTop,{labels}\nBottom,{ends}\n,{more}\n")
    assert (bay.numbering, bay.positions, len(bay.points)) == ("through", 12, 12)


def test_rows_without_numbers_are_a_bay_each_and_doubtful():
    rows = "\n".join(",".join(f"{kind} {n} x" for n in range(24)) for kind in ("a", "b", "c", "d"))
    made = taken_in(rows)
    assert [bay.positions for bay in made.facility.bays.values()] == [24, 24]
    assert any("counted from the left" in g.why for g in made.report.guesses)


def test_a_cable_joins_the_wire_it_is_of():
    bay = bay_of("Pos,Top,Top cable,Bottom,Bottom cable\n1,A,S1/1,B,S1/1\n")
    assert bay.points[1].top.cable == "S1/1"
    assert bay.points[1].bottom.cable is None
    assert bay.points[1].note == "cable S1/1"


@pytest.mark.parametrize("text", ["Quelle", "=top", "Quelle=colour"])
def test_maps_that_say_nothing_are_refused(text):
    with pytest.raises(RequestError):
        read_maps([text])


def test_a_column_is_mapped_by_its_letters():
    bay = bay_of("Pos,Links,Rechts\n1,MIC 1,DESK 1\n", "B=top", "C=bottom")
    assert bay.points[1].top.to.equipment == "MIC1"


def test_a_table_without_headings_is_guessed_and_doubtful():
    made = taken_in("1,MIC 1,HN,DESK 1\n2,MIC 2,HN,DESK 2\n3,MIC 3,FN,DESK 3\n4,MIC 4,HN,DESK 4\n")
    (bay,) = made.facility.bays.values()
    assert [bay.normal_at(n) for n in (1, 2, 3, 4)] == ["half", "half", "full", "half"]
    assert bay.points[4].top.to.equipment == "MIC4"
    assert bay.points[4].bottom.to == PortAddress("DESK", "4", "in")
    assert any(
        g.what == "column C holds: normal" and g.certainty == "doubtful"
        for g in made.report.guesses
    )


def test_a_table_without_headings_is_mapped_by_letters():
    bay = bay_of("a,1,D 1\nb,2,D 2\n", "A=top", "B=position", "C=bottom")
    assert (bay.points[2].top.to.equipment, bay.points[2].bottom.to.equipment) == ("b", "D2")


def test_normals_under_a_strange_heading_are_found_by_their_words():
    bay = bay_of("Pos,Top,Bottom,Kind of thing\n1,A,B,FN\n2,C,D,FN\n")
    assert bay.normal == "full"


def test_a_description_beside_labels_is_a_note():
    bay = bay_of("Pos,Top,Bottom,Description\n1,A,B,the old one\n")
    assert bay.points[1].note == "Description: the old one"


def test_groups_over_blocks():
    spans = {
        (2, c): Span(2, 1 + 4 * n, 2, 4 + 4 * n)
        for n in (0, 1)
        for c in range(1 + 4 * n, 5 + 4 * n)
    }
    rows = (
        tuple(map(str, range(1, 9))),
        ("MICS", "", "", "", "LINES", "", "", ""),
        tuple(f"A{n} X" for n in range(8)),
        tuple(f"B{n} X" for n in range(8)),
    )
    made = import_book(Book("t.xlsx", (Sheet("PB1", rows, spans),), "made here"))
    assert [made.facility.bays["PB1"].points[n].group for n in (1, 4, 5, 8)] == [
        "MICS",
        "MICS",
        "LINES",
        "LINES",
    ]


UNTIDY = """\
MALTHOUSE - PATCHBAY LIST,,,,,,
last looked at by Pat,,,,,,
,,,,,,
Ch,Top Row,,Bottom Row,,Norm'd?,Misc
,Label,Ckt,Label,Ckt,,
1,Tie line 1,TL-1,A/D 1,,N,
2,Tie line 2,TL-2,A/D 2,,N,hum!!
3-4,Main Mix L/R,,Monitors L/R,,Y,do not unplug!
5,Cue L,,HP Amp 1 L,,Y (half),
6,Cue R,,HP Amp 1 R,,Y (half),
7,Comp A Out,,Comp A In,,,
8,---,,---,,,
Total: 8,,,,,,
"""


def test_an_untidy_table():
    made = taken_in(UNTIDY)
    (bay,) = made.facility.bays.values()
    assert (bay.name, sorted(bay.points)) == ("MALTHOUSE - PATCHBAY LIST", list(range(1, 9)))
    kinds = ["none", "none", "full", "full", "half", "half", "none"]
    assert [bay.normal_at(n) for n in range(1, 8)] == kinds
    assert bay.points[1].note == "Top Row Ckt: TL-1"
    assert bay.points[4].bottom.to == PortAddress("Monitors", "R", "in")
    assert bay.points[8].state == "spare"
    assert made.facility.equipment["CompA"].paths == "straight"
    assert "Total: 8" in bay.note
    assert "last looked at by Pat" in bay.note


def test_a_title_over_the_title_of_the_bay_names_the_facility():
    made = taken_in("Malthouse,,\nPatch bay 4,,\nPos,Top,Bottom\n1,A,B\n")
    assert made.facility.name == "Malthouse"
    assert list(made.facility.bays) == ["PB4"]


def test_a_column_of_sides_is_about_the_row_that_repeats_itself():
    bay = bay_of("Pos,Top,L/R,Bottom\n1,CD 1,L,Desk 1\n2,CD 1,R,Desk 2\n")
    assert [str(bay.points[n].top.to) for n in (1, 2)] == ["CD1.L:out", "CD1.R:out"]
    assert [str(bay.points[n].bottom.to) for n in (1, 2)] == ["Desk.1:in", "Desk.2:in"]


def test_a_column_of_sides_about_both_rows():
    bay = bay_of("Pos,Top,L/R,Bottom\n1,CD 1,L,Amp\n2,CD 1,R,Amp\n")
    assert [str(bay.points[n].bottom.to) for n in (1, 2)] == ["Amp.L:in", "Amp.R:in"]


@pytest.mark.parametrize(
    ("name", "place"), [("STUDIO A MIC 1", "STUDIO A"), ("Rack 3 LIM", "Rack 3"), ("Rack 2", None)]
)
def test_places_in_names(name, place):
    assert place_in(name) == place


def test_a_side_that_hangs_on_is_seen_where_both_are_there():
    made = taken_in("Pos,Top,Bottom\n1,DISC 1L,PLAYOUT AL\n2,DISC 1R,PLAYOUT AR\n3,RACK 2R,END\n")
    (bay,) = made.facility.bays.values()
    tops = [str(bay.points[n].top.to) for n in (1, 2, 3)]
    assert tops == ["DISC1.L:out", "DISC1.R:out", "RACK2R.O:out"]
    assert [str(bay.points[n].bottom.to) for n in (1, 2)] == ["PLAYOUT.AL:in", "PLAYOUT.AR:in"]
    assert made.facility.equipment["PLAYOUT"].stereo_pairs == (("AL", "AR"),)
    assert jack_label(made.facility, Jack("PB1", "T", 1)) == "DISC 1L"


def test_left_and_right_in_columns_of_their_own():
    text = "Pos,Source L,Source R,Dest L,Dest R\n1-2,CD L,CD R,DESK 5L,DESK 5R\n3,MIC,MOC,A,B\n"
    bay = bay_of(text)
    assert [str(bay.points[n].top.to) for n in (1, 2)] == ["CD.L:out", "CD.R:out"]
    assert [str(bay.points[n].bottom.to) for n in (1, 2)] == ["DESK.5L:in", "DESK.5R:in"]
    assert all(word in bay.points[3].note for word in ("MIC", "MOC"))
