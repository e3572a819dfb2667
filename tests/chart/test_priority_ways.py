"""How it is set what feeds the priority inputs: sheets in runs, boxes by name, alike ways at once."""

from __future__ import annotations

import pytest

from slinediag.address import PortAddress
from slinediag.chart.chains import chains_of
from slinediag.chart.planning import plan_chart
from slinediag.chart.priority_ways import priority_ways
from slinediag.drawing.query import groups_to_sheets
from tests.builders import plant
from tests.chart.test_trial_ways import planned, quillmoor, texts


def fed_by(count: int) -> str:
    """A logger with so many inputs, each fed by a box of its own."""
    names = range(1, count + 1)
    points = ", ".join(f"{n}: {{top: S{n}.O, bottom: LOG.I{n}}}" for n in names)
    boxes = "".join(
        f"  S{n}: {{name: Source, label: {'ABCDEFGH'[n - 1]} DA, outputs: [O]}}\n" for n in names
    )
    inputs = ", ".join(f"I{n}" for n in names)
    return f"""
bays:
  PB: {{name: Bay, positions: 8, points: {{{points}}}}}
equipment:
{boxes}  LOG: {{name: LOGGER, label: LOGGER, inputs: [{inputs}], priority: 3}}
"""


def lines(facility, sheets, *, terse=False) -> list[str]:
    """Each line of the block; ``sheets``: of ports, all others are on sheet 1."""
    ports = (PortAddress(b.id, p.id, p.side) for b in facility.equipment.values() for p in b.ports)
    at = dict.fromkeys(ports, 1) | sheets
    subject = planned().subject if facility is quillmoor() else plan_chart(facility, None).subject
    block = priority_ways(facility, chains_of(subject), at, 300_000, terse=terse)
    return [" ".join(texts(item.marks)) for item in block.items]


@pytest.mark.parametrize(
    ("count", "told"),
    [
        (4, "A DA, B DA, C DA, D DA"),
        (6, "A DA, B DA, C DA, D DA, E DA, F DA"),
        (8, "A DA, B DA, C DA, D DA, E DA, 3 more"),
    ],
)
def test_what_feeds_a_box_straight_is_named_and_all_its_sheets_are(count, told):
    facility = plant(fed_by(count))
    apart = {PortAddress("LOG", "I1", "in"): 34, PortAddress("LOG", "I2", "in"): 41}
    assert lines(facility, apart) == [f"3 LOGGER (1, 34, 41): {told}"]


def test_sheets_in_a_row_are_told_by_the_first_and_the_last():
    desk = quillmoor().equipment["DESK"]
    inputs = [PortAddress("DESK", port.id, "in") for port in desk.inputs]
    on = {port: 3 + number % 5 for number, port in enumerate(inputs)}
    link = lines(quillmoor(), on)[0]
    assert link.startswith("1 LINK (1), Link to the transmitter: sheets 3–7 → DESK")
    chains = chains_of(planned().subject)
    ports = {p for chain in chains for one in chain.links for p in (*one.entries, *one.exits)}
    block = priority_ways(quillmoor(), chains, dict.fromkeys(ports, 1) | on, 300_000)
    assert ("To sheet 3", 3) in {
        (g.ref.title, sheet) for g, sheet in groups_to_sheets(block.items[0].marks)
    }


def test_in_few_words_boxes_that_one_way_leads_to_stand_together():
    told = lines(quillmoor(), {}, terse=True)
    whole = lines(quillmoor(), {})
    assert "4 CODEC (1), TEL (1): sheet 1 → DESK" in told
    assert {"4 CODEC (1), Codec for outside broadcasts: sheet 1 → DESK (1)"} <= {*whole}
    # Of another priority nothing stands with them, though one way leads there.
    assert "6 STUDIO LSPKR (1): sheet 1 → DESK (1)" in told
    assert len(told) == len(whole) - 1


def test_boxes_that_different_ways_lead_to_stand_apart():
    sections = fed_by(2).replace(
        "  LOG:", "  REC: {name: Recorder, inputs: [J], priority: 3}\n  LOG:"
    )
    facility = plant(sections.replace("bottom: LOG.I2", "bottom: REC.J"))
    assert lines(facility, {}, terse=True) == ["3 LOGGER (1): A DA (1)", "3 REC (1): B DA (1)"]
