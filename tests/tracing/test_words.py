"""The words of an answer, sentence by sentence."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest

import slinediag
from slinediag.tracing.words import listed, sentences
from tests.builders import one_normal, plant

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def small_plant():
    return slinediag.load(HERE / "small_plant.yaml")


def check(facility, expected, every_input=False, **trial):
    """The sentences that name contacts and inputs, less those on level and phantom."""
    answer = slinediag.ask(facility, every_input=every_input, **trial)
    wanted = [line for line in textwrap.dedent(expected).strip().splitlines() if line]
    said = sentences(answer)
    for line in wanted:
        assert line in said, "\n".join(said)
    places = [said.index(line) for line in wanted]
    assert places == sorted(places), "\n".join(said)


def test_a_cord_that_taps_and_breaks(small_plant):
    check(
        small_plant,
        """
        NOT HARMLESS. Hears something else: LINK L.
        Plug in PB1 T3 (DISC 2 L): taps the half-normal of PB1 3, DESK 3 keeps DISC 2 L.
        Plug in PB2 B3 (LINK L): breaks the full-normal of PB2 3, LIM L no longer reaches LINK L that way.
        LINK L now gets DISC 2 L instead of LIM L out; it no longer hears MIC O and DISC 1 L.
        """,
        cords=[("DISC 2 L", "LINK L")],
    )


def test_silence_says_why(small_plant):
    check(
        small_plant,
        """
        NOT HARMLESS. Silent: LINK L and LINK R.
        Taken as failed: LIM.
        LINK L falls SILENT: LIM L out has failed. It heard MIC O, DISC 1 L and DISC 2 L.
        """,
        failed=["LIM"],
    )
    check(
        small_plant,
        """
        Dummy plug in PB1 B2 (DESK 2): breaks the half-normal of PB1 2, DISC 1 R no longer reaches DESK 2 that way.
        DESK 2 falls SILENT: nothing feeds it now. It heard DISC 1 R.
        Further on, LINK R, LIM R in, MON 1 and MON 2 no longer hear DISC 1 R.
        """,
        plugs=["PB1.B2"],
    )


def test_silence_further_on():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          P: {name: Processor, inputs: [A], outputs: [B], paths: straight}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O, bottom: P.A}, 2: {top: P.B, bottom: D.I}}}
        """
    )
    check(
        facility,
        """
        P A falls SILENT: nothing feeds it now. It heard S O.
        Further on, D I falls SILENT: no more S O.
        """,
        plugs=["PB.B1"],
    )


def test_doubled_and_idle_and_gained():
    facility = one_normal("half")
    check(
        facility,
        """
        NOT HARMLESS. Two sources tied together: D I.
        Plug in PB T2 (X O): breaks nothing; no normal here.
        D I is DOUBLED: S O and X O are tied together. Each loads the other.
        """,
        cords=[("PB.T1", "PB.T2")],
    )
    check(
        facility,
        """
        Harmless: no input is silenced, doubled or altered.
        Y I now gets X O and, silent before, hears X O.
        """,
        cords=[("PB.T2", "PB.B3")],
    )
    check(
        facility,
        """
        The cord PB T3 to PB B2 is idle: it changes nothing at any input.
        """,
        cords=[("PB.T3", "PB.B2")],
    )


def test_feedback_is_a_danger():
    facility = plant(
        """
        equipment:
          E: {name: Equaliser, inputs: [I], outputs: [O], paths: straight}
        bays:
          PB: {name: Bay, positions: 1, normal: none, points: {1: {top: E.O, bottom: E.I}}}
        """
    )
    check(
        facility,
        """
        NOT HARMLESS. FEEDBACK.
        DANGER: the cord PB T1 to PB B1 closes a feedback loop. Turn the monitors down before you patch it, or do not.
        E I now gets E O and hears nothing.
        """,
        cords=[("PB.T1", "PB.B1")],
    )


