"""A chart under a trial or a failure names it in its title, not by a tag alone."""

from __future__ import annotations

from itertools import product

import pytest

from slinediag.chart.chart import draw
from slinediag.chart.leads import chart_leads
from slinediag.chart.lettering import SMALL
from slinediag.chart.page import cut_at_commas, first_whole, supplements
from slinediag.chart.trial_title import MOST, trial_title
from slinediag.drawing.marks import Drawing, Group, Text
from slinediag.drawing.query import text_boxes
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.text import width
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.papers.samples import sample

PLANT = """
equipment:
  S: {name: Source, label: DISC, outputs: [O]}
  D: {name: Destination, label: LINK, inputs: [I]}
  X: {name: Other source, label: LIMITER, outputs: [O]}
bays:
  PB:
    name: Bay
    positions: 3
    points:
      1: {top: S.O, bottom: D.I}
      2: {top: X.O, normal: none}
"""
TRIED = Trial(cords=((jack("PB.T2"), jack("PB.B1")),), failed=("S",))
SAID = "with DISC failed, a cord LIMITER O – LINK I"


@pytest.fixture(scope="module")
def facility() -> Facility:
    return plant(PLANT)


def test_what_has_failed_comes_first_then_cords_by_their_labels(facility: Facility) -> None:
    assert trial_title(facility, TRIED) == SAID
    assert trial_title(facility, Trial(), ["bay PB failed"]) == "with bay PB failed"
    assert trial_title(facility, Trial()) == ""
    assert trial_title(facility, Trial(plugs=(jack("PB.T3"),))) == "with a dummy plug in PB T3"


def test_where_labels_are_alike_the_jacks_are_named() -> None:
    """An output and an input of one box are often labelled alike."""
    facility = sample("quillmoor")

    def cord(one: str, other: str) -> Trial:
        return Trial(cords=((jack(one), jack(other)),))

    codec = "CODEC L (PB1 T15 – PB2 B32)"
    assert trial_title(facility, cord("PB1.T15", "PB2.B32")) == f"with a cord {codec}"
    mixed = "CODEC L (PB1 T15) – LINK L"
    assert trial_title(facility, cord("PB1.T15", "PB2.B15")) == f"with a cord {mixed}"
    said = trial_title(facility, Trial(plugs=(jack("PB2.B32"),)))
    assert said == "with a dummy plug in CODEC L (PB2 B32)"
    for one, other in product(facility.jacks[::7], facility.jacks[::11]):
        if one != other:
            said = trial_title(facility, Trial(cords=((one, other),))).removeprefix("with a cord ")
            first, second = said.split(" – ")
            assert first.casefold() != second.casefold()
            both = [jack_label(facility, end) for end in (one, other)]
            if both[0] and both[0] == both[1]:
                assert jack_name(facility, one) in first
                assert jack_name(facility, other) in second


def test_labels_that_differ_in_case_alone_are_alike() -> None:
    labels = "{1: {label_top: Send, label_bottom: SEND}, 2: {label_top: Return}}"
    facility = plant(f"bays: {{PB: {{name: Bay, positions: 2, points: {labels}}}}}")
    plugs = tuple(map(jack, ("PB.T1", "PB.B1", "PB.T2")))
    said = trial_title(facility, Trial(plugs=plugs))
    assert said == (
        "with a dummy plug in Send (PB T1), a dummy plug in SEND (PB B1), a dummy plug in Return"
    )


def test_of_many_things_the_rest_is_counted(facility: Facility) -> None:
    broken = [f"cable C{n} cut" for n in range(1, 10)]
    said = trial_title(facility, Trial(), broken)
    assert said.endswith(f"cable C{MOST} cut, {9 - MOST} more")


def below_the_title(drawing: Drawing) -> list[str]:
    """What the field of the title says below the facility's name."""
    blocks = [m for m in drawing.marks if isinstance(m, Group) and "title-block" in m.ref.classes]
    fields = [m for b in blocks for m in b.marks if isinstance(m, Group)]
    (title,) = (m for m in fields if ("field", "title") in m.ref.data)
    return [mark.text for mark in title.marks if isinstance(mark, Text)][2:]


@pytest.mark.parametrize("sheet", ["one", "A4"])
def test_the_title_names_it(facility: Facility, sheet: str) -> None:
    answer = ask(facility, TRIED)
    (filed, *_) = draw(facility, sheet=sheet)
    assert below_the_title(filed) == []
    (first, *others) = draw(facility, answer, sheet=sheet)
    assert below_the_title(first) == [SAID]
    assert chart_leads((first, *others), {}).title == f"Test plant; {SAID}"
    assert not any(SAID in below_the_title(other) for other in others)


@pytest.mark.parametrize("room", range(20_000, 110_000, 3_000))
def test_what_is_cut_ends_in_no_dash_and_no_open_bracket(room: int) -> None:
    said = "around CODEC; with a cord CODEC L (PB1 T15) – DESK MINUS CODEC L (PB2 B32)"
    shown = cut_at_commas(said, SMALL, room)
    assert "– and more" not in shown
    assert shown.endswith("…") or shown.count("(") == shown.count(")")
    assert width(shown, SMALL) <= room


def test_a_long_trial_is_cut_in_the_block(facility: Facility) -> None:
    cables = {f"cable of the long way {n} cut": frozenset() for n in range(1, 6)}
    (drawing,) = draw(facility, ask(facility, TRIED), sheet="one", broken=cables)
    (said,) = below_the_title(drawing)
    assert said.startswith("with DISC failed, cable of the long way 1 cut")
    assert said.endswith(" and more")
    (own,) = (box for mark, box in text_boxes(drawing) if mark.text == said)
    assert sum(own.meets(box) for _, box in text_boxes(drawing)) == 1


def test_of_a_part_the_trial_is_told_whole_rather_than_the_part(facility: Facility) -> None:
    under = "with a cord DISC 1 L – LINK L, a cord DISC 1 R – LINK R"
    heading = f"{facility.name}: what the trial changes, and all that is near it"
    tries = supplements(facility, heading, under)
    assert first_whole(tries, SMALL, width(under, SMALL)) == under
    assert first_whole(tries, SMALL, width(tries[0], SMALL)) == tries[0]
    assert first_whole(tries, SMALL, width(under, SMALL) - 1).endswith(" and more")
