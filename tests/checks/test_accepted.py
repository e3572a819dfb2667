"""What the facility accepts, and entries that accept nothing."""

from __future__ import annotations

import datetime

import pytest

from slinediag.checks import check
from slinediag.checks.words import finding_lines
from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def accepting(*entries, cords="", priority=""):
    listed = ", ".join(f"{{{entry}}}" for entry in entries)
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          D: {{name: Destination, label: LINK, inputs: [I]{priority}}}
        bays:
          PB: {{name: Bay, positions: 2, points: {{1: {{top: {{to: S.O, swapped: true}}, bottom: D.I}}, 2: {{top: ~}}}}}}
        {cords}
        """,
        head=f"slinediag: 1\nfacility: {{name: Test plant, limits: {{cord_age: 10}}, accept: [{listed}]}}\n",
    )


@pytest.mark.parametrize("where", ["PB.T1", "PB T1", "D.I", "LINK I", '"D.I, PB.T1"', "S.O"])
def test_a_finding_accepted_at_its_place(where):
    facility = accepting(
        f"rule: polarity, where: {where}, reason: the unit inverts, by: R. M., date: 2026-05-01"
    )
    finding = fires("polarity", facility, "warning", "D.I", "S.O", "PB.T1")
    assert finding.accepted is not None
    assert finding.to_dict()["accepted"] == {
        "reason": "the unit inverts", "by": "R. M.", "date": "2026-05-01",
    }  # fmt: skip
    quiet("accept-idle", facility)
    quiet("accept-unknown", facility)


def test_another_place_accepts_nothing():
    facility = accepting("rule: polarity, where: PB.T2, reason: no")
    assert found("polarity", facility)[0].accepted is None
    fires("accept-idle", facility, "note", "PB.T2")
    assert found("polarity", accepting('rule: polarity, where: "PB.T1, PB.T2"'))[0].accepted is None


def test_without_a_place_all_warnings_and_notes_of_the_rule_are_accepted():
    facility = accepting("rule: polarity, reason: they all invert")
    assert found("polarity", facility)[0].accepted is not None


def test_without_a_place_no_error_is_accepted():
    priority = ", priority: 1"
    cut = "plugs: [PB.B1]"
    facility = accepting("rule: nothing-feeds, reason: so be it", cords=cut, priority=priority)
    finding = fires("nothing-feeds", facility, "error", "D.I", "PB.B1")
    assert finding.accepted is None
    assert finding.grave
    fires("accept-idle", facility, "note")
    assert "\nElsewhere:" in "\n".join(finding_lines(facility, check(facility)))
    placed = accepting("rule: nothing-feeds, where: PB.B1", cords=cut, priority=priority)
    assert not found("nothing-feeds", placed)[0].grave


def test_a_rule_that_is_misspelt():
    facility = accepting("rule: polarty, where: PB.T1")
    finding = fires("accept-unknown", facility, "warning", "PB.T1")
    assert finding.cure == "Did you mean polarity?"
    quiet("accept-unknown", accepting("rule: polarity, where: PB.T1"))


def test_an_entry_that_no_finding_needs():
    facility = accepting("rule: doubled, where: PB.T1")
    fires("accept-idle", facility, "note", "PB.T1")
    quiet("accept-idle", accepting("rule: polarity, where: PB.T1"))


def test_of_an_entry_at_another_place_it_is_said_where_its_rule_finds_something():
    finding = fires("accept-idle", accepting("rule: polarity, where: PB.T2"), "note", "PB.T2")
    (found,) = [
        f
        for f in check(accepting("rule: polarity, where: PB.T2"))
        if f.rule == "polarity" and f.accepted is None
    ]
    assert finding.cure.endswith(f"polarity is found at {found.where[0]}.")


def test_the_age_of_cords_is_left_alone_where_no_day_is_given():
    cords = "cords: [{from: PB.T2, to: PB.B2, note: x, since: 2026-01-01}]"
    facility = accepting("rule: cord-old, where: PB.T2", cords=cords)
    quiet("accept-idle", facility)
    quiet("accept-idle", facility, datetime.date(2026, 6, 1))
    fires("accept-idle", facility, "note", "PB.T2", today=datetime.date(2026, 1, 2))
    judged = [f for f in check(facility, datetime.date(2026, 6, 1)) if f.rule == "cord-old"]
    assert judged[0].accepted is not None


def test_a_box_is_a_place_by_its_id_or_its_label():
    for where in ("D", "LINK"):
        facility = accepting(f"rule: single-source, where: {where}", priority=", priority: 1")
        assert fires("single-source", facility, "note", "D", "D.I").accepted is not None


def test_a_second_entry_for_one_finding_is_not_needed():
    facility = accepting("rule: polarity, where: PB.T1", "rule: polarity, where: D.I")
    finding = fires("accept-idle", facility, "note", "D.I")
    assert "second entry" in finding.message
