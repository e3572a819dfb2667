"""Tables as stations have kept them for years: what spreadsheets and people do to them.

All are invented; what should come of each was worked out from the table by eye.
"""

from __future__ import annotations

import io
import zipfile

import pytest
from openpyxl import Workbook

from slinediag.address import Jack
from slinediag.file.read import parse
from slinediag.file.tables.book import read_book
from slinediag.file.tables.imports import import_book
from slinediag.file.tables.meanings import normal_in, normal_of
from slinediag.file.tables.numbers import read_position
from slinediag.file.tables.report_words import head_comments, report_lines
from tests.file.tables.kept import saved
from tests.file.tables.test_fuzz import nothing_lost


def taken_in(table, name="table.csv"):
    """The import of a text or of a workbook; every cell of it is looked for."""
    if isinstance(table, str):
        table = table.encode()
    book = read_book(table if isinstance(table, bytes) else saved(table), name)
    made = import_book(book)
    assert parse(made.data, name).facility == made.facility
    nothing_lost(book, made)
    return made


def bay_of(table, name="table.csv"):
    (bay,) = taken_in(table, name).facility.bays.values()
    return bay


def wires(bay, row="top"):
    found = {n: getattr(point, row) for n, point in sorted(bay.points.items())}
    return {n: str(wire.to).partition(":")[0] for n, wire in found.items() if wire}


def guessed(made, certainty):
    return [guess.what for guess in made.report.guesses if guess.certainty == certainty]


def told(made):
    return "\n".join(report_lines(made.report))


def sheet_of(title, *rows):
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = title
    for row in rows:
        sheet.append(row)
    return book


def test_equipment_and_port_left_of_those_of_the_bottom_are_of_the_top():
    text = "Bay,Jack,Equip,Sig,Norm,Equip in,Sig in\nPB-A,1-2,Tape 1,L/R,½,Console,Line 9/10\n"
    bay = bay_of(f"{text},3,Mic 1,,½,Preamp,In 1\n")
    assert wires(bay) == {1: "Tape1.L", 2: "Tape1.R", 3: "Mic1.O"}
    assert wires(bay, "bottom") == {1: "Console.Line_9", 2: "Console.Line_10", 3: "Preamp.1"}


def test_normals_drawn_as_signs_under_no_heading():
    rows = "1;PLY1 L;↓;DESK 1\n2;PLY1 R;↓;DESK 2\n3;DESK AUX;=;FX IN\n4;FX OUT;|;DESK 3\n5;*;|;*\n"
    made = taken_in(f"Studio B patch;;;\n{rows};;;see Bob\n")
    (bay,) = made.facility.bays.values()
    kinds = [bay.normal_at(n) for n in range(1, 5)]
    assert kinds == ["half", "half", "parallel", "full"]
    assert wires(bay, "bottom") == {1: "DESK.1", 2: "DESK.2", 3: "FX.I", 4: "DESK.3"}
    # What holds no letter is no equipment; a last lone text is no position.
    assert sorted(made.facility.equipment) == ["DESK", "FX", "PLY1"]
    assert bay.points[5].note == "top label: *; bottom label: *"
    assert (max(bay.points), bay.note) == (5, "see Bob")


def test_a_second_table_at_the_side_without_a_heading_over_its_numbers():
    rows = [
        [n, f"SRC {n}", "HN", f"MIX {n}", n + 8, f"SND {n}", "FN", f"AMP {n}"] for n in range(1, 9)
    ]
    heads = [None, "TOP ROW", "NORM", "BOTTOM ROW", None, "TOP ROW", "NORM", "BOTTOM ROW"]
    made = taken_in(sheet_of("Sheet1", ["PATCH PANEL 3"], heads, *rows, ["Total", 8]), "t.xlsx")
    (bay,) = made.facility.bays.values()
    assert [bay.normal_at(n) for n in (1, 8, 9, 16)] == ["half", "half", "full", "full"]
    assert wires(bay)[16] == "SND8.O"
    assert wires(bay, "bottom")[9] == "AMP1.I"
    # A row of totals is one thing to look at, not one for each of its cells.
    assert 'Sheet1!A11 "Total | 8": no position: kept as a note' in told(made)
    assert bay.note == "Total; TOP ROW: 8"


