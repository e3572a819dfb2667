"""Changing one item changes that item's lines and no others: comments, order and spelling stay."""

from __future__ import annotations

import datetime
import difflib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.address import Jack, PortAddress
from slinediag.file.read import load, parse
from slinediag.file.write import new_file, render
from slinediag.model.bay import Bay, BayPoint, Wire
from slinediag.model.equipment import Equipment, Port, PortKeys
from slinediag.model.facility import Cable, Cord, Facility, Plug, Practice, Rack
from slinediag.problems import FileErrors, WriteError

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))
PLANT = """\
# The plant of a small station.
slinediag: 1

facility:   # drawing data
  name:   "Plant"   # as painted on the door
  shields: bay

equipment:
  PLY: {name: Player,   label: 'DISC', outputs: [L, R]}   # left rack
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  # the desk
  DESK:
    name: Desk   # eight channels
    inputs:
      M1: {level: -50, phantom: gives}   # studio
      "1": {}
      "2": {}
    outputs: [PL, PR]
    paths:
      PL: [M1, "1"]
      PR: [M1, "2"]

bays:
  PB1:
    name: Sources
    positions: 012
    points:
      1-2: {top: [PLY.L, PLY.R], bottom: [DESK.1, DESK.2]}   # players
      # the limiter
      4: {top: LIM.L, normal: full}
      5-7: {normal: none, label_top: [A, ~, C]}
      9:
        top:
          to: LIM.R:out
          swapped: true   # on purpose

cords:
- {from: PB1.T1, to: PB1.B9, note: first}   # since spring
- from: PB1.T2
  to: PB1.T9
# the end
"""
DOCUMENT = parse(PLANT.encode(), "plant.yaml")
FACILITY = DOCUMENT.facility


def changed(facility: Facility) -> list[str]:
    """The lines that go and come."""
    after = render(DOCUMENT, facility).decode()
    assert parse(after.encode(), "again.yaml").facility == facility
    lines = difflib.ndiff(PLANT.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "-+"]


def box(name: str, change: Callable[[Equipment], Equipment]) -> Facility:
    return replace(
        FACILITY, equipment={**FACILITY.equipment, name: change(FACILITY.equipment[name])}
    )


def point(position: int, **keys: object) -> Facility:
    bay = FACILITY.bays["PB1"]
    points = {**bay.points, position: replace(bay.point(position), **keys)}  # type: ignore[arg-type]
    points = {n: p for n, p in points.items() if p != BayPoint()}
    return replace(FACILITY, bays={"PB1": replace(bay, points=points)})


def test_what_is_not_changed_is_given_back() -> None:
    assert render(DOCUMENT, FACILITY) == PLANT.encode()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_samples_that_are_not_changed_are_given_back(path: Path) -> None:
    if path.stem == "broken":
        with pytest.raises(FileErrors):
            load(path)
        return
    document = load(path)
    assert render(document, document.facility) == path.read_bytes()
    assert parse(new_file(document.facility), "new.yaml").facility == document.facility


def test_a_text_changes_in_its_place_and_its_comment_stays() -> None:
    practice = replace(FACILITY.practice, name="Plant: new")
    assert changed(replace(FACILITY, practice=practice)) == [
        '-   name:   "Plant"   # as painted on the door',
        '+   name:   "Plant: new"   # as painted on the door',
    ]


def test_a_key_in_braces_changes_alone() -> None:
    assert changed(box("PLY", lambda e: replace(e, label="CD", place="Rack 3, U12"))) == [
        "-   PLY: {name: Player,   label: 'DISC', outputs: [L, R]}   # left rack",
        '+   PLY: {name: Player,   label: CD, outputs: [L, R], place: "Rack 3, U12"}   # left rack',
    ]
    assert changed(box("PLY", lambda e: replace(e, label=None))) == [
        "-   PLY: {name: Player,   label: 'DISC', outputs: [L, R]}   # left rack",
        "+   PLY: {name: Player,   outputs: [L, R]}   # left rack",
    ]


