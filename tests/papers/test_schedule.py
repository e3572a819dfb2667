"""The schedule against a plant worked out by hand, counts of the trade, and the model."""

from __future__ import annotations

import pytest

from slinediag.drawing.query import text_boxes
from slinediag.geometry import Box
from slinediag.papers.boxes import equipment_table
from slinediag.papers.cables import (
    cables_table,
    pairs_table,
    racks_table,
    straps_table,
    totals_table,
)
from slinediag.papers.page import A4, EDGE, LEFT
from slinediag.papers.punchdown import bay_table, punchdown_table, rear_of
from slinediag.papers.schedule import schedule_pages, schedule_tables
from slinediag.papers.spreadsheet import FORMULA_STARTS
from slinediag.papers.terminations import terminations
from tests.builders import plant
from tests.papers.samples import sample

PLANT = plant(
    """
    equipment:
      A: {name: Player, place: Studio, outputs: [L, R]}
      B: {name: Amplifier, place: Rack 2, inputs: {L: {}, R: {balanced: false}}}
    bays:
      PB:
        name: Bay
        place: Rack 1
        positions: 2
        normals_out: true
        points:
          1: {top: {to: A.L, cable: C1/1}, bottom: {to: B.L, swapped: true, shield: both}}
          2: {top: {to: A.R, cable: C1/2}, bottom: {to: B.R, shield: none}, normal: full}
      TB: {name: Ties, place: Studio, positions: 1, rows: 1, normal: none}
    lines:
      T1: {from: TB.T1, to: PB.B2, cable: C2}
    cables:
      C1: {type: two pairs, length: 12.5, pairs: 4, colours: 25-pair}
      C2: {type: one pair, length: 7}
    cords: [{from: PB.T1, to: PB.B1, length: 0.3}]
    plugs: [PB.T2]
    """.replace("bottom: {to: B.R, shield: none}, ", "")
)


def rows_of(table, *columns):
    picked = [table.columns.index(column) for column in columns]
    return [tuple(row[n] for n in picked) for row in table.rows]


def test_contacts_in_the_order_wired() -> None:
    table = punchdown_table(PLANT)
    assert rows_of(table, "Jack", "Contact", "Number", "Cable", "Pair", "Colour", "Goes to", "Far contact", "Strapped to") == [
        # Top row first, then bottom; T, R, S and the break contacts (common practice).
        # T is +, R is - (AES14, IEC 60268-12); pair 1 white-blue, pair 2 white-orange (25-pair).
        ("PB.T1", "T", 1, "C1", 1, "WH", "A.L", "(+)", "PB.B1 TN"),
        ("PB.T1", "R", 2, "C1", 1, "BU", "A.L", "(\N{MINUS SIGN})", "PB.B1 RN"),
        ("PB.T1", "S", 3, "C1", 1, "shield", "A.L", "shield", None),
        ("PB.T1", "TN", 4, None, None, None, None, None, None),
        ("PB.T1", "RN", 5, None, None, None, None, None, None),
        ("PB.T2", "T", 6, "C1", 2, "WH", "A.R", "(+)", None),
        ("PB.T2", "R", 7, "C1", 2, "OG", "A.R", "(\N{MINUS SIGN})", None),
        ("PB.T2", "S", 8, "C1", 2, "shield", "A.R", "shield", None),
        ("PB.T2", "TN", 9, None, None, None, None, None, "PB.B2 TN"),
        ("PB.T2", "RN", 10, None, None, None, None, None, "PB.B2 RN"),
        ("PB.B1", "T", 11, "PB.B1", None, None, "B.L", "(\N{MINUS SIGN})", None),
        ("PB.B1", "R", 12, "PB.B1", None, None, "B.L", "(+)", None),
        ("PB.B1", "S", 13, "PB.B1", None, "shield", "B.L", "shield", None),
        ("PB.B1", "TN", 14, None, None, None, None, None, "PB.T1 T"),
        ("PB.B1", "RN", 15, None, None, None, None, None, "PB.T1 R"),
        ("PB.B2", "T", 16, "C2", None, None, "TB.T1", "T", None),
        ("PB.B2", "R", 17, "C2", None, None, "TB.T1", "R", None),
        ("PB.B2", "S", 18, "C2", None, "shield", "TB.T1", "S", None),
        ("PB.B2", "TN", 19, None, None, None, None, None, "PB.T2 TN"),
        ("PB.B2", "RN", 20, None, None, None, None, None, "PB.T2 RN"),
        ("TB.T1", "T", 1, "C2", None, None, "PB.B2", "T", None),
        ("TB.T1", "R", 2, "C2", None, None, "PB.B2", "R", None),
        ("TB.T1", "S", 3, "C2", None, "shield", "PB.B2", "S", None),
    ]  # fmt: skip


