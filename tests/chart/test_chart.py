"""What a chart shows: normals by their marks, plugs by what they do, and the sheets it goes on."""

from __future__ import annotations

import pytest

from slinediag.address import Jack
from slinediag.chart.chart import draw
from slinediag.chart.legend import NORMALS, normal_items
from slinediag.drawing.marks import Drawing, Group, Text
from slinediag.drawing.query import ink_box, walk
from slinediag.problems import RequestError
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack, one_normal, plant
from tests.chart.plants import station
from tests.chart.rules import (
    block_words,
    check_all,
    data_of,
    equipment_boxes,
    groups,
    jack_places,
    marked,
    texts,
)

# Which plug breaks which normal: trade press on jackfield normals, common practice;
# parallel and reverse half derived from the contacts (A is the source jack, B the other).
BREAKS = {
    "full": {"A", "B"},
    "half": {"B"},
    "reverse-half": {"A"},
    "parallel": set(),
}


def chart(facility, trial=None, **asked) -> Drawing:
    answer = ask(facility, trial) if trial else None
    return draw(facility, answer, **asked)[0]


def within(drawing: Drawing, top: str):
    """The group of the position whose top jack this is."""
    return next(g for g in groups(drawing.marks, "point") if data_of(g)["top"] == top)


def classes(group) -> list[tuple[str, ...]]:
    return [mark.ref.classes for mark in group.marks if mark.ref]


@pytest.mark.parametrize("kind", sorted(BREAKS))
def test_a_triangle_stands_where_a_plug_breaks_and_a_dot_where_it_taps(kind):
    drawing = chart(one_normal(kind), sheet="one")
    group = within(drawing, "PB.T1")
    places = jack_places(drawing)
    ends = {"A": places["PB.T1"][0], "B": places["PB.B1"][0]}
    assert data_of(group)["normal"] == kind
    for name, at in ends.items():
        triangles = [m for m in group.marks if m.ref and "break-mark" in m.ref.classes]
        dots = [m for m in group.marks if m.ref and "tap-mark" in m.ref.classes]
        near_triangle = [m for m in triangles if abs(m.corners[0].x - at.x) < 3000]
        near_dot = [m for m in dots if abs(m.centre.x - at.x) < 4000]
        assert bool(near_triangle) == (name in BREAKS[kind])
        assert bool(near_dot) == (name not in BREAKS[kind])
        for mark in near_triangle:  # it points to its jack: the tip is the corner next to it
            tip = min(mark.corners, key=lambda corner: abs(corner.x - at.x))
            assert tip.y == at.y
            assert tip == mark.corners[0]


def test_a_position_without_a_normal_has_no_line_through_it():
    group = within(chart(one_normal("none")), "PB.T1")
    assert data_of(group)["normal"] == "none"
    assert not [c for c in classes(group) if "normal" in c]


@pytest.mark.parametrize("kind", sorted(BREAKS))
@pytest.mark.parametrize("end", ["A", "B"])
def test_a_plug_breaks_or_taps_as_the_mark_says(kind, end):
    facility = one_normal(kind)
    held = Jack("PB", "T" if end == "A" else "B", 1)
    group = within(chart(facility, Trial(plugs=(held,))), "PB.T1")
    found = [c for c in classes(group) if "normal" in c]
    state = "broken" if end in BREAKS[kind] else "tapped"
    assert found == [("normal", state)]
    assert ("tap-ring",) in classes(group) or state == "broken"
    assert ("break-mark", "lifted") in classes(group) or state == "tapped"