def test_a_key_on_a_line_of_its_own_comes_last_and_goes_alone() -> None:
    assert changed(box("DESK", lambda e: replace(e, note="rebuilt"))) == ["+     note: rebuilt"]
    assert changed(box("DESK", lambda e: replace(e, paths=None))) == [
        "-     paths:",
        '-       PL: [M1, "1"]',
        '-       PR: [M1, "2"]',
    ]


def test_a_port_changes_alone() -> None:
    def lower(desk: Equipment) -> Equipment:
        first = replace(desk.inputs[0], keys=replace(desk.inputs[0].keys, level=-60.0))
        return replace(desk, inputs=(first, *desk.inputs[1:]))

    assert changed(box("DESK", lower)) == [
        "-       M1: {level: -50, phantom: gives}   # studio",
        "+       M1: {level: -60, phantom: gives}   # studio",
    ]


def test_a_port_is_put_in_where_it_stands_in_the_order() -> None:
    def longer(desk: Equipment) -> Equipment:
        more = Port("M2", "in", PortKeys(level=-50.0))
        return replace(desk, inputs=(desk.inputs[0], more, *desk.inputs[1:]))

    assert changed(box("DESK", longer)) == ["+       M2: {level: -50}"]


def test_one_position_of_a_run_changes_the_line_of_the_run() -> None:
    assert changed(point(2, top=None)) == [
        "-       1-2: {top: [PLY.L, PLY.R], bottom: [DESK.1, DESK.2]}   # players",
        "+       1-2: {top: [PLY.L, ~], bottom: [DESK.1, DESK.2]}   # players",
    ]
    assert changed(point(6, label_top="B", normal=None)) == [
        "-       5-7: {normal: none, label_top: [A, ~, C]}",
        "+       5-7: {normal: [none, ~, none], label_top: [A, B, C]}",
    ]


def test_a_new_position_stands_in_numeric_order() -> None:
    assert changed(point(3, note="spare")) == ["+       3: {note: spare}"]
    assert changed(point(8, top=Wire(PortAddress("DESK", "PL", "out")))) == [
        "+       8: {top: DESK.PL}"
    ]
    after = render(DOCUMENT, point(3, note="spare")).decode().splitlines()
    assert after.index("      3: {note: spare}") == PLANT.splitlines().index("      # the limiter")


def test_a_position_goes_with_its_own_lines() -> None:
    assert changed(point(4, top=None, normal=None)) == ["-       4: {top: LIM.L, normal: full}"]


def test_a_wire_written_key_by_key_changes_key_by_key() -> None:
    wire = FACILITY.bays["PB1"].points[9].top
    assert wire is not None
    assert changed(point(9, top=replace(wire, swapped=False, cable="S1/2"))) == [
        "-           swapped: true   # on purpose",
        "+           cable: S1/2",
    ]


def test_items_of_lists_come_last_and_go_with_their_lines() -> None:
    cord = Cord(Jack("PB1", "T", 5), Jack("PB1", "B", 6), since=datetime.date(2026, 3, 1))
    assert changed(replace(FACILITY, cords=(*FACILITY.cords, cord))) == [
        "+ - {from: PB1.T5, to: PB1.B6, since: 2026-03-01}"
    ]
    assert changed(replace(FACILITY, cords=FACILITY.cords[1:])) == [
        "- - {from: PB1.T1, to: PB1.B9, note: first}   # since spring"
    ]
    assert changed(replace(FACILITY, cords=FACILITY.cords[:1])) == [
        "- - from: PB1.T2",
        "-   to: PB1.T9",
    ]


def test_a_new_section_is_put_at_the_end() -> None:
    plugs = (Plug(Jack("PB1", "T", 12)), Plug(Jack("PB1", "B", 12), note="held"))
    assert changed(replace(FACILITY, plugs=plugs)) == [
        "+ ",
        "+ plugs:",
        "+   - PB1.T12",
        "+   - {jack: PB1.B12, note: held}",
    ]
    assert changed(replace(FACILITY, cables={"S1": Cable("S1", length=12.5)})) == [
        "+ ",
        "+ cables:",
        "+   S1: {length: 12.5}",
    ]


