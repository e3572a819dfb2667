"""What has another name is the same thing: nothing is joined otherwise, and only its lines change."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.address import PortAddress
from slinediag.file.read import load, parse
from slinediag.file.write import new_file, render, settled
from slinediag.model.find import find_jack
from slinediag.model.renaming import (
    rename_bay,
    rename_cable,
    rename_equipment,
    rename_line,
    rename_mult,
    rename_port,
    rename_rack,
)
from slinediag.problems import RequestError
from slinediag.tracing.tracer import Tracer
from tests.builders import plant
from tests.strategies import facilities

DOCUMENT = load(Path(__file__).parents[2] / "samples" / "quillmoor.yaml")
FACILITY = DOCUMENT.facility

SMALL = """
racks:
  Rack 1: {room: R}
equipment:
  A: {name: Source, place: "Rack 1, U3", outputs: [L, R]}
  B: {name: Box, inputs: {L: {instead: [A.R]}, R: {}}, outputs: [L, R], paths: {L: [L], R: [R]}, pairs: [[L, R]]}
  C: {name: End, place: Rack 10, inputs: [L, R]}
bays:
  PB: {name: Bay, place: Rack 1, positions: 6, points: {1: {top: {to: A.L, cable: S1/1}, bottom: B.L}, 2: {bottom: {to: B.R, cable: S1/2}}, 3: {top: "B.L:out"}}}
  PC: {name: Other, positions: 6, points: {1: {bottom: C.L}}}
