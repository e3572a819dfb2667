"""Labels that repeat, look alike, or are too wide."""

from __future__ import annotations

import pytest

import slinediag
from slinediag.checks import check
from slinediag.papers.unfit import unfit_labels
from slinediag.papers.wording import word_bay
from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def strip(*labels, bay="", more="", head="slinediag: 1\nfacility: {name: Test plant}\n"):
    points = ", ".join(f'{n}: {{label_top: "{label}"}}' for n, label in enumerate(labels, 1))
    return plant(
        f"""
        bays:
          PB: {{name: Bay, positions: 24{bay}, points: {{{points}}}}}
        {more}
        """,
        head=head,
    )


def test_one_label_at_two_jacks_of_a_row():
    fires("label-repeated", strip("AUX", "CUE", "aux"), "warning", "PB.T1", "PB.T3")
    quiet("label-repeated", strip("AUX 1", "AUX 2"))
    quiet("label-repeated", strip("", "", ""))


def test_jacks_of_one_mult_may_share_their_label():
    quiet("label-repeated", strip("MULT", "MULT", more="mults: {M: [PB.T1, PB.T2]}"))
    fires(
        "label-repeated",
        strip("MULT", "MULT", more="mults: {M: [PB.T1, PB.B1]}"),
        "warning",
        "PB.T1",
        "PB.T2",
    )


def test_the_same_label_above_and_below_is_an_output_over_its_input():
    facility = plant(
        """
        bays:
          PB: {name: Bay, positions: 1, points: {1: {label_top: EQ 1, label_bottom: EQ 1}}}
        """
    )
    quiet("label-repeated", facility)


# The traps are those that drawing offices warn of: O and 0, I, L and 1. Common practice.
@pytest.mark.parametrize(
    ("one", "other"), [("IN O", "IN 0"), ("MIC I", "MIC 1"), ("TRK L", "TRK 1")]
)
def test_neighbours_that_are_taken_for_each_other(one, other):
    fires("label-look-alike", strip(one, other), "warning", "PB.T1", "PB.T2")
    quiet("label-look-alike", strip(one, "OTHER", other))
    quiet("label-look-alike", strip("MIC 1", "MIC 2"))


def test_a_word_that_no_shortening_fits_into_its_cell():
    # Pitch of 24 in 438.15 mm: 18.26 mm; of 48: 9.13 mm. Capitals of 2.5 mm are about 2.4 mm wide.
    finding = fires("label-wide", strip("WXWXWXWX", bay=", pitch: 9"), "note", "PB", "PB.T1")
    assert "WXWXWXWX at PB T1" in finding.message
    assert finding.cure.startswith("What would do: a label_top in ")
    quiet("label-wide", strip("MIC", bay=", pitch: 9"))
    fires("label-wide", strip("MIC", bay=", pitch: 3"), "note", "PB", "PB.T1")


def test_words_are_shortened_by_the_facilitys_abbreviations():
    head = "slinediag: 1\nfacility: {name: Test plant, abbreviations: {WXWXWXWX: WX}}\n"
    quiet("label-wide", strip("WXWXWXWX", bay=", pitch: 9", head=head))


def test_what_neighbours_begin_with_is_set_once_across_them():
    quiet("label-wide", strip("WXWXW L", "WXWXW R", bay=", pitch: 9"))
    fires(
        "label-wide",
        strip("WXWXW L", "MIC", "WXWXW R", bay=", pitch: 9"),
        "note",
        "PB",
        "PB.T1",
        "PB.T3",
    )


def test_strips_and_check_tell_the_same():
    """What the check calls too wide is what the strips list as such; on quillmoor, nothing."""
    tight = strip("WXWXWXWX", "MIC", "VWVWVWVWVW", bay=", pitch: 9")
    (finding,) = found("label-wide", tight)
    misfits = word_bay(tight, tight.bays["PB"]).misfits
    assert finding.where[1:] == tuple(str(jack) for m in misfits for jack in m.jacks)
    quiet("label-wide", slinediag.load("samples/quillmoor.yaml"))
    quiet("label-wide", slinediag.load("samples/larkfen.yaml"))


def test_without_strips_labels_are_not_judged_and_no_acceptance_is_idle():
    head = (
        "slinediag: 1\nfacility: {name: Test plant, "
        "accept: [{rule: label-wide, where: PB, reason: so it is}]}\n"
    )
    tight = strip("WXWXWXWX", bay=", pitch: 9", head=head)
    assert check(tight) == ()
    assert [f.rule for f in check(tight, strips=unfit_labels) if f.accepted] == ["label-wide"]


def test_the_pitch_is_an_even_division_of_the_panel():
    # (n - 1) x pitch within 438.15 mm between the ears; 18.26 (24), 16.85 (26), 9.13 (48): calculated.
    def pitch(positions, style):
        text = f"bays: {{PB: {{name: Bay, positions: {positions}, style: {style}}}}}"
        return plant(text).bays["PB"].jack_pitch

    assert pitch(24, "long-frame") == pytest.approx(18.26, abs=0.005)
    assert pitch(26, "long-frame") == pytest.approx(16.85, abs=0.005)
    assert pitch(48, "bantam") == pytest.approx(9.13, abs=0.005)
    assert pitch(12, "bantam") == pytest.approx(9.13, abs=0.005)