def test_a_new_id_changes_the_key_alone() -> None:
    boxes = {("CONSOLE" if n == "DESK" else n): b for n, b in FACILITY.equipment.items()}
    boxes["CONSOLE"] = replace(boxes["CONSOLE"], id="CONSOLE")
    bay = FACILITY.bays["PB1"]
    one, two = (
        replace(bay.points[n], bottom=Wire(PortAddress("CONSOLE", str(n), "in"))) for n in (1, 2)
    )
    bays = {"PB1": replace(bay, points={**bay.points, 1: one, 2: two})}
    assert changed(replace(FACILITY, equipment=boxes, bays=bays)) == [
        "-   DESK:",
        "+   CONSOLE:",
        "-       1-2: {top: [PLY.L, PLY.R], bottom: [DESK.1, DESK.2]}   # players",
        "+       1-2: {top: [PLY.L, PLY.R], bottom: [CONSOLE.1, CONSOLE.2]}   # players",
    ]


def test_an_address_gets_a_suffix_where_its_id_becomes_both() -> None:
    wired = point(10, bottom=Wire(PortAddress("DESK", "PL", "out")))
    document = parse(render(DOCUMENT, wired), "wired.yaml")
    desk = wired.equipment["DESK"]
    both = replace(desk, inputs=(*desk.inputs, Port("PL", "in")))
    after = render(document, replace(wired, equipment={**wired.equipment, "DESK": both})).decode()
    assert "        bottom: DESK.PL:out\n" in after
    assert "        bottom: DESK.PL\n" in document.source.text


def test_line_ends_and_the_byte_order_mark_stay() -> None:
    data = b"\xef\xbb\xbf" + PLANT.replace("\n", "\r\n").encode()
    document = parse(data, "plant.yaml")
    assert render(document, document.facility) == data
    after = render(document, point(3, note="spare"))
    assert after == data.replace(
        b"      # the limiter", b"      3: {note: spare}\r\n      # the limiter"
    )


def test_a_last_line_without_an_end_is_parted_from_what_follows() -> None:
    document = parse(b"slinediag: 1\nfacility: {name: A}", "plant.yaml")
    boxed = replace(document.facility, equipment={"X": Equipment("X", "Box")})
    assert render(document, boxed) == (
        b"slinediag: 1\nfacility: {name: A}\nequipment:\n  X: {name: Box}\n"
    )


def test_lists_in_brackets_over_several_lines_keep_their_lines() -> None:
    text = (
        "slinediag: 1\nfacility: {name: A}\nequipment: {\n"
        "  A: {name: A},   # first\n  B: {name: B},   # second\n  C: {name: C}   # third\n}\n"
    )
    document = parse(text.encode(), "plant.yaml")
    boxes = document.facility.equipment
    without = replace(document.facility, equipment={n: boxes[n] for n in "AC"})
    assert render(document, without).decode() == text.replace("  B: {name: B},   # second\n", "")
    more = replace(document.facility, equipment={**boxes, "D": Equipment("D", "D")})
    assert render(document, more).decode() == text.replace(
        "  C: {name: C}   # third\n", "  C: {name: C},   # third\n  D: {name: D},\n"
    )


def test_an_anchor_that_changes_does_not_change_its_aliases() -> None:
    text = (
        "slinediag: 1\nfacility: {name: A}\nequipment:\n"
        "  A: {name: A, defaults: &low {level: -10}}\n  B: {name: B, defaults: *low}\n  C: {name: C}\n"
    )
    document = parse(text.encode(), "plant.yaml")
    boxes = document.facility.equipment
    loud = replace(boxes["A"], defaults=PortKeys(level=4.0))
    after = render(document, replace(document.facility, equipment={**boxes, "A": loud})).decode()
    assert after == text.replace("-10", "4", 1).replace("*low", "{level: -10}")
    alone = {"B": boxes["B"], "C": boxes["C"]}
    after = render(document, replace(document.facility, equipment=alone)).decode()
    assert after.endswith("equipment:\n  B: {name: B, defaults: {level: -10}}\n  C: {name: C}\n")


