"""A box on free positions: its wires, its normals, and what the circuit then does."""

from __future__ import annotations

import pytest

from slinediag.address import PortAddress
from slinediag.file.read import parse
from slinediag.file.write import new_file, settled
from slinediag.model.edits import Position
from slinediag.model.placing import Placed, free_run, place, replaced
from slinediag.model.removing import without_bays, without_equipment, without_ports
from slinediag.model.templates import TEMPLATES, box_of, free_id
from slinediag.problems import RequestError
from slinediag.tracing.tracer import Tracer
from tests.builders import entry, jack, output, plant

PLANT = """
equipment:
  P: {name: Player, outputs: [L, R]}
  N: {name: New player, outputs: [L, R]}
  D: {name: Desk, inputs: [1, 2, 3], outputs: [L, R]}
  E: {name: End, inputs: [L, R]}
  X: {name: Line end, inputs: [L]}
  Y: {name: Line start, outputs: [L]}
bays:
  PB: {name: Bay, positions: 8, points: {1: {top: P.L, bottom: D.1}, 2: {top: P.R, bottom: D.2}, 4: {top: D.L, state: used}, 5: {state: spare}}}
  PF: {name: Full, positions: 4, normal: full}
  PT: {name: One row, positions: 4, rows: 1}
lines: {DL: {from: Y.L, to: X.L}}
cords: [{from: PF.T4, to: PF.B4}]
"""


def hears(facility, port):
    return {str(p) for p in Tracer(facility).hears(port)}


def refused(facility, *rows):
    with pytest.raises(RequestError) as error:
        place(facility, rows)
    return str(error.value)


def at(bay, number):
    return Position(bay, number)


def test_an_output_feeds_a_free_input_through_its_own_position():
    made = place(plant(PLANT), [Placed(output("N.L"), at("PB", 6), entry("D.3"))])
    assert made.carriers[output("N.L")] == jack("PB.T6")
    assert made.carriers[entry("D.3")] == jack("PB.B6")
    assert hears(made, entry("D.3")) == {"N.L:out"}
    assert made.bays["PB"].points[6].normal is None


def test_an_input_that_is_on_a_jack_is_fed_across():
    rows = [Placed(output("N.L"), at("PF", 1), entry("D.1"))]
    before = plant(PLANT)
    made = place(before, rows, "full")
    assert hears(made, entry("D.1")) == {"N.L:out"}
    assert [str(n) for n in replaced(before, rows)] == ["PB.T1=PB.B1"]
    assert made.cross_normals[0].kind == "full"
    # The bay's own normal would lead nowhere.
    assert made.bays["PF"].points[1].normal == "none"


def test_an_input_is_fed_from_an_output():
    made = place(plant(PLANT), [Placed(entry("E.L"), at("PB", 7), output("D.L"))])
    assert made.carriers[entry("E.L")] == jack("PB.B7")
    assert hears(made, entry("E.L")) == {"D.L:out"}
    free = place(plant(PLANT), [Placed(entry("E.L"), at("PB", 7), output("D.R"))])
    assert free.carriers[output("D.R")] == jack("PB.T7")
    assert hears(free, entry("E.L")) == {"D.R:out"}


def test_what_cannot_be_is_refused_with_its_remedy():
    facility = plant(PLANT)
    assert "this position is in use. Choose a free one" in refused(
        facility, Placed(output("N.L"), at("PB", 4))
    )
    assert "wired already, at PB.T1" in refused(facility, Placed(output("P.L"), at("PB", 6)))
    assert "has positions 1 to 8" in refused(facility, Placed(output("N.L"), at("PB", 9)))
    assert "an input wants a bottom jack" in refused(facility, Placed(entry("E.L"), at("PT", 1)))
    assert "this is an output" in refused(
        facility, Placed(output("N.L"), at("PB", 6), output("D.R"))
    )
    assert "joined by line DL" in refused(
        facility, Placed(output("N.L"), at("PB", 6), entry("X.L"))
    )
    twice = [
        Placed(output("N.L"), at("PB", 6), entry("D.3")),
        Placed(output("N.R"), at("PB", 7), entry("D.3")),
    ]
    assert "two normals cannot end at one input" in refused(facility, *twice)
    crossed = place(facility, [Placed(output("N.L"), at("PF", 1), entry("D.1"))])
    assert "ends at PB.B1 already" in refused(
        crossed, Placed(output("N.R"), at("PF", 2), entry("D.1"))
    )


def test_the_first_room_is_found():
    facility = plant(PLANT)
    assert free_run(facility, "PB", 1) == 3
    assert free_run(facility, "PB", 2) == 5
    assert free_run(facility, "PB", 2, 6) == 6
    assert free_run(facility, "PB", 5) is None
    assert free_run(facility, "PF", 4) is None


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda template: template.title)
def test_a_template_makes_a_box_that_reads(template):
    for count in (template.least, template.usual or template.least, template.most):
        box = box_of(template, "NEW", template.name, "Rack 1", count)
        facility = plant("equipment: {}")
        made = facility.__class__(facility.practice, equipment={"NEW": box})
        assert settled(parse(new_file(made), "new.yaml").facility) == settled(made)
        assert box.ways is not None


def test_a_desk_sends_its_channels_out_and_takes_them_back_to_its_buses():
    desk = next(t for t in TEMPLATES if t.title == "Desk with inserts")
    box = box_of(desk, "DESK1", "Desk", None, 3)
    assert ("2", "SND2") in box.ways
    assert {source for source, target in box.ways if target == "PL"} == {"RTN1", "RTN2", "RTN3"}


def test_ids_count_on():
    assert free_id("PLY", {"PLY1", "PLY3", "PLYX"}) == "PLY4"
    assert free_id("PLY", set()) == "PLY1"
    assert free_id("DESK", {"DESK"}) == "DESK2"


def test_what_is_taken_out_takes_its_wires_along():
    facility = plant(PLANT)
    left = without_equipment(facility, ["P", "Y"])
    assert left.bays["PB"].points[1].top is None
    assert left.bays["PB"].points[1].bottom.to == entry("D.1")
    assert not left.lines
    assert settled(parse(new_file(left), "new.yaml").facility) == settled(left)
    fewer = without_ports(facility, [PortAddress("D", "1", "in"), PortAddress("D", "L", "out")])
    assert [p.id for p in fewer.equipment["D"].ports] == ["R", "2", "3"]
    assert 4 in fewer.bays["PB"].points
    assert settled(parse(new_file(fewer), "new.yaml").facility) == settled(fewer)
    none = without_bays(facility, ["PF"])
    assert not none.cords
    assert settled(parse(new_file(none), "new.yaml").facility) == settled(none)


def test_straight_paths_are_named_where_one_of_two_ports_goes():
    facility = plant(
        "equipment: {L: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}}"
    )
    both = without_ports(facility, [output("L.R"), entry("L.R")])
    assert both.equipment["L"].paths == "straight"
    one = without_ports(facility, [output("L.R")])
    assert one.equipment["L"].paths == (("L", ("L",)),)