def test_shields_at_both_ends() -> None:
    found = {
        row[0]: row[1:]
        for row in rows_of(punchdown_table(PLANT), "Jack", "Shield here", "Shield far")
        if row[1]
    }
    # Unset: the practice of joining at the bay; a tie line without a word of its own: both.
    assert found == {
        "PB.T1": ("joined", "lifted"),
        "PB.T2": ("joined", "lifted"),
        "PB.B1": ("joined", "joined"),
        "PB.B2": ("joined", "joined"),
        "TB.T1": ("joined", "joined"),
    }


def test_cables_with_ends_and_spare_pairs() -> None:
    assert rows_of(
        cables_table(PLANT),
        "Cable",
        "Length m",
        "One end",
        "Other end",
        "Pairs",
        "Used",
        "Spare pairs",
    ) == [
        ("C1", 12.5, "PB (Rack 1)", "A (Studio)", 4, 2, "3–4"),
        ("C2", 7.0, "TB (Studio)", "PB (Rack 1)", 1, 1, None),
        ("PB.B1", None, "PB (Rack 1)", "B (Rack 2)", 1, 1, None),
    ]


def test_straps() -> None:
    assert rows_of(straps_table(PLANT), "Strap", "From", "To", "Contacts") == [
        ("half-normal", "PB.T1", "PB.B1", "T–TN, R–RN"),
        ("full-normal", "PB.T2", "PB.B2", "TN–TN, RN–RN"),
    ]


def test_the_printed_schedule_of_a_bay_row_by_row() -> None:
    table = bay_table(rear_of(PLANT), PLANT.bays["PB"])
    assert rows_of(
        table,
        "Jack",
        "T R S TN RN",
        "Cable",
        "Goes to",
        "Stands at",
        "Far label",
        "T to",
        "Strapped",
    ) == [
        ("T1", "1–5", "C1", "A.L", "Studio", None, "+", "half-normal"),
        ("T2", "6–10", "C1", "A.R", "Studio", None, "+", "full-normal"),
        ("B1", "11–15", "own", "B.L", "Rack 2", None, "\N{MINUS SIGN}", "half-normal"),
        # The far end of the tie has no label of its own but the jack's: it reads what B2 does not.
        ("B2", "16–20", "C2", "TB.T1", "Studio", None, "T", "full-normal"),
    ]


def test_jacks_with_nothing_behind_them_say_so_also_one_by_one() -> None:
    rows = [
        row[:3]
        for bay in ("PB2", "PB3")
        for row in bay_table(rear_of(sample("quillmoor")), sample("quillmoor").bays[bay]).rows
        if row[1] == "nothing wired"
    ]
    assert ("T7–T8", "nothing wired", "31–40") in rows
    assert ("T33", "nothing wired", "161–165") in rows


def test_straps_alike_are_drawn_together_on_paper() -> None:
    facility = sample("quillmoor")
    table = straps_table(facility, by_runs=True)
    rows = rows_of(table, "Strap", "From", "To", "Contacts")
    assert ("half-normal", "PB2.T1–T14", "PB2.B1–B14", "T–TN, R–RN") in rows
    assert ("full-normal", "PB2.T15–T16", "PB2.B15–B16", "TN–TN, RN–RN") in rows
    assert ("half-normal", "PB2.T32", "PB2.B33", "T–TN, R–RN") in rows
    assert sum(_count(row[1]) for row in rows) == len(straps_table(facility).rows)


def _count(jacks: str) -> int:
    """How many jacks ``PB2.T1–T14`` are."""
    first, _, last = jacks.partition("–")
    return int(last[1:]) - int(first.rpartition(".")[2][1:]) + 1 if last else 1


def test_a_cable_label_names_what_it_has_room_for() -> None:
    facility = sample("quillmoor")
    for page in schedule_pages(facility):
        for mark, _ in text_boxes(page):
            assert "…" not in mark.text  # C8 names fewer of its ends instead


def test_a_cable_within_one_rack_has_both_its_ends_there() -> None:
    rows = rows_of(
        racks_table(sample("quillmoor")), "Place", "Cable", "Ends here at", "Comes from", "Pairs"
    )
    assert [row for row in rows if row[1] == "K1"] == [
        ("Production rack", "K1", "CASSETTE (Production rack)", "CASS AMP (Production rack)", 1),
        ("Production rack", "K1", "CASS AMP (Production rack)", "CASSETTE (Production rack)", 1),
    ]


def test_racks_and_totals() -> None:
    assert rows_of(racks_table(PLANT), "Place", "Cable", "Ends here at", "Pairs")[:2] == [
        ("Rack 1", "C1", "PB (Rack 1)", 2),
        ("Rack 1", "C2", "PB (Rack 1)", 1),
    ]
    totals = dict(rows_of(totals_table(PLANT), "Item", "Quantity"))
    assert totals["two pairs"] == 12.5
    assert totals["one pair"] == 7
    assert totals["cable labels, two to a cable"] == 6
    assert totals["PB: block positions"] == 20
    bays = rows_of(totals_table(sample("quillmoor")), "Item", "Quantity", "Note")[:2]
    assert bays == [
        ("patch bay, bantam, 96 jacks", 4, "PB1, PB2, PB3, PB4: each as its order sheet says"),
        ("patch bay, bantam, 8 jacks", 1, "PANEL: each as its order sheet says"),
    ]
    notes = dict(rows_of(totals_table(PLANT), "Item", "Note"))
    assert notes["PB: block positions"] == "insulation displacement posts, for 22 to 26 AWG"
    assert totals["patch cord, bantam, 0.3 m"] == 1
    assert totals["dummy plug, bantam"] == 1