def test_tables_at_each_other_s_side_have_titles_of_their_own():
    rows = [[n, f"A {n}", f"C {n}", None, n, f"D {n}", f"E {n}"] for n in range(1, 7)]
    heads = ["Jack", "Source", "Destination", None] * 2
    titles = ["RACK 1 - PB A", None, None, None, "RACK 2 - PB B"]
    made = taken_in(sheet_of("Racks", titles, heads, *rows), "racks.xlsx")
    assert [(b.id, b.name) for b in made.facility.bays.values()] == [
        ("PBA", "RACK 1 - PB A"),
        ("PBB", "RACK 2 - PB B"),
    ]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        # 1-2, 3-4 and 12-13 typed into a spreadsheet of either order of day and month (seen with
        # three common programs, from memory).
        ("2024-01-02", (1, 2)), ("2024-02-01", (1, 2)), ("2024-03-04", (3, 4)), ("2-Jan", (1, 2)),
        ("04-Mar", (3, 4)), ("2013-12-01", (12, 13)), ("2019-05-20", None), ("2019-12-30", None),
    ],
)  # fmt: skip
def test_pairs_of_positions_that_became_dates(text, numbers):
    found = read_position(text)
    assert (found.numbers if found else None) == numbers


def test_pairs_that_became_dates_are_read_and_said_to_be_doubtful():
    made = taken_in("Jack,From,To\n2-Jan,CD L/R,DESK 1 L/R\n3-4,MD L/R,DESK 2 L/R\n")
    (bay,) = made.facility.bays.values()
    assert wires(bay) == {1: "CD.L", 2: "CD.R", 3: "MD.L", 4: "MD.R"}
    said = 'Doubtful: "2-Jan" read as positions 1 and 2, turned to a date (A2)'
    assert said in head_comments(made.report)


@pytest.mark.parametrize("text", ["0.5", "0,5", "2024-01-02", "1-Feb", "50%"])
def test_a_half_that_became_a_number_or_a_date(text):
    found = normal_of(text)
    assert found is not None
    assert (found.kind, found.certainty != "sure") == ("half", True)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("all 1/2 normalled unless marked", "half"), ("fully normalled throughout", "full"),
        ("Bay A (non-normaled)", "none"), ("half-normalled, 1-4 full-normalled", None),
        ("wired as normal", None), ("1-4 half-normalled, rest non", None), ("all reverse half-normal", "reverse-half"),
    ],
)  # fmt: skip
def test_normals_in_a_sentence(text, kind):
    assert normal_in(text) == kind


def test_a_sentence_under_a_block_tells_the_normals_of_the_bay():
    labels = ",".join(f"MIC {n}" for n in range(1, 9)), ",".join(f"D {n}" for n in range(1, 9))
    numbers = ",".join(map(str, range(1, 9)))
    made = taken_in(f"BAY A\n{numbers}\n{labels[0]}\n{labels[1]}\nall full normal unless marked\n")
    (bay,) = made.facility.bays.values()
    assert (bay.normal, bay.note) == ("full", "all full normal unless marked")
    assert "PBA: positions are full-normaled" in guessed(made, "likely")


def test_one_number_for_left_and_right():
    head = "Patch,From L,From R,To L,To R\n"
    twos = taken_in(f"{head}1,CD L,CD R,D 1,D 2\n3,MD L,MD R,D 3,D 4\n")
    ones = taken_in(f"{head}1,CD L,CD R,D 1,D 2\n2,MD L,MD R,D 3,D 4\n")
    for made in (twos, ones):
        (bay,) = made.facility.bays.values()
        assert wires(bay) == {1: "CD.L", 2: "CD.R", 3: "MD.L", 4: "MD.R"}
    assert any("itself and the next" in what for what in guessed(twos, "likely"))
    assert any("stands for two positions" in what for what in guessed(ones, "doubtful"))


