"""What people write in boxes, and tables that are not as they should be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.commissioning.filled import OTHER_SHEET, read_filled
from slinediag.commissioning.plan import plan_tests
from slinediag.commissioning.report import result_lines
from slinediag.commissioning.results import judge
from slinediag.commissioning.values import ANYTHING, read_figure, read_value
from slinediag.problems import RequestError
from tests.builders import plant

PLAN = plan_tests(plant("bays: {PB: {name: Bay, positions: 2}}"))
ROWS = {(row.point, row.code): row for row in PLAN.rows}
JOINED, OPEN = ROWS["PB.1", "N-T"], ROWS["PB.1", "NB-T"]


@pytest.mark.parametrize(
    ("written", "ohms"),
    [
        ("0.04", 0.04),
        ("0,04", 0.04),
        ("40 mΩ", 0.04),
        ("40m", 0.04),
        (".04 ohm", 0.04),
        ("1.2k", 1200),
        ("3 M", 3e6),
        ("> 20 MΩ", 20e6),
        ("-8.2", -8.2),
        ("−8,2 dBu", -8.2),
        ("48.1 V", 48.1),
        ("12 mOhm", 0.012),
        ("12 milliohms", 0.012),
        ("< 0,1 Ohm", 0.1),
        ("1 kΩ", 1000),
        ("20 MOhm", 20e6),
        ("5e-2", 0.05),
        # A letter for the decimal sign: IEC 60062.
        ("0R05", 0.05),
        ("7.5 ?", 7.5),
        ("12 m?", 0.012),
        ("4k7", 4700),
    ],
)
def test_figures_are_read_as_people_write_them(written, ohms):
    # SI prefixes; the comma as a decimal sign, as most of Europe writes it.
    assert read_figure(written) == pytest.approx(ohms)


@pytest.mark.parametrize(
    ("written", "may_be"),
    [
        ("0.06", {"closed"}),
        ("0.10", {"closed"}),  # the limit itself is within it
        ("0.11", {"high"}),
        ("7 ohm", {"high"}),
        ("OL", {"open"}),
        ("∞", {"open"}),
        ("open", {"open"}),
        (">20M", {"open"}),
        (">5", {"high", "open"}),
        ("OK", {"closed"}),
        ("✓", {"closed"}),
        ("fail", {"high", "open"}),
        ("joined", {"closed"}),
        ("0,3", {"high"}),
        ("0L", {"open"}),
        ("O.L.", {"open"}),
        ("Inf.", {"open"}),
        ("open circuit", {"open"}),
        ("no beep", {"open"}),
        ("12 mΩ", {"closed"}),
        ("beep", {"closed"}),
        ("dead short", {"closed"}),
        ("OK!", {"closed"}),
        ("o.k.", {"closed"}),
        ("0.05 ok", {"closed"}),
        ("0.3 (dirty?)", {"high"}),
        ("ca. 0.05", {"closed"}),
        ("", ANYTHING),
        ("n/a", ANYTHING),
    ],
)
def test_a_box_that_should_be_joined(written, may_be):
    assert read_value(written, JOINED).may_be == may_be


@pytest.mark.parametrize(
    ("written", "may_be"),
    [("OK", {"open"}), ("0.05", {"closed", "high"}), ("x", {"closed", "high"})],
)
def test_a_box_that_should_be_open(written, may_be):
    assert read_value(written, OPEN).may_be == may_be


@pytest.mark.parametrize(
    "written",
    [
        "comes and goes",
        "INTERMITTENT",
        "0.05 / open",
        "0.05-300",
        "0.04 to OL",
        "varies 1..30",
        "intermittant",
        "flickers",
        "0.03 then OL",
        "5 Ω to ∞",
    ],
)
def test_what_comes_and_goes_is_unsteady(written):
    assert read_value(written, JOINED).unsteady


@pytest.mark.parametrize("written", ["see overleaf", "-3", "4 5", "-", "1.234,5"])
def test_what_cannot_be_read_is_not_guessed(written):
    assert read_value(written, JOINED) is None


@given(st.text(max_size=30))
@settings(max_examples=300, deadline=None)
def test_no_text_in_a_box_breaks_the_reading(written):
    for row in (JOINED, OPEN):
        taken = read_value(written, row)
        assert taken is None or taken.may_be <= ANYTHING


def test_columns_are_found_by_their_headings_in_any_order():
    sheet = [
        ["Bay test of May"],
        [],
        ["Value", "By", "Code", "Date", "Point"],
        ["0.05", "TA", "N-T", "2026-05-01", "PB.1"],
    ]
    filled = read_filled(PLAN, [sheet], "t.csv")
    assert filled.taken["PB.1"]["N-T"].written == "0.05"
    assert (filled.by, filled.dates, filled.problems) == (("TA",), ("2026-05-01",), ())


def test_rows_that_the_plan_does_not_know_are_told_by_place():
    sheet = [
        ["Point", "Code", "Value"],
        ["PB.3", "N-T", "1"],
        ["PB.1", "N-T", "see overleaf"],
        ["", "", "5"],
    ]
    found = [(p.line, p.where, p.hint) for p in read_filled(PLAN, [sheet], "t.csv").problems]
    assert [line for line, _, _ in found] == [2, 3, 4]
    assert found[0][2].startswith("Did you mean PB.")


def test_ok_means_as_the_sheet_had_it():
    """A sheet printed when the normal was filed as full, read when it is filed as half."""
    sheet = [
        ["Point", "Code", "Expected", "Value"],
        ["PB.1", "NA-T", "open", "OK"],
        ["PB.1", "NA-R", "open", "OL"],
    ]
    taken = read_filled(PLAN, [sheet], "t.csv").taken["PB.1"]
    assert ROWS["PB.1", "NA-T"].joined
    assert taken["NA-T"].may_be == taken["NA-R"].may_be == {"open"}


def test_two_readings_that_differ_come_and_go():
    sheet = [
        ["Point", "Code", "Value"],
        ["PB.1", "N-T", "0.05"],
        ["PB.1", "N-T", "OL"],
        ["PB.1", "N-R", ""],
        ["PB.1", "N-R", "0.05"],
    ]
    filled = read_filled(PLAN, [sheet], "t.csv")
    assert filled.taken["PB.1"]["N-T"].unsteady
    assert filled.taken["PB.1"]["N-R"].may_be == {"closed"}


def test_a_table_without_the_headings_is_refused():
    with pytest.raises(RequestError, match="Point, Code and Value"):
        read_filled(PLAN, [[["a", "b"], ["c", "d"]]], "t.csv")


@given(st.lists(st.lists(st.text(max_size=6), max_size=5), max_size=6))
@settings(max_examples=100, deadline=None)
def test_no_table_breaks_the_reading(rows):
    # One row that the plan has: a table with none of them is refused as a whole.
    read_filled(PLAN, [[["Point", "Code", "Value"], ["PB.1", "N-T", ""], *rows]], "t.csv")


def test_the_table_of_another_facility_is_refused_as_a_whole():
    """Its points are alike in spelling; no one of them is offered in place of another."""
    other = plan_tests(plant("bays: {QB: {name: Bay, positions: 9}}"))
    sheet = [["Point", "Code", "Value"], *([row.point, row.code, "OK"] for row in other.rows)]
    with pytest.raises(RequestError) as refused:
        read_filled(PLAN, [sheet], "t.csv")
    assert str(refused.value) == (
        "t.csv: none of its readings is of this facility. It has QB.1, QB.2, QB.3 and 6 more, "
        "the plan PB.1, PB.2. Name the file that it was printed from"
    )
    mixed = [sheet[0], ["PB.1", "N-T", "OK"], *sheet[1:]]
    filled = read_filled(PLAN, [mixed], "t.csv")
    assert filled.taken["PB.1"]["N-T"].written == "OK"
    assert {problem.hint for problem in filled.problems} == {OTHER_SHEET}


def test_a_code_that_a_point_has_not_is_of_another_sheet():
    sheet = [["Point", "Code", "Value"], ["PB.1", "N-T", "OK"], ["PB.1", "X-T", "OK"]]
    (found,) = read_filled(PLAN, [sheet], "t.csv").problems
    assert (found.where, found.hint) == ("PB.1 X-T", OTHER_SHEET)


def test_what_was_not_read_is_told_by_its_row():
    sheet = [["Point", "Code", "Value"], ["PB.1", "N-T", "see overleaf"], ["PB.2", "N-T", "0.05"]]
    said = result_lines(judge(PLAN, read_filled(PLAN, [sheet], "t.csv")))
    assert any(
        line.startswith("Not read: row 2: PB.1 N-T: cannot read the value see overleaf. Write")
        for line in said
    )
