"""Findings in plain words."""

from __future__ import annotations

import re
import textwrap
from dataclasses import replace

import pytest

from slinediag.checks import check
from slinediag.checks.accepted import SUMMARIES, covers, places_of
from slinediag.checks.alike import runs_alike
from slinediag.checks.words import acceptable_at, finding_lines
from slinediag.model.facility import Acceptance, Facility
from slinediag.papers.unfit import unfit_labels
from tests.builders import plant
from tests.papers.samples import sample

BRACKETS = re.compile(r"\[([a-z-]+) at ([^\]]+)\]")
EACH = " (one entry for each)"


def test_dangers_first_then_place_by_place_then_what_is_accepted():
    facility = plant(
        """
        equipment:
          EQ: {name: Equaliser, place: Rack 1, inputs: [I], outputs: [O], paths: straight}
          LOOSE: {name: Loose box, outputs: [O]}
        bays:
          PB: {name: Bay, positions: 2, sleeves: all, points: {1: {top: EQ.O, bottom: EQ.I}}}
        cords: [{from: PB.T2, to: PB.B2, note: spare}]
        """,
        head="slinediag: 1\nfacility: {name: Test plant, accept: [{rule: cord-shield-loop, where: PB.T2, reason: one panel, by: R. M., date: 2026-05-01}]}\n",
    )
    expected = """
        Test plant: 1 danger, 1 warning, 1 note; 1 accepted.

        DANGER. See to this first:
          danger: EQ O at PB T1 is normaled to its own input EQ I at PB B1: feedback, as soon as no plug
            breaks it. [normaled-to-itself at PB.T1]
            To do: Make the position non-normaled (normal: none). Until then turn the monitors down and
            leave a dummy plug in it.

        LOOSE (Loose box):
          warning: LOOSE (Loose box) is in no path: no port is wired. [box-nowhere at LOOSE]
            To do: File its wiring, or give it state: spare or state: removed.

        PB (Bay):
          note: The standing cord PB T2 to PB B2 has no date. [cord-date at PB.T2]
            To do: Give it the date since when it has been in, and by whom.

        Accepted by the facility:
          note: A ground loop within bay PB through the cord PB T2 to PB B2: sleeve bus PB – cord – sleeve
            bus PB. Reason: one panel (R. M. 2026-05-01). [cord-shield-loop]

        Why a rule asks: slinediag check --explain RULE
        To accept one, write rule and place as in its brackets under accept: {rule: cord-date, where: PB.T2,
        reason: …, by: …, date: …}
        """
    lines = "\n".join(finding_lines(facility, check(facility)))
    assert lines == textwrap.dedent(expected).strip()


def test_a_plant_with_nothing_to_report():
    assert finding_lines(plant("equipment: {}"), ()) == ["Test plant: nothing to report."]


def test_findings_alike_but_for_numbers_that_count_up_are_told_once():
    ports = ", ".join(f"M{n}: {{priority: 2}}" for n in range(1, 9))
    points = ", ".join(f"{n}: {{bottom: D.M{n}, normal: none}}" for n in range(1, 9))
    facility = plant(
        f"""
        equipment: {{D: {{name: Desk, label: DESK, inputs: {{{ports}}}}}}}
        bays: {{PB: {{name: Bay, positions: 8, points: {{{points}}}}}}}
        """
    )
    findings = check(facility)
    assert sum(finding.rule == "nothing-feeds" for finding in findings) == 8
    words = " ".join(" ".join(finding_lines(facility, findings)).split())
    assert words.count("is fed by nothing") == 1
    assert "8 alike: DESK M1–8 is fed by nothing: PB B1–8 is non-normaled" in words
    assert "[nothing-feeds at D.M1 … D.M8 (one entry for each)]" in words
    assert_brackets_suffice(facility)


def assert_brackets_suffice(facility: Facility) -> None:
    """Entries written as the printed brackets say accept all that may be, and none is idle."""
    findings = check(facility, None, unfit_labels)
    words = " ".join(" ".join(finding_lines(facility, findings)).split())
    entries = [
        Acceptance(rule, where)
        for rule, place in BRACKETS.findall(words)
        for where in written_out(place)
    ]
    practice = replace(facility.practice, accept=(*facility.practice.accept, *entries))
    again = check(replace(facility, practice=practice), None, unfit_labels)
    assert not [f.message for f in again if f.rule in SUMMARIES and f not in findings]
    open_ones = [f for f in again if f.accepted is None and f.rule not in SUMMARIES]
    assert not [f.message for f in open_ones if f.where]