def test_an_alias_that_changes_is_written_out() -> None:
    text = "slinediag: 1\nfacility: {name: &n A, owner: *n, drawing: *n}\n"
    document = parse(text.encode(), "plant.yaml")
    practice = replace(document.facility.practice, owner="B")
    after = render(document, replace(document.facility, practice=practice)).decode()
    assert after == text.replace("owner: *n", "owner: B")


def edited(text: str, **sections: object) -> str:
    """A file with other sections, by hand."""
    document = parse(text.encode(), "plant.yaml")
    facility = replace(document.facility, **sections)  # type: ignore[arg-type]
    after = render(document, facility)
    assert parse(after, "again.yaml").facility == facility
    return after.decode()


HEAD = "slinediag: 1\nfacility: {name: A}\n"
RACKS = {"R1": Rack("R1", room="B"), "R2": Rack("R2")}
CORD = Cord(Jack("PB", "T", 1), Jack("PB", "T", 2))
BAY = "bays: {PB: {name: Bay}}\n"


@pytest.mark.parametrize("nothing", ["", " ~", " {}", "  # none yet"])
def test_a_section_that_says_nothing_is_filled(nothing: str) -> None:
    after = edited(f"{HEAD}racks:{nothing}\nplugs: []\n", racks=RACKS)
    assert after.startswith(HEAD + "racks:")
    assert after.endswith("}\nplugs: []\n" if nothing in (" ~", " {}") else "  R2: {}\nplugs: []\n")
    after = edited(f"{HEAD}{BAY}cords:{nothing.replace('{}', '[]')}\n", cords=(CORD,))
    assert "{from: PB.T1, to: PB.T2}" in after


def test_two_equal_items_are_both_put_in() -> None:
    practice = Practice("A", notes=("x", "y", "y"))
    text = "slinediag: 1\nfacility: {name: A, notes: [x]}\n"
    assert edited(text, practice=practice) == text.replace("[x]", "[x, y, y]")


def test_a_file_in_braces_throughout() -> None:
    text = '{"slinediag": 1, "facility": {"name": "A"}, "racks": {"R1": {"room": "B"}}}'
    assert edited(text, racks=RACKS) == text.replace('"B"}', '"B"}, R2: {}')
    assert edited(text, racks={}) == '{"slinediag": 1, "facility": {"name": "A"}}'
    assert edited("{slinediag: 1, racks, facility: {name: A}}", racks=RACKS) == (
        "{slinediag: 1, racks: {R1: {room: B}, R2: {}}, facility: {name: A}}"
    )


def test_a_value_of_another_form_takes_the_place_of_the_old_one() -> None:
    text = f"{HEAD}equipment:\n  E:\n    name: E\n    paths:\n      O: [I]\n    outputs:\n    - O\n    inputs: [I]\n"
    box = Equipment("E", "E", None, None, (Port("O", "out"),), (Port("I", "in"),), "all")
    assert edited(text, equipment={"E": box}) == text.replace("paths:\n      O: [I]", "paths: all")
    commented = text.replace("paths:", "paths:   # inside")
    assert edited(commented, equipment={"E": box}) == commented.replace("O: [I]", "all")
    loud = replace(box, outputs=(Port("O", "out", PortKeys(level=4.0)),), paths=(("O", ("I",)),))
    assert edited(text, equipment={"E": loud}) == text.replace("    - O", "      O: {level: 4}")
    back = text.replace("    - O", "      O: {level: 4}").replace(
        "paths:\n      O: [I]", "paths: all"
    )
    assert edited(back, equipment={"E": replace(box, paths=(("O", ("I",)),))}) == back.replace(
        "paths: all", "paths: {O: [I]}"
    ).replace("O: {level: 4}", "O: {}")


