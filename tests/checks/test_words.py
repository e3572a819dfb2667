"""Findings in plain words."""

from __future__ import annotations

import textwrap

from slinediag.checks import check
from slinediag.checks.words import finding_lines
from tests.builders import plant


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
            breaks it. [normaled-to-itself]
            To do: Make the position non-normaled (normal: none). Until then turn the monitors down and
            leave a dummy plug in it.

        LOOSE (Loose box):
          warning: LOOSE (Loose box) is in no path: no port is wired. [box-nowhere]
            To do: File its wiring, or give it state: spare or state: removed.

        PB (Bay):
          note: The standing cord PB T2 to PB B2 has no date. [cord-date]
            To do: Give it the date since when it has been in, and by whom.

        Accepted by the facility:
          note: A ground loop within bay PB through the cord PB T2 to PB B2: sleeve bus PB – cord – sleeve
            bus PB. Reason: one panel (R. M. 2026-05-01). [cord-shield-loop]

        Why a rule asks: slinediag check --explain RULE
        """
    lines = "\n".join(finding_lines(facility, check(facility)))
    assert lines == textwrap.dedent(expected).strip()


def test_a_plant_with_nothing_to_report():
    assert finding_lines(plant("equipment: {}"), ()) == ["Test plant: nothing to report."]