def written_out(place: str) -> list[str]:
    """The places that a bracket stands for: its own, or all from its first to its last."""
    first, until, last = place.removesuffix(EACH).partition(" … ")
    if not until:
        return [first]
    assert place.endswith(EACH)
    ends = zip(re.split("([0-9]+)", first), re.split("([0-9]+)", last), strict=True)
    parts = [(one, other) for one, other in ends]
    counts = {int(b) - int(a) for a, b in parts if a != b}
    (steps,) = counts
    return [
        "".join(a if a == b else str(int(a) + step) for a, b in parts) for step in range(steps + 1)
    ]


def test_findings_whose_places_do_not_count_up_are_told_one_by_one():
    """MIC 1 to 4 stand at ports called otherwise, which nobody could write from first and last."""
    ports = ", ".join(
        f"{name}: {{label: MIC {n}, priority: 2}}" for n, name in enumerate("KMRW", 1)
    )
    points = ", ".join(f"{n}: {{bottom: D.{p}, normal: none}}" for n, p in enumerate("KMRW", 1))
    facility = plant(
        f"""
        equipment: {{D: {{name: Desk, label: DESK, inputs: {{{ports}}}}}}}
        bays: {{PB: {{name: Bay, positions: 4, points: {{{points}}}}}}}
        """
    )
    words = " ".join(" ".join(finding_lines(facility, check(facility))).split())
    assert [f"[nothing-feeds at D.{name}]" in words for name in "KMRW"] == [True] * 4
    assert_brackets_suffice(facility)


@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_the_brackets_that_are_printed_suffice(name):
    assert_brackets_suffice(sample(name))


def test_how_to_accept_is_never_shown_by_what_harms():
    """A danger alone: nobody is told how to silence it."""
    facility = plant(
        """
        equipment: {EQ: {name: Equaliser, label: EQ, inputs: [I], outputs: [O], paths: straight}}
        bays: {PB: {name: Bay, positions: 1, sleeves: all, points: {1: {top: EQ.O, bottom: EQ.I}}}}
        """
    )
    findings = check(facility)
    assert {finding.severity for finding in findings} == {"danger"}
    assert "accept" not in " ".join(finding_lines(facility, findings))


@pytest.mark.parametrize(
    ("messages", "runs"),
    [
        (["a 1", "a 2", "a 3"], [(0, 2)]),
        (["a 1", "a 2"], [(0, 0), (1, 1)]),
        (["a 1", "a 2", "a 4", "a 5", "a 6"], [(0, 0), (1, 1), (2, 4)]),
        (["a 1 of 9", "a 2 of 9", "a 3 of 8"], [(0, 0), (1, 1), (2, 2)]),
        (["a 1 b 1", "a 2 b 2", "a 3 b 2"], [(0, 0), (1, 1), (2, 2)]),
        (["same", "same", "same"], [(0, 0), (1, 1), (2, 2)]),
        (["a 09", "a 10", "a 11"], [(0, 0), (1, 1), (2, 2)]),
        ([], []),
    ],
)
def test_what_counts_up_and_what_does_not(messages, runs):
    assert list(runs_alike(messages)) == runs


@pytest.mark.parametrize("name", ["larkfen", "quillmoor"])
def test_what_check_prints_is_enough_to_accept_each_finding(name):
    """The rule and place in a finding's brackets, as an entry of accept, take it; and no other, but
    for those that have the same places."""
    facility = sample(name)
    findings = check(facility, None, unfit_labels)
    for finding in findings:
        place = acceptable_at(finding, findings)
        if finding.rule in SUMMARIES or not finding.where:
            assert place == ""
            continue
        entry = Acceptance(finding.rule, place)
        taken = [f for f in findings if covers(entry, places_of(facility, entry), f)]
        assert finding in taken
        assert all(set(finding.where) <= set(other.where) for other in taken)