def test_ports_in_another_order_are_written_anew() -> None:
    text = f"{HEAD}equipment:\n  E: {{name: E, outputs: {{A: {{level: 1}}, B: {{level: 2}}}}}}\n"
    ports = (Port("B", "out", PortKeys(level=2.0)), Port("A", "out", PortKeys(level=1.0)))
    assert edited(text, equipment={"E": Equipment("E", "E", outputs=ports)}) == text.replace(
        "A: {level: 1}, B: {level: 2}", "B: {level: 2}, A: {level: 1}"
    )


def test_a_long_value_is_broken_into_lines() -> None:
    text = f"{HEAD}equipment:\n  E:\n    name: E\n    outputs: [O]\n    note: x\n"
    ports = tuple(Port(f"OUTPUT{n}", "out", PortKeys(level=0.0)) for n in range(9))
    after = edited(text, equipment={"E": Equipment("E", "E", outputs=ports, note="x")})
    assert after.count("\n") > text.count("\n")
    assert all(len(line) <= 100 for line in after.splitlines())


def test_keys_that_are_anchors_or_aliases_or_marked_are_kept_or_written_out() -> None:
    text = f"{HEAD}racks: {{&k R1: {{}}}}\nmults: {{*k : []}}\n"
    after = edited(text, racks={})
    assert after == f"{HEAD}mults: {{R1 : []}}\n"
    text = f"{HEAD}racks:\n  ? R1\n  : {{room: A}}\n"
    assert edited(text, racks=RACKS) == f"{HEAD}racks:\n  R1: {{room: B}}\n  R2: {{}}\n"
    assert edited(text, racks={"R2": Rack("R2")}) == f"{HEAD}racks:\n  R2: {{}}\n"


def test_texts_in_blocks() -> None:
    text = "slinediag: 1\nfacility:\n  owner: |+\n    two\n    lines\n\n  name: A\n"
    practice = Practice("A", owner="one")
    assert edited(text, practice=practice) == "slinediag: 1\nfacility:\n  owner: one\n  name: A\n"
    text = "slinediag: 1\nfacility:\n  name: A\n  owner: |+\n    two\n    lines\n\n"
    more = edited(text, practice=Practice("A", owner="two\nlines\n\n", drawing="1"))
    assert more == text + '  drawing: "1"\n'


def test_what_cannot_be_filed_is_refused_with_its_reason() -> None:
    lost = point(3, top=Wire(PortAddress("NONE", "L", "out")))
    with pytest.raises(WriteError, match="there is no equipment or bay NONE"):
        render(DOCUMENT, lost)
    with pytest.raises(
        WriteError, match=r"bays.PB1.points.3.note: the text holds the character U\+0000"
    ):
        render(DOCUMENT, point(3, note="a\0b"))
    with pytest.raises(WriteError, match=r"facility.name: the text holds the character U\+D800"):
        new_file(Facility(Practice("a\ud800b")))
    with pytest.raises(WriteError, match="is wired twice"):
        render(DOCUMENT, point(3, top=Wire(PortAddress("PLY", "L", "out"))))


def test_a_new_file_folds_runs_and_keeps_lines_short() -> None:
    ports = tuple(Port(str(n), "out") for n in range(1, 33))
    source = Equipment("SRC", "Source", outputs=ports)
    points = {n: BayPoint(Wire(PortAddress("SRC", str(n), "out"))) for n in range(1, 33)}
    bay = Bay(
        "PB1", "Bay", points={**points, 40: BayPoint(note="spare"), 41: BayPoint(note="spare")}
    )
    facility = Facility(Practice("Plant"), equipment={"SRC": source}, bays={"PB1": bay})
    text = new_file(facility).decode()
    assert all(len(line) <= 100 for line in text.splitlines())
    assert "      40-41: {note: spare}\n" in text
    assert text.count("top:") == 4
    assert parse(text.encode(), "new.yaml").facility == facility


def test_long_texts_of_a_list_stand_below_each_other() -> None:
    long = "A note that is long enough to want a line of its own in the file."
    text = new_file(Facility(Practice("Plant", notes=(long, long, "Second: short.")))).decode()
    assert text.endswith(f'  notes:\n    - {long}\n    - {long}\n    - "Second: short."\n')
