"""A comparison is empty where only order and spelling differ, exact for each kind of edit, and the
old revision with its changes made is the new one."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

import slinediag
from slinediag.comparing.compare import compare
from slinediag.comparing.facts import facts_of
from slinediag.comparing.report import comparison_lines
from slinediag.model.edits import Position, insert_gap, move_position, swap_positions
from slinediag.tracing.outage.survey import survey
from tests.builders import plant
from tests.file.changes import changes
from tests.file.strategies import facilities

SAMPLES = Path(__file__).parent.parent.parent / "samples"
QUILLMOOR = slinediag.load(SAMPLES / "quillmoor.yaml")
LARKFEN = slinediag.load(SAMPLES / "larkfen.yaml")

HEAD = "slinediag: 1\nfacility: {name: Test plant, shields: bay, revision: C, cord_lengths: [1]}\n"
PLANT = """\
racks:
  Rack 1: {room: Rack room, x: 0}
equipment:
  PLY: {name: Player, label: DISC, place: "Rack 1, U3", outputs: [L, R]}
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  XMIT: {name: Link, priority: 1, inputs: [L, R]}
  MON: {name: Monitor, inputs: {I: {level: -10}}}
bays:
  PB:
    name: Bay
    positions: 8
    place: Rack 1
    sleeves: all
    points:
      1-2: {top: [{to: PLY.L, cable: S1/1}, {to: PLY.R, cable: S1/2}], bottom: [LIM.L, LIM.R]}
      3-4: {top: [LIM.L, LIM.R], bottom: [XMIT.L, XMIT.R], normal: full}
      7: {bottom: MON.I, note: quiet}
  QB: {name: Other bay, positions: 4, normal: none}
normals:
  - {from: PB.T3, to: PB.B7, kind: half}
mults:
  M1: [QB.T1, QB.B1, QB.T2]
lines:
  T1: {from: PB.B8, to: QB.T4, cable: S2/1}
cables:
  S1: {type: screened pair, length: 10}
  S2: {type: screened pair, length: 20}
cords:
  - {from: PB.T1, to: QB.B2, note: to the mult}
plugs:
  - QB.B3
