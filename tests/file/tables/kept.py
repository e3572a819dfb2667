"""Workbooks as people keep them, built cell by cell; all invented."""

from __future__ import annotations

import io

from openpyxl import Workbook
from openpyxl.comments import Comment


def saved(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def blocks_of_24() -> bytes:
    """Two rows of labels in blocks of 24, letters for normals, L and R merged, notes at the side."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Sheet1"
    sheet["A1"] = "Bay 2 - machine room"
    sheet.merge_cells("A1:Y1")
    for first, row in ((1, 3), (25, 8)):
        sheet.cell(row, 1, "Pos")
        sheet.cell(row + 1, 1, "Top")
        sheet.cell(row + 2, 1, "Normal")
        sheet.cell(row + 3, 1, "Bottom")
        for n in range(24):
            sheet.cell(row, n + 2, first + n)
    sheet["B4"] = "TAPE 1 L/R"
    sheet.merge_cells("B4:C4")
    sheet["D4"] = "TAPE 2"
    sheet.merge_cells("D4:E4")
    sheet["B6"] = "DESK LINE 1-4"
    sheet.merge_cells("B6:E6")
    for column in "BCDE":
        sheet[f"{column}5"] = "H"
    sheet["F4"], sheet["F5"], sheet["F6"] = "DESK MAIN L", "F", "DELAY IN L"
    sheet["G4"], sheet["G5"], sheet["G6"] = "DESK MAIN R", "F", "DELAY IN R"
    sheet["H4"], sheet["H5"] = "SPARE", "X"
    sheet["Z4"] = "top row cleaned in May"
    sheet["B9"], sheet["B10"], sheet["B11"] = "DELAY OUT L", "H", "AMP L"
    sheet["C9"], sheet["C10"], sheet["C11"] = "DELAY OUT R", "H", "AMP R"
    sheet["Y9"] = "TALKBACK"
    sheet["A14"] = "Sleeves are bussed along each row"
    sheet["F6"].comment = Comment("moved here from 9", "someone")
    return saved(book)


HEADINGS = ("Equipment", "Port", "Cable")


def two_bays_wide() -> bytes:
    """Two sheets, two rows of headings, equipment merged over its ports, groups, ditto marks."""
    book = Workbook()
    first = book.worksheets[0]
    first.title = "PB1"
    second = book.create_sheet("PB2")
    for sheet in (first, second):
        sheet["A1"], sheet["B1"], sheet["E1"] = "Position", "Top (from)", "Normalling"
        sheet["F1"], sheet["I1"] = "Bottom (to)", "Remarks"
        for span in ("A1:A2", "B1:D1", "E1:E2", "F1:H1", "I1:I2"):
            sheet.merge_cells(span)
        for column, heading in zip("BCDFGH", HEADINGS * 2, strict=True):
            sheet[f"{column}2"] = heading
    rows: tuple[tuple[object, ...], ...] = (
        ("PLAYERS",),
        (1, "Disc 1", "L", "W1", "half", "Desk", "5L", "W2/1", None),
        (2, None, "R", None, '"', None, "5R", "W2/2", "left channel low"),
        ("OUTBOARD",),
        (3, "Reverb", "OUT L", None, "none", "Reverb", "IN", "W3/1", None),
        (4, None, "OUT R", None, "none", None, None, None, "no input below"),
        (5, "TIE 1", None, None, "none", None, None, None, None),
    )
    for row, values in enumerate(rows, 3):
        for column, value in enumerate(values, 1):
            first.cell(row, column, value)
    first.merge_cells("A3:I3")
    first.merge_cells("B4:B5")
    first.merge_cells("F4:F5")
    first.merge_cells("A6:I6")
    first.merge_cells("B7:B8")
    for row, values in enumerate(
        (
            (1, "Desk", "PGM L", "W4/1", "full", "Link", "L", "W5/1", None),
            (2, "Desk", "PGM R", "W4/2", "full", "Link", "R", "W5/2", "=see the licence"),
            (3, None, None, None, None, "TIE 1", None, None, None),
        ),
        3,
    ):
        for column, value in enumerate(values, 1):
            cell = second.cell(row, column, value)
            if isinstance(value, str) and value.startswith("="):
                cell.data_type = "s"
    return saved(book)
