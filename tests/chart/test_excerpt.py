"""Parts of a chart: bays, rooms and ways, with references where lines leave them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import slinediag
from slinediag.chart.chart import draw
from slinediag.chart.excerpt import Wanted, read_excerpt
from slinediag.file.read import load
from slinediag.problems import RequestError, SheetTooSmall
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack, plant
from tests.chart import rules
from tests.chart.plants import drawn_set, station
from tests.chart.set_rules import check_numbers, flag_of
from tests.strategies import facilities

SAMPLES = Path(__file__).parents[2] / "samples"


def part(facility, trial=None, sheet="one", **names):
    """The drawings of a part that names ask for."""
    wanted = Wanted(**{kind: tuple(words) for kind, words in names.items()})
    answer = ask(facility, trial) if trial else None
    excerpt = read_excerpt(facility, wanted, trial)
    return draw(facility, answer, sheet=sheet, excerpt=excerpt)


def check_part(drawing):
    """The rules of a chart, where lines may end at flags and much is not drawn."""
    rules.check_lettering(drawing)
    rules.check_lines_clear(drawing)
    rules.check_nets_apart(drawing)
    rules.check_cords_clear(drawing)
    rules.check_straight_normals(drawing)
    check_ends(drawing)


def check_ends(drawing):
    """A line names all ends of its net; those not drawn are led to by a flag that says where."""
    drawn = {rules.data_of(c)["jack"] for c in rules.marked(drawing, "jack") if rules.data_of(c)}
    boxes = {name for name, _ in rules.equipment_boxes(drawing)}
    flags = {}
    for group in rules.groups(drawing.marks, "reference"):
        flags.setdefault(rules.data_of(group)["net"], []).append(group)
    for line in rules.marked(drawing, "line"):
        data = rules.data_of(line)
        away = [
            name
            for name in f"{data['from']} {data['to']}".split()
            if name not in drawn and name.split(".")[0] not in boxes
        ]
        groups = flags.get(data["net"], [])
        assert bool(groups) >= bool(away), f"{away} of {data['net']} are led to by nothing"
        tips = {point for run in line.runs for point in run}
        for group in groups:
            corners = flag_of(group).corners
            middle = sum({min(c.y for c in corners), max(c.y for c in corners)}) // 2
            assert any(p.y == middle and p.x in {c.x for c in corners} for p in tips)
        # A line that has no flag ends at a jack, at a box, or at a normal that comes in.
        if not groups:
            rules.check_no_loose_ends(only(drawing, line))


def only(drawing, line):
    """The drawing without all other lines."""

    def kept(marks):
        for mark in marks:
            if mark is not line and mark.ref and "line" in mark.ref.classes:
                continue
            yield replace(mark, marks=tuple(kept(mark.marks))) if hasattr(mark, "marks") else mark

    return replace(drawing, marks=tuple(kept(drawing.marks)))


def words_of(drawing, name="far"):
    return {words for words, _, classes in rules.texts(drawing) if name in classes}


def jacks_of(drawing):
    return set(rules.jack_places(drawing))


def ids(drawing):
    return {name for name, _ in rules.equipment_boxes(drawing)}


def test_a_bay_is_drawn_with_what_is_wired_to_it():
    facility = station()
    (drawing,) = part(facility, bays=["PB1"])
    check_part(drawing)
    assert {name.split(".")[0] for name in jacks_of(drawing)} == {"PB1"}
    assert ids(drawing) == {"PLY1", "PLY2", "MIC", "DESK"}
    # The tie to PB2 T8 and the standing cord to PB2 T10 lead out of the bay.
    flags = [rules.data_of(g)["far"] for g in rules.groups(drawing.marks, "reference")]
    assert flags == ["PB2 T8"]
    (cord,) = rules.groups(drawing.marks, "cord-reference")
    assert rules.data_of(cord)["far"] == "PB2 T10"


def test_lists_tell_of_the_part_only():
    (drawing,) = part(station(), bays=["PB1"])
    spares = rules.block_words(drawing, "spares")
    assert "PB1" in spares
    assert "PB2" not in spares
    assert "peak limiting" not in rules.block_words(drawing, "notes")
    assert rules.block_words(drawing, "not-drawn") == ""


def test_a_way_is_drawn_from_its_origins_through_equipment():
    facility = station()
    (drawing,) = part(facility, around=["LINK L"])
    check_part(drawing)
    # By the file: everything on the desk's left bus, then the limiter, then PB2 3.
    assert ids(drawing) == {"PLY1", "PLY2", "MIC", "DESK", "LIM", "XMIT"}
    expected = {f"{bay}.{row}{n}" for bay, n in WAY for row in "TB"}
    assert jacks_of(drawing) == expected
    (limiter,) = [g for g in rules.groups(drawing.marks, "equipment") if "LIM" in str(g.ref.data)]
    assert [m.text for m in limiter.marks if m.ref and "port" in m.ref.classes] == ["L", "L"]


WAY = (("PB1", 1), ("PB1", 3), ("PB1", 5), ("PB2", 1), ("PB2", 3))


def test_what_an_output_feeds():
    facility = station()
    (drawing,) = part(facility, around=["DESK.CUE"])
    check_part(drawing)
    assert ids(drawing) == {"DESK", "MON"}


def test_a_trial_leads_the_way_elsewhere():
    facility = station()
    trial = Trial(
        cords=((jack("PB1.T4"), jack("PB2.B3")),), pulled_cords=((jack("PB1.T4"), jack("PB2.T10")),)
    )
    (rest,) = part(facility, around=["LINK L"])
    (drawing,) = part(facility, trial, around=["LINK L"])
    assert "PB1.T4" in jacks_of(drawing) - jacks_of(rest)
    assert len(rules.marked(drawing, "cord")) == 2


def test_a_room_is_drawn_with_its_patch_points_and_references_beyond():
    facility = load(SAMPLES / "quillmoor.yaml").facility
    (drawing,) = part(facility, rooms=["Production room"])
    check_part(drawing)
    assert {"PLY3", "PDESK", "DAW", "FX"} <= ids(drawing)
    assert "DESK" not in ids(drawing)
    flags = {rules.data_of(g)["far"] for g in rules.groups(drawing.marks, "reference")}
    assert {"PB2 B25", "PB2 B26"} <= flags  # the ties TO PROD come from PB2 25 and 26


def test_bays_rooms_and_ways_together_on_sheets():
    facility = load(SAMPLES / "quillmoor.yaml").facility
    drawings = part(facility, sheet="A3", bays=["PB3"], around=["PB2.T15"])
    check_numbers(drawings)
    for drawing in drawings:
        check_part(drawing)
    found = {
        rules.data_of(g)["jack"] for d in drawings for g in rules.groups(d.marks, "finder-entry")
    }
    drawn = set().union(*map(jacks_of, drawings))
    assert {"PB3.T1", "PB2.T15"} <= drawn
    assert not any(name.startswith("PB4 ") for name in found)
    assert "PB3 T1" in found


def test_a_way_over_sheets_cuts_large_equipment_only():
    drawings = part(load(SAMPLES / "quillmoor.yaml").facility, sheet="A3", around=["LINK L"])
    for drawing in drawings:
        check_part(drawing)
    boxes = [rules.data_of(g) for d in drawings for g in rules.groups(d.marks, "equipment")]
    assert {box["id"] for box in boxes if "part" in box} == {"DESK"}
    names = [box["id"] for box in boxes if "part" not in box]
    assert {"DLY", "DA1", "LIM", "XMIT"} <= set(names)
    assert len(names) == len(set(names))
    # From DESK to LINK is wider than one A3: the line is interrupted once, with two flags.
    flags = [rules.data_of(g) for d in drawings for g in rules.groups(d.marks, "reference")]
    assert sum("sheet" in flag for flag in flags) == 2


@pytest.mark.parametrize("names", [{"around": ["LOG.5"]}, {"rooms": ["Production room"]}])
def test_ports_without_a_line_are_listed_where_they_belong_to_the_part(names):
    facility = load(SAMPLES / "quillmoor.yaml").facility
    drawings = part(facility, sheet="A3", **names)
    assert not any("LOGGER" in rules.block_words(d, "idle-ports") for d in drawings)


def test_ports_without_a_line_that_are_called_alike_are_told_by_side():
    ports = "[" + ", ".join(str(n) for n in range(1, 13)) + "]"
    rows = "\n".join(f"      {n}: {{top: MIX.{n}:out, bottom: MIX.{n}:in}}" for n in range(1, 11))
    facility = plant(
        f"equipment: {{MIX: {{name: Mixer, inputs: {ports}, outputs: {ports}}}}}\n"
        f"bays:\n  PB:\n    name: Bay\n    points:\n{rows}\n"
    )
    words = " ".join(rules.block_words(d, "idle-ports") for d in drawn_set(facility, "A3"))
    assert "in 11, 12; out 11, 12" in words


@pytest.mark.parametrize(
    ("names", "nearest"),
    [
        ({"bays": ["PB22"]}, "Did you mean PB2?"),
        ({"rooms": ["Rack rom"]}, "Did you mean Rack room?"),
        ({"rooms": ["studio"]}, "Did you mean Studio rack or On-air studio?"),
        ({"rooms": ["rack"]}, "Rack 1, Rack 2, Studio rack, Production rack or Rack room?"),
        ({"rooms": ["Vault"]}, "Places: Rack 1, Rack 2, Studio rack, "),
        ({"around": ["LIMK L"]}, "Did you mean LINK L?"),
    ],
)
def test_a_wrong_name_is_refused_with_the_nearest(names, nearest):
    with pytest.raises(RequestError) as refused:
        part(load(SAMPLES / "quillmoor.yaml").facility, **names)
    assert nearest in str(refused.value.problems[0].text())


def test_all_wrong_names_are_told_at_once():
    with pytest.raises(RequestError) as refused:
        part(station(), bays=["X1"], rooms=["Attic"], around=["NOWHERE"])
    assert len(refused.value.problems) == 3


def test_a_normal_to_elsewhere_is_led_to_by_name():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        bays:
          PA: {name: One, positions: 2, points: {1: {top: S.O}}}
          PB: {name: Other, positions: 2, points: {1: {bottom: D.I}}}
        normals:
          - {from: PA.T1, to: PB.B1, kind: half}
        """
    )
    (drawing,) = part(facility, bays=["PA"])
    check_part(drawing)
    (flag,) = rules.groups(drawing.marks, "reference")
    assert rules.data_of(flag)["far"] == "PB B1"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"rooms": ["LB"]}, 'this is a bay, not a rack or room. Say --bay "LB"'),
        ({"around": ["LB"]}, 'not a jack, port or equipment. Say --bay "LB"'),
        ({"bays": ["Desk rack"]}, 'this is a rack or room, not a bay. Say --room "Desk rack"'),
        ({"around": ["Desk rack"]}, 'Say --room "Desk rack"'),
        ({"bays": ["TRACKS"]}, 'Say --around "TRACKS"'),
        ({"rooms": ["LA.T1"]}, 'Say --around "LA.T1"'),
        ({"bays": ["LC"]}, "there is no such bay. Did you mean"),
        ({"rooms": ["Rack 9"]}, "nothing stands at such a place"),
    ],
)
def test_a_name_of_another_kind_is_told_with_the_option_that_takes_it(asked, said):
    facility = slinediag.load(SAMPLES / "larkfen.yaml")
    with pytest.raises(RequestError) as refused:
        part(facility, **asked)
    assert said in str(refused.value)