def test_standing_cords_break_without_any_trial():
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          D: {name: Destination, inputs: [I]}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: S.O, bottom: D.I}}}
        cords: [{from: PB.T2, to: PB.B1}]
        """
    )
    group = within(chart(facility), "PB.T1")
    assert ("normal", "broken") in classes(group)
    assert [data_of(c)["cord"] for c in marked(chart(facility), "cord")] == ["PB.T2=PB.B1"]


def test_what_falls_silent_is_hollow_and_its_input_says_so():
    trial = Trial(plugs=(jack("PB1.B2"),))
    facility = station()
    answer = ask(facility, trial)
    assert [o.input for o in answer.inputs if o.change == "lost"] == [entry("DESK.2")]
    drawing = draw(facility, answer)[0]
    silent = [
        data_of(line)["to"] for line in marked(drawing, "line") if "silent" in line.ref.classes
    ]
    assert silent == ["DESK.2"]
    assert sum(words == "silent" for words, _, _ in texts(drawing)) == 1


def test_a_doubled_input_carries_a_warning():
    drawing = chart(station(), Trial(cords=((jack("PB1.T1"), jack("PB1.T3")),)))
    boxes = dict(equipment_boxes(drawing))
    warnings = [m for m in marked(drawing, "warning") if boxes["DESK"].holds(m.corners[0])]
    assert len(warnings) == 2


def test_failed_equipment_is_hatched_and_named_failed():
    drawing = chart(station(), Trial(failed=("LIM",)))
    failed = list(groups(drawing.marks, "failed"))
    assert [data_of(g)["id"] for g in failed] == ["LIM"]
    assert ("failed-hatch",) in classes(failed[0])
    assert ("stamp",) in classes(failed[0])


def test_a_pulled_cord_stays_on_the_chart_as_pulled():
    pulled = (jack("PB1.T4"), jack("PB2.T10"))
    drawing = chart(station(), Trial(pulled_cords=(pulled,)))
    (cord,) = marked(drawing, "cord")
    assert cord.ref.classes == ("cord", "pulled")
    assert cord.style.dash == "dotted"
    plugged = [c for c in marked(drawing, "jack") if "plugged" in c.ref.classes and c.ref.data]
    assert plugged == []


def test_trial_and_standing_cords_differ_without_colour():
    drawing = chart(station(), Trial(cords=((jack("PB1.T3"), jack("PB2.B3")),)))
    cords = {cord.ref.classes[1]: cord for cord in marked(drawing, "cord")}
    assert cords["trial"].style.width > cords["standing"].style.width
    tags = [tag.style.fill for tag in marked(drawing, "tag")]
    assert len(set(tags)) == 2, "one tag is filled, the other is not"


def test_a_normal_across_positions_joins_the_net_of_its_source_jack():
    drawing = chart(station())
    group = within(drawing, "PB2.T6")
    assert data_of(group)["normal"] == "none"
    (normal,) = [m for m in group.marks if m.ref and "normal" in m.ref.classes]
    assert data_of(normal)["normal"] == "PB2.T5=PB2.B6"
    start = min(point for run in normal.runs for point in run)
    (line,) = [m for m in marked(drawing, "line") if "PB2.T5" in data_of(m)["to"].split()]
    assert start in {point for run in line.runs for point in run}
    assert data_of(line)["from"] == "DESK.CUE"


def test_a_mult_runs_straight_through_its_position_and_on():
    drawing = chart(station())
    (line,) = [m for m in marked(drawing, "line") if "PB2.T11" in data_of(m)["to"].split()]
    assert set(data_of(line)["to"].split()) == {"PB2.T10", "PB2.T11"}
    assert data_of(line)["from"] == "PB2.B10"
    assert len({point.y for run in line.runs for point in run}) == 1


def test_a_mult_of_many_jacks_stands_in_rows():
    jacks = ", ".join(f"PB.{row}{n}" for n in range(1, 25) for row in "TB")
    facility = plant(
        "equipment:\n  S: {name: Source, outputs: [O]}\n"
        "bays:\n  PB: {name: Bay, positions: 24, normal: none}\n"
        f"mults:\n  M1: [{jacks}]\n"
    )
    drawing = chart(facility, sheet="one")
    check_all(facility, drawing)
    places = jack_places(drawing)
    assert len({at.y for at, _ in places.values()}) == 4
    # In a row, a strip of 24 positions would be over a metre long.
    across = max(at.x for at, _ in places.values()) - min(at.x for at, _ in places.values())
    assert across < 300_000
    assert "PB T1–24, PB B1–24" in block_words(drawing, "ties")


def test_silent_cords_and_halves_of_parted_normals_are_hollow_and_dashed():
    trial = Trial(cords=((jack("PB1.T5"), jack("PB1.B4")),), failed=("PLY2",))
    drawing = chart(station(), trial)
    cords = {c.ref.classes[1]: c for c in marked(drawing, "cord")}
    # The standing cord from the dead player is silent; the trial's carries the microphone.
    assert cords["standing"].ref.classes == ("cord", "standing", "silent")
    assert cords["standing"].style.dash == "dashed"
    assert cords["trial"].style.dash == "solid"
    halves = {"PB1.T5": "right", "PB1.T4": "left"}
    for top, side in halves.items():
        group = within(drawing, top)
        (normal,) = [m for m in group.marks if m.ref and "normal" in m.ref.classes]
        hollow = [m for m in group.marks if m.ref and m.ref.classes == ("hollow",)]
        wanted = normal.runs[1] if side == "right" else normal.runs[0]
        assert {m.runs[0] for m in hollow} == {wanted}


def test_swapped_wires_and_priorities_and_cautions_are_marked():
    drawing = chart(station())
    swaps = [m for m in marked(drawing, "swapped") if m in within(drawing, "PB2.T4").marks]
    assert len(swaps) == 1
    assert "peak limiting for the transmitter" in block_words(drawing, "notes")
    link = next(g for g in groups(drawing.marks, "equipment") if data_of(g)["id"] == "XMIT")
    assert sum("priority" in c for c in classes(link)) == 2


def test_what_is_not_drawn_is_listed():
    drawing = chart(station())
    spares = block_words(drawing, "spares")
    assert "6, 7, 9–11 empty, half-normaled" in spares
    assert "12 spare, parallel" in spares
    others = block_words(drawing, "not-drawn")
    assert "Tape machine: removed" in others
    assert "Tone oscillator: spare" in others


def test_the_legend_names_every_normal_and_mark_on_the_chart():
    words = block_words(chart(station()), "legend")
    for name in ("full-normal", "half-normal", "non-normaled"):
        assert name in words
    assert "reverse half-normal" not in words
    assert "parallel" not in words
    for said in ("breaks", "taps", "joined", "swapped", "priority", "standing cord"):
        assert said in words


def test_every_sheet_says_what_is_live():
    words = block_words(chart(station()), "cautions")
    assert "Phantom power: switch it off, wait, then patch." in words
    assert "Local codes and licensed practice" in words
    assert "lift" not in words


def test_the_smallest_sheet_that_fits_is_taken():
    drawing = chart(station())
    assert (drawing.width, drawing.height) == (420_000, 297_000)
    larger = chart(station(), sheet="A1")
    assert (larger.width, larger.height) == (841_000, 594_000)


def test_a_sheet_too_small_for_the_whole_gives_a_set_of_that_size():
    drawings = draw(station(), sheet="A4")
    assert len(drawings) > 2
    assert {(drawing.width, drawing.height) for drawing in drawings} == {(297_000, 210_000)}


def test_an_unknown_sheet_is_refused():
    with pytest.raises(RequestError):
        chart(station(), sheet="A9")


def test_one_sheet_is_as_large_as_needed():
    drawing = chart(station(), sheet="one")
    assert drawing.width >= 420_000
    assert drawing.height < 420_000


def test_an_empty_facility_is_a_sheet_with_its_lists():
    drawing = chart(plant("bays: {PB: {name: Bay, positions: 4}}"))
    spares = block_words(drawing, "spares")
    assert "1–4 empty, half-normaled" in spares
    assert (
        "Half-normaled: a plug in the top jack taps it, one in the bottom jack breaks it." in spares
    )


def test_reserved_positions_whose_labels_count_up_are_told_once():
    lines = "\n".join(
        f"      {n}: {{label_top: TO HALL {n}, state: reserved, note: foldback lines}}"
        for n in (1, 2, 3, 4)
    )
    last = "      6: {label_top: TO HALL 5, state: reserved, note: foldback lines}"
    drawing = chart(plant(f"bays:\n  PB:\n    name: Bay\n    points:\n{lines}\n{last}\n"))
    spares = block_words(drawing, "spares")
    assert spares.count("foldback lines") == 2
    assert "1–4 reserved, labelled TO HALL 1–4, half-normaled (foldback lines)" in spares
    assert "6 reserved, labelled TO HALL 5, half-normaled (foldback lines)" in spares


def test_labels_that_count_up_in_their_middle_are_told_once_and_their_note_as_a_caution():
    lines = "\n".join(
        f"      {n}: {{label_top: WALL {n} OUT, normal: none, note: foreign voltages possible}}"
        for n in (1, 2, 3)
    )
    drawing = chart(plant(f"bays:\n  PB:\n    name: Bay\n    points:\n{lines}\n"))
    told = "labelled WALL 1 OUT … WALL 3 OUT, non-normaled (Caution: foreign voltages possible)"
    assert f"1–3 empty, {told}" in block_words(drawing, "spares")


def test_the_words_of_a_trial_are_printed():
    said = "Plug in PB1 T3 taps: DESK 3 keeps DISC 2 L."
    drawing = chart(station(), Trial(plugs=(jack("PB1.T3"),)), words=(said,))
    assert said in block_words(drawing, "words")


BYPASSED = """
equipment:
  S: {{name: Source, outputs: [L, R]}}
  BOX: {{name: Processor, inputs: [L, R], outputs: [L, R], paths: straight{bypass}}}
  D: {{name: Destination, inputs: {{L: {{label: ""}}, R: {{priority: 1000}}}}}}