def test_two_rows_of_48_without_numbers_with_their_normals_between():
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Sheet1"
    sheet["A1"] = "PB7 Edit suite"
    for n in range(10):
        sheet.cell(3, 1 + 2 * n, f"EDIT {n + 1} L/R")
        sheet.cell(5, 1 + 2 * n, f"MX {2 * n + 1}-{2 * n + 2}")
        for row in (3, 5):
            sheet.merge_cells(
                start_row=row, end_row=row, start_column=1 + 2 * n, end_column=2 + 2 * n
            )
    for n in range(48):
        sheet.cell(4, n + 1, "h" if n < 20 else "-")
    bay = bay_of(book, "edit.xlsx")
    assert (bay.id, bay.name, bay.positions) == ("PB7", "PB7 Edit suite", 48)
    assert [bay.normal_at(n) for n in (1, 20, 21)] == ["half", "half", "none"]
    assert [wires(bay)[n] for n in (1, 20)] == ["EDIT1.L", "EDIT10.R"]
    assert [wires(bay, "bottom")[n] for n in (1, 20)] == ["MX1.I", "MX20.I"]


def test_a_block_without_normals_is_as_the_other_and_doubtful():
    numbers, more = ",".join(map(str, range(1, 9))), ",".join(map(str, range(9, 17)))
    first = (
        f"Pos,{numbers}\nTop,A,B,C,D,E,F,G,H\nNorm,FN,FN,FN,FN,FN,,FN,FN\nBottom,I,J,K,L,M,N,O,P\n"
    )
    made = taken_in(f"{first}Pos,{more}\nTop,Q,R,S,T,U,V,W,X\n")
    (bay,) = made.facility.bays.values()
    assert [bay.normal_at(n) for n in (5, 6, 9, 16)] == ["full", "none", "full", "full"]
    assert any("where the table has no normals" in what for what in guessed(made, "doubtful"))


@pytest.mark.parametrize(
    ("text", "kind", "certainty"),
    [
        ("H.N.", "half", "likely"), ("F/N", "full", "likely"), ("half-normalled!", "half", "likely"),
        ("HN?", "half", "doubtful"), ("n/a", "none", "likely"), ("½", "half", "sure"),
    ],
)  # fmt: skip
def test_normals_with_stops_and_strokes(text, kind, certainty):
    assert normal_of(text) == (kind, certainty)


@pytest.mark.parametrize("text", ["", "?", "...", "/", "*"])
def test_signs_alone_are_no_normals(text):
    assert normal_of(text) is None


def test_a_row_of_totals_is_no_bay_and_a_title_names_the_facility():
    rows = ["Bay", "Pos", "Top", "Bottom"], ["A", 1, "C", "D"], [None, 2, "E", "F"], ["Total", 2]
    book = sheet_of("List", ["Studio A, patch list"], [], *rows)
    book.create_sheet("Scratch")["A1"] = "buy cords"
    made = taken_in(book, "list.xlsx")
    (bay,) = made.facility.bays.values()
    assert (bay.id, bay.note) == ("A", "Bay: Total; Pos: 2")
    assert made.facility.name == "Studio A, patch list"
    assert made.facility.practice.notes == ("Scratch!A1: buy cords",)