def test_open_already_rerouted_pulled_and_unchanged(small_plant):
    check(
        one_normal("full"),
        """
        Dummy plug in PB B1 (D I): the full-normal of PB 1 is open already.
        """,
        plugs=["PB.T1", "PB.B1"],
    )
    check(
        small_plant,
        """
        Pull the cord from PB1 T4 to PB2 T10.
        """,
        pulls=[("PB1.T4", "PB2.T10")],
    )
    check(small_plant, "MON 1 is unchanged: gets DESK CUE.", every_input=True)
    check(one_normal("none"), "D I is unchanged.", every_input=True)


def test_a_dead_feed_and_a_pulled_plug():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          R: {name: Reserve, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O, bottom: D.I}, 2: {top: R.O}}}
        plugs: [PB.B1]
        """
    )
    check(
        facility,
        """
        Pull the dummy plug from PB B1.
        D I now gets S O and, silent before, hears S O.
        """,
        pulls=["PB.B1"],
    )


def test_a_list_in_words():
    assert listed([]) == ""
    assert listed(["A"]) == "A"
    assert listed(["A", "B"]) == "A and B"
    assert listed("ABCDE") == "A, B, C, D and E"
    assert listed("ABCDEFG") == "A, B, C, D and 3 more"


def test_which_cord_to_take():
    facility = plant(
        """
        racks: {R1: {room: Racks}, R2: {room: Studio}}
        bays:
          A: {name: Near, positions: 48, place: "R1, U40", unit: 40}
          B: {name: Below, positions: 48, place: "R1, U38", unit: 38}
          C: {name: Far, positions: 48, place: "R2, U2", unit: 2}
        """,
        head="slinediag: 1\nfacility: {name: Test plant, cord_lengths: [0.3, 0.6, 0.9]}\n",
    )
    # 47 x 9.13 mm across, two units of 44.45 mm down, 0.3 m of slack: 0.74 m
    check(
        facility,
        """
        A cord of 0.9 m reaches from A T1 to B T48.
        No stocked cord reaches from A T2 to C T2.
        """,
        cords=[("A.T1", "B.T48"), ("A.T2", "C.T2")],
    )


def test_a_patch_round_what_keeps_people_safe_says_so():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          D: {name: Delay, label: DELAY, inputs: [I], outputs: [O], paths: straight, caution: seven seconds to cut}
          X: {name: Link, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O, bottom: D.I}, 2: {top: D.O, bottom: X.I}}}
        """
    )
    check(
        facility,
        """
        Harmless: no input is silenced, doubled or altered. But mind the caution below.
        CAUTION: X I goes round DELAY: seven seconds to cut.
        """,
        cords=[("PB.T1", "PB.B2")],
    )
    answer = slinediag.ask(facility, cords=[("PB.T1", "PB.B2")]).to_dict()
    assert [c["caution"] for c in answer["cautions"]] == ["D: seven seconds to cut"]
    silenced = slinediag.ask(facility, plugs=["PB.B2"])
    assert silenced.gone_round == ()


def test_a_live_feed_that_carries_nothing():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          P: {name: Processor, inputs: [A], outputs: [B], paths: straight}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O, bottom: D.I}, 2: {top: P.B, bottom: P.A, normal: none}}}
        """
    )
    check(
        facility,
        "D I falls SILENT: P B still feeds it, but carries nothing now. It heard S O.",
        cords=[("PB.T2", "PB.B1")],
    )


def test_a_feed_that_never_carried_anything_is_gone():
    facility = plant(
        """
        equipment:
          P: {name: Processor, inputs: [A], outputs: [B], paths: straight}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 1, points: {1: {top: P.B, bottom: D.I}}}
        """
    )
    check(facility, "D I no longer gets P B and hears nothing.", plugs=["PB.B1"])


def test_a_relay_that_passes_only_one_of_two():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O, P]}
          M: {name: Mixer, inputs: [A, B], outputs: [O], paths: all, bypass: {O: [A]}}
          D: {name: Destination, inputs: [I]}
        lines:
          L1: {from: S.O, to: M.A}
          L2: {from: S.P, to: M.B}
          L3: {from: M.O, to: D.I}
        """
    )
    check(facility, "D I still gets M O; it no longer hears S P.", failed=["M"])