@pytest.mark.parametrize(
    ("keys", "count"),
    # 96 points: 3 per jack 288; all normals brought out 5 per jack 480; half with the break
    # contacts of the bottom row only 384.
    [
        ("normal: half", 288),
        ("normal: half, normals_out: true", 384),
        ("normal: full, normals_out: true", 480),
        ("normal: none, normals_out: true", 480),
    ],
)
def test_terminations_of_a_96_point_bay(keys: str, count: int) -> None:
    facility = plant(f"bays: {{PB: {{name: Bay, {keys}}}}}")
    found = list(terminations(facility.bays["PB"]))
    assert len(found) == count
    assert [t.number for t in found] == list(range(1, count + 1))
    # Top 1 to 48, then bottom 49 to 96.
    assert [t.jack.row for t in found] == sorted((t.jack.row for t in found), reverse=True)


def test_every_wire_of_the_model_is_in_the_schedule_once() -> None:
    facility = sample("quillmoor")
    tips = [
        row
        for row in rows_of(punchdown_table(facility), "Jack", "Contact", "Goes to")
        if row[1] == "T" and row[2]
    ]
    wired = {str(j): facility.spelled(w.to) for j, w in facility.wires.items()}
    for line in facility.lines.values():
        if line.tie:
            wired |= {str(line.source): str(line.target), str(line.target): str(line.source)}
    assert {jack: far for jack, _, far in tips} == wired
    assert len(tips) == len(wired)
    assert len(pairs_table(facility).rows) == len(facility.wires) + len(facility.lines)


def test_labels_of_cables_are_unique() -> None:
    # ANSI/TIA-606 (from memory): both ends alike, unique.
    table = cables_table(sample("quillmoor"))
    texts = [row[0] for row in rows_of(table, "Label at both ends")]
    assert len(set(texts)) == len(texts)


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_pages_hold_their_words_apart(name: str) -> None:
    inner = Box(LEFT, EDGE, A4.width - LEFT - EDGE, A4.height - 2 * EDGE)
    for page in schedule_pages(sample(name)):
        boxes = sorted((box for _, box in text_boxes(page)), key=lambda box: box.y)
        for n, box in enumerate(boxes):
            assert inner.contains(box)
            for other in boxes[n + 1 :]:
                if other.y >= box.bottom:
                    break
                assert not box.meets(other)


def test_how_to_read_it_tells_names_filed_and_pairs_without_colours() -> None:
    first = schedule_pages(sample("quillmoor"))[0]
    words = " ".join(mark.text for mark, _ in text_boxes(first))
    assert "WB is the bay printed PANEL" in words
    assert "does not tell its wires apart: ring them through" in words
    assert "no colours filed: C5" in words  # sixteen pairs; the others of many pairs have colours
    assert "C5," not in words


def test_every_page_says_what_it_is() -> None:
    for page in schedule_pages(sample("quillmoor")):
        words = {mark.text for mark, _ in text_boxes(page)}
        assert {"QCR-A-001", "F", "2026-05-18", "Cable schedule"} <= words


def test_no_cell_of_ours_looks_like_a_formula() -> None:
    for table in schedule_tables(sample("quillmoor")):
        for row in (table.columns, *table.rows):
            # A note is the file's own text; the writers make it safe.
            ours = [v for v, column in zip(row, table.columns, strict=True) if column != "Note"]
            assert not any(str(value).startswith(FORMULA_STARTS) for value in ours), row


def test_all_tables_are_even() -> None:
    for table in schedule_tables(sample("quillmoor")):
        assert {len(row) for row in table.rows} == {len(table.columns)}


def test_equipment_with_its_place_its_ports_and_what_to_know() -> None:
    facility = plant(
        """
        equipment:
          B: {name: Desk, place: "Room 1", inputs: {M1: {phantom: gives}, M2: {phantom: gives}, M3: {phantom: gives}, X: {}}}
          A: {name: Player, label: ZED, outputs: {L: {balanced: false}}, note: on a shelf, caution: loud}
          O: {name: Old, state: removed, outputs: [Q]}
          S: {name: Spare player, state: spare, outputs: [Q]}
        """
    )
    assert equipment_table(facility).rows == (
        ("B", "B", "Desk", "Room 1", None, "M1–3, X", "gives phantom power at M1–3"),
        ("S", "S", "Spare player", None, "Q", None, "spare"),
        ("A", "ZED", "Player", None, "L", None, "unbalanced: L; loud; on a shelf"),
    )