def test_from_python(tmp_path):
    facility = slinediag.load(SAMPLES / "quillmoor.yaml")
    path = tmp_path / "part.svg"
    slinediag.draw(facility, path, bays=["PB4"], sheet="one", effort="quick")
    drawn = path.read_text(encoding="utf-8")
    assert 'data-top="PB4.T1"' in drawn
    assert 'data-top="PB1.T1"' not in drawn


@given(st.data())
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_parts_of_random_facilities_keep_the_rules(data):
    facility = data.draw(facilities())
    ports = [*map(facility.spelled, facility.inputs()), *map(facility.spelled, facility.outputs())]
    names = (
        {"bays": ["A1"]}
        if not ports or data.draw(st.booleans())
        else {"around": [data.draw(st.sampled_from(ports))]}
    )
    try:
        drawings = part(facility, sheet=data.draw(st.sampled_from(["one", "A3"])), **names)
    except SheetTooSmall:
        return
    for drawing in drawings:
        check_part(drawing)


def test_a_way_over_sheets_begins_with_what_it_leads_to_and_ends_farthest_from_it():
    count, each = 12, 4
    boxes = "".join(
        f"  S{n}: {{name: Source {n} of many, outputs: [O]}}\n" for n in range(count * each)
    )
    entries = ", ".join(f"I{k}" for k in range(each + 1))
    mixers = "".join(
        f"  M{n}: {{name: Mixer {n}, inputs: [{entries}], outputs: [O], paths: {{O: [{entries}]}}}}\n"
        for n in range(count)
    )
    points = "".join(
        f"    {n * (each + 1) + k + 1}: {{top: {source}, bottom: M{n}.I{k}}}\n"
        for n in range(count)
        for k, source in enumerate(
            [*(f"S{n * each + j}.O" for j in range(each)), *([f"M{n + 1}.O"] * (n + 1 < count))]
        )
    )
    facility = plant(
        f"equipment:\n{boxes}{mixers}  END: {{name: End, inputs: [I]}}\nbays:\n  PB:\n    name: Bay\n"
        f"    positions: {count * (each + 1) + 1}\n    points:\n"
        + points.replace("    ", "      ")
        + f"      {count * (each + 1) + 1}: {{top: M0.O, bottom: END.I}}\n"
    )
    drawings = part(facility, sheet="A4", around=["END"])
    first = []
    for drawing in drawings:
        check_part(drawing)
        found = {i for c in rules.groups(drawing.marks, "chart") for i in ids_in(c)}
        mixers_here = [int(name[1:]) for name in found if name.startswith("M")]
        if found:
            first.append(-1 if "END" in found else min(mixers_here, default=count))
    # By the chain of mixers from the end: each sheet begins as near to it or farther.
    assert first[0] == -1
    assert first == sorted(first)
    assert len(first) > 4