bays:
  PB:
    name: Bay
    positions: 4
    points:
      1-2: {{top: [S.L, S.R], bottom: [BOX.L, BOX.R]}}
      3-4: {{top: [BOX.L, BOX.R], bottom: [D.L, D.R]}}
"""


@pytest.mark.parametrize(
    ("bypass", "passed"), [("", ""), (", bypass: straight", "LR"), (", bypass: {L: [L]}", "L")]
)
def test_a_failed_box_shows_its_bypass_and_what_lies_beyond_goes_silent_without(bypass, passed):
    # semantics of a relay bypass, common practice: it joins input to output when the box is dead.
    drawing = chart(plant(BYPASSED.format(bypass=bypass)), Trial(failed=("BOX",)))
    (box,) = groups(drawing.marks, "failed")
    rules = [m for m in box.marks if m.ref and "path" in m.ref.classes]
    assert sum(len(rule.runs) for rule in rules) == len(passed)
    dead = sorted(set("LR") - set(passed))
    lines = [m for m in marked(drawing, "line") if "silent" in m.ref.classes]
    number = {"L": 3, "R": 4}
    expected = {(f"BOX.{p}", f"PB.T{number[p]}") for p in dead}
    expected |= {(f"PB.B{number[p]}", f"D.{p}") for p in dead}
    assert {(data_of(m)["from"].removesuffix(":out"), data_of(m)["to"]) for m in lines} == expected
    normals = [m for m in marked(drawing, "normal") if "silent" in m.ref.classes]
    assert {data_of(m)["normal"] for m in normals} == {
        f"PB.T{number[p]}=PB.B{number[p]}" for p in dead
    }


def test_a_pulled_cord_silences_what_only_it_fed_and_nothing_else():
    facility = station()
    silent = [
        data_of(m)["net"]
        for m in marked(
            chart(facility, Trial(pulled_cords=((jack("PB1.T4"), jack("PB2.T10")),))), "line"
        )
        if "silent" in m.ref.classes
    ]
    assert silent == ["PB2.T10"], "the mult that the cord fed"


def test_a_long_priority_leaves_its_label_free_and_no_lettering_is_empty():
    drawing = chart(plant(BYPASSED.format(bypass="")))
    (mark,) = [m for m in marked(drawing, "priority") if "1000" in m.ref.title]
    (number,) = [box for words, box, _ in texts(drawing) if words == "1000"]
    (box,) = [box for name, box in equipment_boxes(drawing) if name == "D"]
    label = max(
        (b for words, b, _ in texts(drawing) if words == "R" and box.holds(b.centre)),
        key=lambda b: b.right,
    )
    assert label.right < ink_box(mark).x < number.x < number.right < ink_box(mark).right
    assert ink_box(mark).right < box.right
    assert all(words for words, _, _ in texts(drawing))


def test_the_title_of_a_point_speaks_of_its_own_normal():
    ref = within(chart(station()), "PB2.T6").ref
    assert ref.title == "Non-normaled PB2 6: no normal of its own"
    own = within(chart(station()), "PB2.T5").ref
    assert own.title == "Half-normal PB2.T5 to PB2.B5: a plug in T5 taps, a plug in B5 breaks"


@pytest.mark.parametrize("kind", BREAKS)
def test_the_legend_says_of_each_normal_what_breaks_it(kind):
    words = dict(
        zip((k for k, _ in NORMALS), (_words(i) for i in normal_items(90_000)), strict=True)
    )[kind]
    left, right = "A" in BREAKS[kind], "B" in BREAKS[kind]
    if left == right:
        assert ("either jack breaks it" if left else "no plug breaks it") in words
    else:
        assert f"left {'breaks' if left else 'taps'}" in words
        assert f"right {'breaks' if right else 'taps'}" in words


def _words(item) -> str:
    return " ".join(mark.text for mark in item.marks if isinstance(mark, Text))


def every_ref(marks):
    """What every mark stands for, groups and what is in them alike."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from every_ref(mark.marks)
        if mark.ref:
            yield mark.ref, isinstance(mark, Group)


