"""Findings on shields: severity by practice, by place, by unbalanced ports in a loop."""

from __future__ import annotations

from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def two(practice="both", sleeves="single", more="", keys="", places="", earthed="false"):
    return plant(
        f"""
        equipment:
          X1: {{name: Source 1, outputs: {{O: {{{keys}}}}}}}
          X2: {{name: Source 2, outputs: [O]}}
          Y1: {{name: Destination 1, inputs: [I]}}
          Y2: {{name: Destination 2, inputs: [I]}}
        bays:
          PB:
            name: Bay
            positions: 2
            sleeves: {sleeves}
            earthed: {earthed}
            {places}
            points:
              1: {{top: X1.O, bottom: Y1.I}}
              2: {{top: X2.O, bottom: Y2.I}}
        {more}
        """,
        head=f"slinediag: 1\nfacility: {{name: Two circuits, shields: {practice}}}\n",
    )


CORD = "cords: [{from: PB.T1, to: PB.B2}]"
STAR = two("bay", "all", earthed="true")


def test_where_shields_are_joined_at_both_ends_loops_are_notes():
    # AES48-2005: both ends to the chassis; loops are expected.
    finding = fires(
        "shield-loop", two(sleeves="pairs"), "note",
        "PB.T1", "PB.T2", "PB.B1", "PB.B2", "X1", "X2", "Y1", "Y2",
    )  # fmt: skip
    assert finding.message.startswith("2 ground loops between chassis")
    quiet("shield-loop", STAR)


def test_an_unbalanced_port_in_a_loop_makes_it_a_warning():
    severities = {
        f.severity for f in found("shield-loop", two(sleeves="pairs", keys="balanced: false"))
    }
    assert severities == {"warning", "note"}


def test_under_star_practice_a_loop_between_chassis_is_a_warning():
    wires = two("bay", "all", earthed="true").bays["PB"]
    assert wires.bonded
    facility = plant(
        """
        equipment:
          X1: {name: Source 1, outputs: [O]}
        bays:
          PB:
            name: Bay
            positions: 1
            sleeves: all
            points: {1: {top: {to: X1.O, shield: both}}}
        """
    )
    finding = fires("shield-loop", facility, "warning", "PB.T1", "X1")
    assert "chassis X1 – protective earth – technical earth – sleeve bus PB" in finding.message


def test_the_loop_that_a_cord_closes_is_that_cords():
    patched = two("both", "single", CORD)
    finding = fires("cord-shield-loop", patched, "note", "PB.T1", "PB.B2", *("X1", "Y2"))
    assert "through the cord PB T1 to PB B2" in finding.message
    quiet("shield-loop", patched)
    quiet("cord-shield-loop", two("both", "single"))


def test_a_cord_within_one_panel_is_a_note_whatever_the_practice():
    finding = fires(
        "cord-shield-loop", two("bay", "all", CORD, earthed="true"), "note", "PB.T1", "PB.B2"
    )
    assert "within bay PB" in finding.message


def test_a_cord_between_bays_of_one_rack_is_a_note_else_a_warning():
    def bays(one, other):
        return plant(
            f"""
            bays:
              P1: {{name: One, positions: 1, sleeves: all, place: {one}}}
              P2: {{name: Two, positions: 1, sleeves: all, place: {other}}}
            cords: [{{from: P1.T1, to: P2.B1}}]
            """
        )

    fires("cord-shield-loop", bays("Rack 1", "Rack 1"), "note", "P1.T1", "P2.B1")
    fires("cord-shield-loop", bays("Rack 1", "Rack 2"), "warning", "P1.T1", "P2.B1")


def test_the_loops_of_a_mult_on_a_bus_share_one_note():
    facility = two("bay", "all", "mults: {M: [PB.T1, PB.T2]}", earthed="true")
    fires("shield-loop", facility, "note", "PB.T1", "PB.T2")


def test_a_shield_joined_nowhere():
    fires("shield-floats", two("none", "all", earthed="true"), "warning",
          "PB.T1", "PB.T2", "PB.B1", "PB.B2", "X1.O", "X2.O", "Y1.I", "Y2.I")  # fmt: skip
    quiet("shield-floats", STAR)


def test_sleeves_without_a_way_to_earth():
    jacks = ("PB.T1", "PB.T2", "PB.B1", "PB.B2")
    fires("sleeves-float", two("bay", "single"), "warning", "PB", *jacks)
    quiet("sleeves-float", STAR)
    quiet("sleeves-float", two("both", "single"))


def test_where_the_file_says_nothing_of_sleeves_it_is_a_note():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O}}}
        """
    )
    finding = fires("sleeves-float", facility, "note", "PB", "PB.T1")
    assert "the file says nothing" in finding.message


def test_ties_joined_at_both_ends_between_bonded_bays_share_a_finding():
    # Unset, the shields of ties are joined at both ends: each tie is a way round between the buses.
    def ties(shield):
        return plant(
            f"""
            bays:
              P1: {{name: One, positions: 2, sleeves: all, place: Rack 1}}
              P2: {{name: Two, positions: 2, sleeves: all, place: Rack 2}}
            lines:
              T1: {{from: P1.T1, to: P2.T1{shield}}}
              T2: {{from: P1.T2, to: P2.T2{shield}}}
            """
        )

    finding = fires("shield-loop", ties(""), "warning", "P1.T1", "P1.T2", "P2.T1", "P2.T2")
    assert finding.message.startswith("2 ground loops between chassis")
    assert "shield of tie T2" in finding.message
    quiet("shield-loop", ties(", shield: from"))