def many(inputs: int):
    """A stage box that feeds a desk by so many lines, and what the desk feeds."""
    ports, jacks = (", ".join(f"{kind}.{n}" for n in range(inputs)) for kind in ("BOX", "DESK"))
    names = ", ".join(f'"{n}"' for n in range(inputs))
    return plant(
        f"equipment:\n  BOX: {{name: Stage box, outputs: [{names}]}}\n"
        f"  DESK: {{name: Desk, inputs: [{names}], outputs: [O], paths: all}}\n"
        "  END: {name: Transmitter, inputs: [I]}\nbays:\n  PA:\n    name: Stage\n"
        f"    positions: {inputs}\n    points:\n"
        f"      1-{inputs}: {{top: [{ports}], bottom: [{jacks}]}}\n"
        "  PB: {name: Out, positions: 1, points: {1: {top: DESK.O, bottom: END.I}}}\n"
    )


@pytest.mark.parametrize(("inputs", "folded"), [(40, False), (96, True)])
def test_what_leads_to_a_thing_from_afar_is_folded_where_that_is_much(inputs, folded):
    drawings = part(many(inputs), sheet="A4", around=["END"])
    jacks = [rules.data_of(jack) for d in drawings for jack in rules.marked(d, "jack")]
    assert any("members" in data for data in jacks) == folded


def ids_in(chart):
    """The ids of the equipment in a chart."""
    return {rules.data_of(box)["id"] for box in rules.groups(chart.marks, "equipment")}


def test_around_several_things_the_nearest_counts():
    facility = station()
    alone = read_excerpt(facility, Wanted(around=("LIM.L:in",)))
    both = read_excerpt(facility, Wanted(around=("XMIT.L", "LIM.L:in")))
    assert alone.closeness[entry("LIM.L")] == 0
    assert both.closeness[entry("LIM.L")] == 0
    assert read_excerpt(facility, Wanted(around=("XMIT.L",))).closeness[entry("DESK.1")] == 2