"""
OLD = plant(PLANT, HEAD)


def edited(old, new="", head=HEAD):
    """The plant with one text replaced."""
    assert PLANT.count(old) == 1, old
    return plant(PLANT.replace(old, new), head)


EDITS = {
    "normal": ("normal: full", "normal: half", [("normal", "PB 3"), ("normal", "PB 4")]),
    "normal by default": (
        "sleeves: all",
        "sleeves: all\n    normal: none",
        [("normal", f"PB {n}") for n in (1, 2, 5, 6, 7, 8)],
    ),
    "normal spelled out": ("3-4: {top", "5: {normal: half}\n      3-4: {top", []),
    "wire re-terminated": (
        "7: {bottom: MON.I, note: quiet}",
        "6: {bottom: MON.I}\n      7: {note: quiet}",
        [("wire re-terminated", "MON.I")],
    ),
    "one wire of a position": (
        "bottom: [LIM.L, LIM.R]}",
        "bottom: [LIM.L, ~]}\n      5: {bottom: LIM.R}",
        [("wire re-terminated", "LIM.R:in")],
    ),
    "wires exchanged": (
        "top: [{to: PLY.L, cable: S1/1}, {to: PLY.R, cable: S1/2}]",
        "top: [{to: PLY.R, cable: S1/2}, {to: PLY.L, cable: S1/1}]",
        [("wire re-terminated", "PLY.L"), ("wire re-terminated", "PLY.R")],
    ),
    "wire taken off": (", bottom: [LIM.L, LIM.R]", "", [("wire removed", "LIM.L:in"), ("wire removed", "LIM.R:in")]),
    "polarity": ("{to: PLY.L, cable: S1/1}", "{to: PLY.L, cable: S1/1, swapped: true}", [("polarity", "PLY.L")]),
    "shield": ("{to: PLY.L, cable: S1/1}", "{to: PLY.L, cable: S1/1, shield: both}", [("shield", "PLY.L")]),
    "shield spelled out": ("{to: PLY.L, cable: S1/1}", "{to: PLY.L, cable: S1/1, shield: bay}", []),
    "cable of a wire": ("{to: PLY.L, cable: S1/1}", "{to: PLY.L, cable: S1/3}", [("cable of a wire", "PLY.L")]),
    "cord taken out": ("  - {from: PB.T1, to: QB.B2, note: to the mult}\n", "  []\n", [("cord taken out", "PB.T1=QB.B2")]),
    "cord elsewhere": (
        "to: QB.B2, note",
        "to: QB.B4, note",
        [("cord taken out", "PB.T1=QB.B2"), ("cord left in", "PB.T1=QB.B4")],
    ),
    "cord told more of": ("note: to the mult", "note: to the mult, since: 2026-01-02", [("cord", "PB.T1=QB.B2")]),
    "dummy plug": ("  - QB.B3", "  - QB.B4", [("dummy plug left in", "QB.B4"), ("dummy plug taken out", "QB.B3")]),
    "label": ("note: quiet", "note: quiet, label_bottom: LISTEN", [("label", "PB.B7")]),
    "label of equipment": ("label: DISC", "label: PLAYER", [("label", "PLY")]),
    "note": ("note: quiet", "note: loud", [("note", "PB 7")]),
    "port": ("level: -10", "level: -8", [("port", "MON.I")]),
    "port level spelled out": ("outputs: [L, R]}\n  LIM", "outputs: {L: {level: 4}, R: {}}}\n  LIM", []),
    "port added": ("outputs: [L, R]}\n  LIM", "outputs: [L, R, M]}\n  LIM", [("port added", "PLY.M")]),
    "path": ("paths: straight", "paths: {L: [L], R: [L, R]}", [("path", "LIM")]),
    "path spelled out": ("paths: straight", "paths: {R: [R], L: [L]}", []),
    "priority": ("priority: 1", "priority: 2", [("equipment", "XMIT")]),
    "place": ("Rack 1, U3", "Rack 1, U4", [("place", "PLY")]),
    "equipment added": ("  MON:", "  NEW: {name: New box, outputs: [O]}\n  MON:", [("equipment added", "NEW")]),
    "normal across": ("kind: half", "kind: full", [("normal across", "PB.B7")]),
    "mult": ("QB.B1, QB.T2]", "QB.B1]", [("mult", "M1")]),
    "mult in another order": ("[QB.T1, QB.B1, QB.T2]", "[QB.T2, QB.T1, QB.B1]", []),
    "line's shield": ("cable: S2/1}", "cable: S2/1, shield: from}", [("line", "T1")]),
    "line elsewhere": ("to: QB.T4, cable", "to: QB.T3, cable", [("line", "T1")]),
    "cable": ("length: 20", "length: 21", [("cable", "S2")]),
    "rack": ("x: 0}", "x: 1}", [("place", "Rack 1")]),
    "bay": ("sleeves: all", "sleeves: rows", [("bay", "PB")]),
    "bay longer": ("name: Other bay, positions: 4", "name: Other bay, positions: 5", [("bay", "QB"), ("normal", "QB 5")]),
    "bay added": ("normals:\n", "  RB: {name: Third bay, positions: 2, normal: none}\nnormals:\n", [("bay added", "RB")]),
}  # fmt: skip


@pytest.mark.parametrize("name", EDITS)
def test_each_kind_of_edit_is_told_as_what_it_is(name):
    old_text, new_text, expected = EDITS[name]
    new = edited(old_text, new_text)
    told = compare(OLD, new)
    found = [(change.kind, change.where[0]) for change in told.changes]
    assert sorted(found) == sorted(expected)
    assert told.new_facts() == facts_of(new)


RENAMES = {
    "equipment": (("XMIT", "LINK"), "equipment XMIT is now called LINK"),
    "equipment with label": (("PLY", "CD"), "equipment PLY is now called CD"),
    "bay": (("PB", "PB7"), "bay PB is now called PB7"),
    "cable": (("S1", "K9"), "cable S1 is now called K9"),
    "mult": (("M1", "M9"), "mult M1 is now called M9"),
    "line": (("T1:", "TIE1:"), "line T1 is now called TIE1"),
    "rack": (("Rack 1", "Rack 7"), "rack Rack 1 is now called Rack 7"),
}


@pytest.mark.parametrize("name", RENAMES)
def test_a_renamed_id_is_a_rename_and_nothing_else(name):
    (old_id, new_id), text = RENAMES[name]
    new = plant(PLANT.replace(old_id, new_id), HEAD)
    told = compare(OLD, new)
    assert [change.text for change in told.changes] == [text]
    assert told.hearing == ()
    assert told.new_facts() == facts_of(new)


def test_a_renamed_port_is_a_rename():
    new = plant(
        PLANT.replace("PLY.L", "PLY.A").replace('U3", outputs: [L, R]', 'U3", outputs: [A, R]'),
        HEAD,
    )
    told = compare(OLD, new)
    assert [change.kind for change in told.changes] == ["renamed"]
    assert told.new_facts() == facts_of(new)


def test_a_renamed_port_is_renamed_in_its_stereo_pair_too():
    old = plant(
        PLANT.replace('U3", outputs: [L, R]', 'U3", outputs: [L, R], pairs: [[L, R]]'), HEAD
    )
    text = PLANT.replace('U3", outputs: [L, R]', 'U3", outputs: [A, R], pairs: [[A, R]]')
    new = plant(text.replace("PLY.L", "PLY.A"), HEAD)
    assert [change.text for change in compare(old, new).changes] == [
        "port PLY.L:out is now called PLY.A:out"
    ]


def test_another_box_in_the_place_of_one_is_no_rename():
    new = edited(
        'PLY: {name: Player, label: DISC, place: "Rack 1, U3"',
        'PLY: {name: Cassette deck, label: TAPE, place: "Rack 2, U9"',
    )
    other = plant(
        PLANT.replace(
            "PLY: {name: Player, label: DISC", "CAS: {name: Cassette deck, label: TAPE"
        ).replace("PLY.", "CAS."),
        HEAD,
    )
    kinds = [change.kind for change in compare(OLD, other).changes]
    assert kinds[:2] == ["equipment taken out", "equipment added"] or kinds[:2] == [
        "equipment added",
        "equipment taken out",
    ]
    assert "renamed" not in kinds
    assert "renamed" not in [change.kind for change in compare(OLD, new).changes]


def reordered(facility, dice):
    """The same facility with everything whose order says nothing in another order."""

    def mixed(mapping):
        items = list(mapping.items())
        dice.shuffle(items)
        return dict(items)

    def turned(sequence):
        items = list(sequence)
        dice.shuffle(items)
        return tuple(items)

    bays = {n: replace(b, points=mixed(b.points)) for n, b in mixed(facility.bays).items()}
    return replace(
        facility,
        racks=mixed(facility.racks),
        equipment=mixed(facility.equipment),
        bays=bays,
        cross_normals=turned(facility.cross_normals),
        mults={n: replace(m, jacks=turned(m.jacks)) for n, m in mixed(facility.mults).items()},
        lines=mixed(facility.lines),
        cables=mixed(facility.cables),
        cords=turned(facility.cords),
        plugs=turned(facility.plugs),
    )


@pytest.mark.parametrize(
    "facility", [OLD, QUILLMOOR, LARKFEN], ids=["small", "quillmoor", "larkfen"]
)
def test_a_reordered_file_is_no_change(facility):
    told = compare(facility, reordered(facility, random.Random(7)))
    assert told.changes == ()
    assert comparison_lines(told) == ["Nothing changed."]
    assert told.row is None


def test_old_with_its_changes_is_new():
    dice = random.Random(20)
    for _ in range(25):
        new = LARKFEN
        for _ in range(dice.randint(1, 4)):
            made = changes(new, dice)
            new = made.facility if made is not None else new
        told = compare(LARKFEN, new)
        assert told.new_facts() == facts_of(new)
        assert bool(told.changes) == (facts_of(new) != facts_of(LARKFEN))


@pytest.mark.parametrize(
    ("edit", "moves"),
    [
        (
            lambda f: move_position(f, Position("PB1", 9), Position("PB1", 23)),
            {("PB1 9", "PB1 23")},
        ),
        (
            lambda f: swap_positions(f, Position("PB1", 9), Position("PB2", 13)),
            {("PB1 9", "PB2 13"), ("PB2 13", "PB1 9")},
        ),
        (
            lambda f: insert_gap(f, Position("PB1", 21)),
            {("PB1 21", "PB1 22"), ("PB1 22", "PB1 23")},
        ),
    ],
    ids=["move", "swap", "gap"],
)
def test_moved_positions_are_moves_and_nothing_else(edit, moves):
    new = edit(QUILLMOOR)
    told = compare(QUILLMOOR, new)
    assert {change.where for change in told.changes if change.kind == "position moved"} == moves
    others = [change for change in told.changes if change.kind != "position moved"]
    assert [change.kind for change in others] in ([], ["note"])
    assert told.hearing == ()
    assert told.new_facts() == facts_of(new)


def test_a_move_says_what_stands_there():
    new = move_position(QUILLMOOR, Position("PB1", 9), Position("PB1", 23))
    assert "  position PB1 9 moved to PB1 23 (DISC 1 L, DESK 7L)" in comparison_lines(
        compare(QUILLMOOR, new)
    )


def test_what_a_change_does_to_hearing_is_told():
    told = compare(OLD, edited("bottom: [XMIT.L, XMIT.R]", "bottom: [~, XMIT.R]"))
    assert [(c.input.equipment, c.input.port, c.change) for c in told.hearing] == [
        ("XMIT", "L", "lost")
    ]
    assert "XMIT L falls SILENT: it heard DISC L" in "\n".join(comparison_lines(told))


def test_labels_alone_are_called_paper_only():
    told = compare(OLD, edited("note: quiet", "note: quiet, label_bottom: LISTEN"))
    assert told.paper_only
    text = "\n".join(comparison_lines(told))
    assert "label only: PB.B7: label of the bottom jack: now LISTEN" in text
    assert "Every input hears what it heard" in text


def test_a_lost_way_round_is_told():
    # On the bay the player's jacks reach the link by a cord round the limiter; wired straight to
    # the limiter it is on no jack, and no cord can take it round.
    wired = "      1-2: {top: [{to: PLY.L, cable: S1/1}, {to: PLY.R, cable: S1/2}], bottom: [LIM.L, LIM.R]}\n"
    direct = "lines:\n  D1: {from: PLY.L, to: LIM.L}\n  D2: {from: PLY.R, to: LIM.R}\n"
    assert wired in PLANT
    told = compare(
        OLD, plant(PLANT.replace(wired, "").replace("lines:\n", direct), HEAD), outages=True
    )
    assert "  MON I, XMIT L and XMIT R lose their way round the Limiter" in comparison_lines(told)
    one = compare(OLD, told.new, failed=["LIM"])
    assert one.outages == tuple(o for o in told.outages or () if o.failed == "LIM")
    assert compare(OLD, edited("note: quiet", "note: loud"), outages=True).outages == ()


@pytest.mark.parametrize("cut_short", [False, True])
def test_a_search_that_is_cut_short_claims_no_more_than_it_tried(cut_short, monkeypatch):
    """The loudspeaker is newly fed by the limiter alone, and a cord from the player would do.

    It cannot once the player's jacks are gone; and where the search is cut, nobody knows.
    """
    before = PLANT.replace("  - {from: PB.T3, to: PB.B7, kind: half}\n", "  []\n")
    assert before != PLANT
    if cut_short:
        monkeypatch.setattr("slinediag.tracing.outage.search.WORK", 1)
    told = compare(plant(before, HEAD), OLD, failed=["LIM"])
    (change,) = (o for o in told.outages or () if str(o.input) == "MON.I:in")
    assert change.change == "silent now"
    lines = "\n".join(comparison_lines(told))
    words = "no patch was found, but not all were tried"
    if cut_short:
        assert change.reason == "no 2 moves found that restore it, but not all were tried"
        assert f"MON I now falls silent when the Limiter fails; {words}" in lines
    else:
        assert change.reason is None
        assert words not in lines


def test_an_outage_of_a_renamed_box_is_compared_with_its_own():
    new = plant(PLANT.replace("LIM", "LM2"), HEAD)
    assert compare(OLD, new, failed=["LM2"]).outages == ()
    assert compare(OLD, new, outages=True).outages == ()


def test_the_proposed_row_follows_the_last_letter():
    told = compare(OLD, edited("level: -10", "level: -8"))
    assert told.row is not None
    assert (told.row.revision, told.row.what) == ("D", "MON.I (MON I): level: -10 to -8")


def test_a_revision_with_its_row_is_offered_none():
    head = HEAD.replace("revision: C", "revision: D, revisions: [{revision: D, what: done}]")
    assert compare(OLD, edited("level: -10", "level: -8", head)).row is None


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(facilities(), facilities())
def test_any_revision_with_its_changes_is_any_other(old, new):
    told = compare(old, new)
    assert told.new_facts() == facts_of(new)
    assert comparison_lines(told)
    assert compare(old, reordered(old, random.Random(3))).changes == ()


def test_every_failure_costs_what_a_survey_says():
    """The survey looks for the best patch; here it is enough that there is one."""
    new = slinediag.load(SAMPLES / "larkfen.yaml")
    bay = new.bays["LA"]
    points = {
        **bay.points,
        7: replace(bay.points[7], top=None),
        1: replace(bay.points[1], top=None),
    }
    new = replace(new, bays={**new.bays, "LA": replace(bay, points=points)})
    told = compare(LARKFEN, new, outages=True).outages
    before, after = surveyed(LARKFEN), surveyed(new)
    expected = []
    for failed, now in after.items():
        was = before[failed]
        for port in {*was, *now}:
            if port not in was or port not in now:
                expected.append((failed, port, "silent now" if port in now else "no longer silent"))
            elif was[port] != now[port]:
                word = "gains a way round" if now[port] else "loses its way round"
                expected.append((failed, port, word))
    assert expected
    assert {(o.failed, o.input, o.change) for o in told} == set(expected)


def surveyed(facility):
    """By failure and silenced input, whether a patch restores it."""
    words = {"boxes": "", "bays": "bay ", "cables": "cable "}
    return {
        "".join(
            word + name for kind, word in words.items() for name in getattr(row.failure, kind)
        ): {fallen.input: fallen.remedy is not None for fallen in row.silenced}
        for row in survey(facility).rows
    }


def test_progress_is_told_of_every_failure():
    told = []
    new = edited("bottom: [XMIT.L, XMIT.R]", "bottom: [~, XMIT.R]")
    compare(OLD, new, outages=True, tell=lambda share, _: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1
    assert len(told) > 4 + 2