def test_jacks_numbered_by_a_and_b_side_by_side():
    head = "Jack,Name,Cable,Jack,Name\n"
    made = taken_in(
        f"{head}1A,Mic tie 1,M1,1B,Pre 1 in\n2A,CD L,C1,2B,Desk 1\n3A,CD R,,3B,Desk 2\n"
    )
    (bay,) = made.facility.bays.values()
    assert wires(bay) == {1: "Mictie1.O", 2: "CD.L", 3: "CD.R"}
    assert wires(bay, "bottom") == {1: "Pre1.I", 2: "Desk.1", 3: "Desk.2"}
    assert bay.points[1].top.cable == "M1"
    assert any(what.startswith("A and B behind a number") for what in guessed(made, "likely"))


def test_groups_merged_over_a_row_of_numbers():
    book = Workbook()
    sheet = book.worksheets[0]
    sheet["A1"] = "PATCHBAY 1"
    sheet.merge_cells("A1:A5")
    for name, row in (("#", 2), ("UP", 3), ("DN", 5)):
        sheet.cell(row, 2, name)
    for first, name in ((0, "MICS"), (4, "TAPE")):
        sheet.cell(1, 3 + first, name)
        sheet.merge_cells(start_row=1, end_row=1, start_column=3 + first, end_column=6 + first)
    for n in range(8):
        for row, text in ((2, n + 1), (3, f"S {n + 1}"), (4, "↓|"[n // 4]), (5, f"D {n + 1}")):
            sheet.cell(row, 3 + n, text)
    made = taken_in(book, "merged.xlsx")
    (bay,) = made.facility.bays.values()
    assert [bay.points[n].group for n in (1, 4, 5, 8)] == ["MICS", "MICS", "TAPE", "TAPE"]
    assert [bay.normal_at(n) for n in (4, 5)] == ["half", "full"]
    assert (wires(bay)[8], wires(bay, "bottom")[8]) == ("S8.O", "D8.I")
    assert (bay.name, bay.note) == ("PATCHBAY 1", None)


def test_numbers_of_bottom_jacks_that_go_on_need_no_labels_under_them():
    bay = bay_of("PB1,1,2,3,4,5,6\n,7,8,9,10,11,12\n")
    assert (bay.numbering, bay.positions, bay.rows) == ("through", 6, None)
    assert bay.printed_number(Jack("PB1", "B", 6)) == 12


def with_values(data, values):
    """A workbook with these values for its formulas, as a spreadsheet program would save it."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name).decode()
            for formula, value in values.items() if name.endswith("sheet1.xml") else ():
                for empty in ("<v></v>", "<v />", "<v/>"):
                    part = part.replace(
                        f"<f>{formula}</f>{empty}", f"<f>{formula}</f><v>{value}</v>"
                    )
            new.writestr(name, part)
    return out.getvalue()


FORMULAS = (["Pos", "Top", "Bottom", "Normal"], [1, "A", "B", "½"], ["=A2+1", "C", "D", "=1/2"])


def test_formulas_are_read_by_the_value_that_is_saved_with_them():
    data = with_values(saved(sheet_of("List", *FORMULAS)), {"A2+1": "2", "1/2": "0.5"})
    bay = bay_of(data, "list.xlsx")
    assert wires(bay) == {1: "A.O", 2: "C.O"}
    assert bay.normal_at(2) == "half"


def test_formulas_without_a_value_say_what_to_do():
    made = taken_in(sheet_of("List", *FORMULAS), "list.xlsx")
    assert "A3, D3 in the sheet List: a formula without its value: open the workbook" in told(made)


def test_what_is_hidden_in_a_workbook_is_read_and_told():
    book = sheet_of("PB1", ["Pos", "Top", "Bottom"], [1, "A", "B"], [2, "C", "D"])
    book.worksheets[0].row_dimensions[3].hidden = True
    old = book.create_sheet("old")
    old.sheet_state = "hidden"
    for row in (["Pos", "Top", "Bottom"], [1, "CART", "DESK 20"]):
        old.append(row)
    made = taken_in(book, "hidden.xlsx")
    assert "the sheet old is hidden in the workbook" in told(made)
    assert "in the sheet PB1 row 3 is hidden" in told(made)
    assert "CART" in made.facility.equipment


def test_a_sheet_of_a_bay_s_name_is_not_named_by_a_date_over_it():
    rows = ["Pos", "Top", "Bottom"], [1, "A", "B"]
    made = taken_in(sheet_of("PB1", ["Last checked", "2021-04-05"], *rows), "b.xlsx")
    (bay,) = made.facility.bays.values()
    assert (bay.id, bay.name) == ("PB1", "PB1")
    assert bay.note == "Last checked; 2021-04-05"


def test_the_same_title_over_every_sheet_names_the_facility():
    book = sheet_of("PB1", ["Malthouse Radio"], ["Pos", "Top", "Bottom"], [1, "A", "B"])
    other = book.create_sheet("PB2")
    for row in (["Malthouse Radio"], ["Pos", "Top", "Bottom"], [1, "C", "D"]):
        other.append(row)
    made = taken_in(book, "m.xlsx")
    assert made.facility.name == "Malthouse Radio"
    assert [bay.name for bay in made.facility.bays.values()] == ["PB1", "PB2"]


def test_many_alike_are_one_guess_each_and_stand_together():
    rows = "".join(f"{n},MIC {n},DESK MIC {n}\n" for n in range(1, 13))
    made = taken_in(f"Pos,Top,Bottom\n{rows}")
    lines = [what for what in guessed(made, "doubtful") if "equipment" in what]
    assert lines == [
        '"MIC 1" to "MIC 12" are 12 pieces of equipment, each with outputs O (at PB1.T1, PB1.T2, '
        "PB1.T3, PB1.T4, PB1.T5, PB1.T6, PB1.T7, PB1.T8, …)"
    ]
    assert any("inputs MIC_1 to MIC_12 (at" in what for what in guessed(made, "likely"))
    mixed = "Pos,Top,Bottom\n1,MIC 1,A\n2,CD,B\n3,MIC 2,C\n"
    assert list(taken_in(mixed).facility.equipment)[:2] == ["MIC1", "MIC2"]


def test_page_headings_and_prints_are_no_groups_and_no_positions():
    head = "No.;Top\u00a0row;Bottom row;Norm;Remarks\n"
    page = (
        f'"Studio 1, page 2 of 2"\n{head}3;MIC 3;M3;"""";\n4;;;;-\n;Printed 1.2.03 by\u00a0R.;;;\n'
    )
    bay = bay_of(f'{head}1;"MIC\nWALL";M1;fn;"48 V!\nask first"\n2;MIC 2;M2;fn;\n{page}')
    assert bay.points[1].note == "48 V! ask first"
    assert {point.group for point in bay.points.values()} == {None}
    assert bay.normal_at(3) == "full"
    assert bay.note == "Studio 1, page 2 of 2; Top row: Printed 1.2.03 by R."


def test_notes_of_one_jack_say_whose_they_are():
    bay = bay_of("Panel,Jack,Label,Wired to\n1,1T,CD L,CD out L\n1,1B,DESK 1,Desk in 1\n")
    assert bay.points[1].note == "Wired to, top: CD out L; Wired to, bottom: Desk in 1"
    assert bay.name == "Bay 1"


def test_a_spare_jack_beside_a_used_one_keeps_its_label_and_needs_no_note():
    bay = bay_of("Pos,Top,Bottom\n1,OB LINE,SPARE\n")
    assert (bay.points[1].label_bottom, bay.points[1].note) == ("SPARE", None)


def test_words_of_another_language_are_reported_and_not_guessed():
    made = taken_in("Pos,Top,Normal,Bottom,Kabel\n1,A,voll,B,K1\n2,C,half,D,K2\n")
    (bay,) = made.facility.bays.values()
    assert 'C2 "voll": no known normal: kept as a note' in told(made)
    assert 'E1 "Kabel": no known heading' in told(made)
    assert bay.points[1].note == "normal: voll; Kabel: K1"