@pytest.mark.parametrize("sheet", ["auto", "A3"])
def test_every_group_has_a_title_and_every_thing_is_told(sheet):
    facility = station()
    answer = ask(facility, Trial(cords=((jack("PB1.T3"), jack("PB2.B3")),), failed=("LIM",)))
    things = {"equipment", "point", "line", "normal", "hung"}
    told = set()
    for drawing in draw(facility, answer, sheet=sheet):
        for ref, group in every_ref(drawing.marks):
            assert ref.title or not group, ref
            if things & set(ref.classes):
                assert ref.title, ref
                assert ref.desc.endswith("."), ref
                told |= things & set(ref.classes)
    assert told == things


def test_what_is_told_of_each_thing():
    facility = plant(
        """
        equipment:
          S: {name: Source, label: SRC, place: Rack 1, outputs: [O, P]}
          D: {name: Destination, inputs: [I], caution: loud}
          X: {name: Dead end, state: spare, inputs: [I]}
        bays:
          PB:
            name: Bay
            positions: 3
            points:
              1: {top: {to: S.O, cable: C7/1}, bottom: D.I, note: the only way}
              2: {top: S.P, label_bottom: SPARE, normal: none}
        normals:
          - {from: PB.T1, to: PB.B2, kind: half}
        lines:
          L1: {from: PB.B2, to: PB.T3, cable: T9}
        cables: {C7: {}, T9: {}}
        cords:
          - {from: PB.T2, to: PB.B1, note: for the fair, since: 2026-02-03, by: Ada}
        """
    )
    drawing = chart(facility)
    assert {data_of(g)["id"]: g.ref.desc for g in groups(drawing.marks, "equipment")} == {
        "S": "Equipment at Rack 1. Outputs: O, P.",
        "D": "Equipment, place not filed. Inputs: I. Caution: loud.",
    }
    assert within(drawing, "PB.T1").ref.desc == (
        "Strip, T: SRC O; B: D I. A plug in PB T1 taps the normal to PB B1 and taps the normal to "
        "PB B2. A plug in PB B1 breaks the normal from PB T1. The only way."
    )
    lines = {data_of(m)["net"]: m.ref.desc for m in marked(drawing, "line")}
    assert lines["PB.T1"].startswith("From SRC O to PB T1 (SRC O)")
    assert "Cable C7/1." in lines["PB.T1"]
    assert sum("Cable T9." in words for words in lines.values()) == 1
    (hung,) = groups(drawing.marks, "hung")
    assert hung.ref.desc == (
        "Standing cord, left in by intent. From PB T2 (SRC P) to PB B1 (D I). For the fair. "
        "Since 2026-02-03. By Ada."
    )
    (broken,) = marked(drawing, "broken")
    assert broken.ref.desc == "From PB T1 (SRC O) to PB B1 (D I). Broken by the plug in PB B1."


SWAPPED_AND_SHARED = """
equipment:
  TEL: {name: Hybrid, outputs: [O]}
  DSK: {name: Desk, inputs: [I]}
  LOG: {name: Logger, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 2
    points:
      1: {top: {to: TEL.O, swapped: true}, bottom: DSK.I}
      2: {bottom: LOG.I}
"""


@pytest.mark.parametrize("shared", [False, True])
def test_a_branch_never_leaves_before_the_mark_of_a_swapped_wire(shared):
    """What leads on from the jack has + and − exchanged as well, so the port says it then."""
    cross = "normals: [{from: PB.T1, to: PB.B2}]" if shared else ""
    (drawing,) = draw(plant(SWAPPED_AND_SHARED + cross))
    at_jack = [m for m in marked(drawing, "swapped") if m in within(drawing, "PB.T1").marks]
    words = [each.mark.text for each in walk(drawing) if isinstance(each.mark, Text)]
    assert len(at_jack) == (0 if shared else 1)
    assert ("O +/−" in words) == shared
