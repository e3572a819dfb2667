"""Which side an address takes at each place, by the format's rules of addresses."""

from __future__ import annotations

import pytest

from slinediag.file.read import parse
from slinediag.model.facility import Facility
from slinediag.problems import FileErrors

HEAD = """\
slinediag: 1
facility: {name: Plant}
equipment:
  LIM: {name: Limiter, inputs: [X, I], outputs: [X, O]}
  OUT: {name: Outputs, outputs: [O]}
  IN: {name: Inputs, inputs: {I: {instead: INSTEAD}}}
"""


def read(instead: str = "[]", rest: str = "") -> Facility:
    return parse((HEAD.replace("INSTEAD", instead) + rest).encode(), "plant.yaml").facility


def wired(row: str, written: str) -> str:
    """The port that an address at a top or bottom jack leads to."""
    facility = read(rest=f"bays: {{PB: {{name: Bay, points: {{1: {{{row}: {written}}}}}}}}}\n")
    return str(next(iter(facility.wires.values())).to)


@pytest.mark.parametrize(
    ("row", "written", "port"),
    [
        ("top", "LIM.X", "LIM.X:out"),
        ("bottom", "LIM.X", "LIM.X:in"),
        ("top", "LIM.X:in", "LIM.X:in"),
        ("bottom", "LIM.X:out", "LIM.X:out"),
        ("top", "LIM.I", "LIM.I:in"),
        ("bottom", "LIM.O", "LIM.O:out"),
        ("top", "LIM.O:out", "LIM.O:out"),
        ("bottom", "LIM.I:in", "LIM.I:in"),
    ],
)
def test_a_top_jack_takes_the_output_and_a_bottom_jack_the_input(
    row: str, written: str, port: str
) -> None:
    assert wired(row, written) == port


def test_from_takes_the_output_and_to_the_input() -> None:
    line = read(rest="lines: {A: {from: LIM.X, to: LIM.X}}\n").lines["A"]
    assert (str(line.source), str(line.target)) == ("LIM.X:out", "LIM.X:in")
    line = read(rest="lines: {A: {from: LIM.X:in, to: LIM.X:out}}\n").lines["A"]
    assert (str(line.source), str(line.target)) == ("LIM.X:in", "LIM.X:out")


def test_stand_ins_are_outputs_and_may_come_later_in_the_file() -> None:
    keys = read("[LIM.X, OUT.O, LIM.O:out]").equipment["IN"].inputs[0].keys
    assert keys.instead is not None
    assert [str(port) for port in keys.instead] == ["LIM.X:out", "OUT.O:out", "LIM.O:out"]


@pytest.mark.parametrize("written", ["LIM.I:out", "LIM.O:in", "OUT.O:in"])
def test_a_false_suffix_is_a_mistake(written: str) -> None:
    with pytest.raises(FileErrors, match=r"is not an (in|out)put of"):
        wired("top", written)


def test_sections_may_stand_in_any_order() -> None:
    head, equipment = HEAD.replace("INSTEAD", "[OUT.O]").split("equipment:\n")
    bays = "bays: {PB: {name: Bay, points: {1: {top: OUT.O}}}}\n"
    plugs = "plugs: [PB.T1]\n"
    forward = parse(f"{head}equipment:\n{equipment}{bays}{plugs}".encode(), "a").facility
    backward = parse(f"{plugs}{bays}equipment:\n{equipment}{head}".encode(), "b").facility
    assert forward == backward


def test_wires_of_removed_equipment_are_kept() -> None:
    rest = "bays: {PB: {name: Bay, points: {1: {top: OUT.O}}}}\n"
    text = HEAD.replace("INSTEAD", "[]").replace("outputs: [O]", "outputs: [O], state: removed")
    assert len(parse((text + rest).encode(), "plant.yaml").facility.wires) == 1