normals: [{from: PB.T3, to: PC.B1}]
mults: {M: [PB.T5, PC.T5]}
lines: {D: {from: B.R, to: C.R, cable: S1/3}, T: {from: PB.B6, to: PC.T6}}
cables: {S1: {pairs: 4}}
cords: [{from: PB.T2, to: PC.B2}]
plugs: [PB.T4]
"""
ACCEPT = (
    "slinediag: 1\nfacility:\n  name: Test plant\n  accept:\n"
    "    - {rule: a, where: 'PB.T1, B.L:out=A.L'}\n    - {rule: b, where: S1}\n    - {rule: c, where: PB}\n"
)


def small():
    return plant(SMALL, ACCEPT)


def accepted(facility):
    return [entry.where for entry in facility.practice.accept]


def refused(edit, *arguments):
    with pytest.raises(RequestError) as error:
        edit(*arguments)
    return str(error.value)


def hearing(facility, name):
    """Who hears what, each port under the name that another facility has for it."""
    tracer = Tracer(facility)
    return {name(p): {name(o) for o in tracer.hears(p)} for p in tracer.circuit.inputs}


def same(address):
    return address


def check(before, after, name):
    """The circuit is the same under the new name, and what is written reads back."""
    assert hearing(before, name) == hearing(after, same)
    assert settled(parse(new_file(after), "new.yaml").facility) == settled(after)


def test_equipment_is_renamed_wherever_it_is_named():
    facility = rename_equipment(small(), "A", "PLAYER")
    check(
        small(),
        facility,
        lambda p: p._replace(equipment={"A": "PLAYER"}.get(p.equipment, p.equipment)),
    )
    keys = facility.equipment["B"].inputs[0].keys
    assert keys.instead == (PortAddress("PLAYER", "R", "out"),)
    assert accepted(facility)[0] == "PB.T1, B.L:out=PLAYER.L"
    assert list(facility.equipment) == ["PLAYER", "B", "C"]
    assert rename_equipment(facility, "PLAYER", "A") == small()


def test_a_port_is_renamed_on_its_side_alone():
    port = PortAddress("B", "L", "out")
    facility = rename_port(small(), port, "LEFT")
    check(small(), facility, lambda p: p._replace(port="LEFT") if p == port else p)
    box = facility.equipment["B"]
    assert box.paths == (("LEFT", ("L",)), ("R", ("R",)))
    assert [p.id for p in box.inputs] == ["L", "R"]
    assert box.pairs == (("L", "R"),)
    assert accepted(facility)[0] == "PB.T1, B.LEFT=A.L"
    other = rename_port(small(), PortAddress("A", "R", "out"), "RIGHT")
    assert other.equipment["B"].inputs[0].keys.instead == (PortAddress("A", "RIGHT", "out"),)


def test_a_bay_is_renamed_with_all_its_jacks():
    facility = rename_bay(small(), "PB", "JF1")
    check(small(), facility, same)
    text = new_file(facility).decode()
    assert not re.search(r"\bPB\b", text)
    assert accepted(facility)[0] == "JF1.T1, B.L:out=A.L"
    assert accepted(facility)[2] == "JF1"
    assert rename_bay(facility, "JF1", "PB") == small()


def test_a_cable_is_renamed_with_its_pairs():
    facility = rename_cable(small(), "S1", "C7")
    check(small(), facility, same)
    point = facility.bays["PB"].points
    assert (point[1].top.cable, point[2].bottom.cable) == ("C7/1", "C7/2")
    assert facility.lines["D"].cable == "C7/3"
    assert accepted(facility)[1] == "C7"


def test_a_rack_is_renamed_with_what_stands_in_it():
    facility = rename_rack(small(), "Rack 1", "Rack A")
    assert facility.equipment["A"].place == "Rack A, U3"
    assert facility.bays["PB"].place == "Rack A"
    assert facility.equipment["C"].place == "Rack 10"


def test_lines_and_mults_are_renamed_in_their_place():
    facility = rename_line(rename_mult(small(), "M", "M2"), "D", "DL1")
    assert list(facility.lines) == ["DL1", "T"]
    assert facility.mults["M2"].jacks == small().mults["M"].jacks
    check(small(), facility, same)


def test_an_id_that_cannot_be_is_refused():
    facility = small()
    assert "there is a bay of this id" in refused(rename_equipment, facility, "A", "PB")
    assert "there is equipment of this id" in refused(rename_bay, facility, "PB", "C")
    assert "An id is a letter" in refused(rename_bay, facility, "PB", "1 B")
    assert "has an output of this id" in refused(
        rename_port, facility, PortAddress("A", "L", "out"), "R"
    )
    assert "letters, digits" in refused(rename_port, facility, PortAddress("A", "L", "out"), "a b")
    assert "there is a cable of this id" in refused(
        rename_cable, replace(facility, cables={}), "X", "S1"
    )
    assert "needs its name" in refused(rename_rack, facility, "Rack 1", " ")


def lines_changed(after):
    """The lines that go and those that come, in the file of the sample."""
    before = DOCUMENT.data.decode().splitlines()
    now = render(DOCUMENT, after).decode().splitlines()
    assert len(before) == len(now)
    return [(a, b) for a, b in zip(before, now, strict=True) if a != b]


def as_word(name):
    return re.compile(rf"(?<![\w-]){re.escape(name)}(?![\w-])")


@pytest.mark.parametrize(
    ("rename", "old", "new"),
    [
        (rename_equipment, "PLY1", "CD1"),
        (rename_equipment, "LIM", "LMT"),
        (rename_bay, "PB3", "JF3"),
        (rename_cable, "C6", "CX6"),
        (rename_line, next(iter(FACILITY.lines)), "LINE1"),
        (rename_mult, next(iter(FACILITY.mults)), "MX1"),
        (rename_rack, "Rack 2", "Rack B"),
    ],
)
def test_saving_a_new_name_changes_the_lines_that_name_it_and_no_others(rename, old, new):
    changed = lines_changed(rename(FACILITY, old, new))
    assert changed
    for before, after in changed:
        code, _, comment = before.partition("  #")
        assert as_word(old).search(code)
        assert as_word(new).search(after)
        assert comment in after


@given(facilities(), st.data())
def test_there_and_back_again_is_where_one_was(facility, data):
    if not facility.equipment or not facility.bays:
        return
    box = data.draw(st.sampled_from(sorted(facility.equipment)))
    assert rename_equipment(rename_equipment(facility, box, "NEWBOX"), "NEWBOX", box) == facility
    bay = data.draw(st.sampled_from(sorted(facility.bays)))
    there = rename_bay(facility, bay, "NEWBAY")
    assert rename_bay(there, "NEWBAY", bay) == facility
    for jack in list(there.jacks)[:3]:
        assert find_jack(there, str(jack)) == jack
