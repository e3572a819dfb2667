"""A comparison in words: runs drawn together, every way that hearing changes, the next revision."""

from __future__ import annotations

import subprocess

import pytest

from slinediag.comparing.compare import compare
from slinediag.comparing.git import read_revision
from slinediag.comparing.report import comparison_lines, runs
from slinediag.comparing.revision import next_revision
from slinediag.problems import RequestError
from tests.builders import plant

PLANT = """\
equipment:
  A: {name: Player, outputs: [O]}
  B: {name: Tuner, outputs: [O]}
  D: {name: Desk, inputs: [I], outputs: [O], paths: straight}
  M: {name: Monitor, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 6
    points:
      1: {top: A.O, bottom: D.I}
      2: {top: D.O, bottom: M.I}
      3: {top: B.O}
"""
OLD = plant(PLANT)


def lines(new, old=OLD):
    return comparison_lines(compare(old, plant(new)))


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (("top: A.O", "top: B.O"), ["D I and M I no longer hear A O and now hear B O"]),
        (("bottom: D.I}", "bottom: D.I, normal: none}"), ["D I and M I fall SILENT: they heard A O"]),
        (("inputs: [I]}\nbays", "inputs: [I, J]}\nbays"), ["M J is new and hears nothing"]),
        (("outputs: [O]}\n  B", "outputs: {O: {level: 0}}}\n  B"), ["D I comes in at -0.04 dBu, was 3.96"]),
    ],
)  # fmt: skip
def test_what_inputs_hear_is_said(edit, said):
    new = PLANT.replace(*edit)
    if edit[1] == "top: B.O":
        new = new.replace("3: {top: B.O}", "3: {top: A.O}")
    told = lines(new)
    assert told[told.index("HEARING:") + 1 :][: len(said)] == [f"  {line}" for line in said]


def test_two_outputs_on_one_line_are_told():
    mult = "mults: {M1: [PB.T1, PB.T3]}\n"
    assert "  D I is DOUBLED: A O and B O are tied together" in lines(PLANT + mult)


def test_an_input_that_was_silent_and_one_that_is_gone():
    without = PLANT.replace("  M: {name: Monitor, inputs: [I]}\n", "").replace(", bottom: M.I", "")
    assert "  M I is gone" in lines(without)
    assert "  M I is new and hears A O" in lines(PLANT, plant(without))


def test_the_same_by_another_way_is_told():
    through = PLANT.replace(
        "  M: {name",
        "  E: {name: Equaliser, inputs: [I], outputs: [O], paths: straight}\n  M: {name",
    ).replace(
        "1: {top: A.O, bottom: D.I}", "1: {top: A.O, bottom: E.I}\n      4: {top: E.O, bottom: D.I}"
    )
    assert "  D I hears the same by way of E O" in lines(through)


def test_positions_that_change_alike_are_drawn_together():
    told = lines(PLANT.replace("positions: 6", "positions: 6\n    normal: full"))
    assert told[1] == "  normal at PB 1-6: half-normal to full-normal"


def test_runs_of_places():
    assert runs(["PB 1", "PB 2", "PB 3", "PB 5", "QB 6", "X"]) == ["PB 1-3", "PB 5", "QB 6", "X"]


@pytest.mark.parametrize(
    ("revision", "after"),
    # Letters without I, O, Q, S, X and Z: ASME Y14.35 (from memory).
    [(None, "A"), ("A", "B"), ("H", "J"), ("N", "P"), ("P", "R"), ("Y", "AA"), ("AY", "BA"), ("9", "10"), ("1-", "1-A")],
)  # fmt: skip
def test_the_revision_after(revision, after):
    assert next_revision(revision) == after


def test_many_changes_are_counted_in_the_proposed_row():
    told = compare(OLD, plant(PLANT.replace("positions: 6", "positions: 6\n    normal: full")))
    assert told.row is not None
    assert told.row.what == "normal: 6"


def test_without_git_the_remedy_is_said(monkeypatch):
    def missing(*_, **__):
        raise FileNotFoundError

    monkeypatch.setattr(subprocess, "run", missing)
    with pytest.raises(RequestError, match="Install git"):
        read_revision("HEAD:nowhere.yaml")


def test_many_inputs_that_hear_alike_are_counted_and_what_is_worst_comes_first():
    inputs = "".join(f"I{n}, " for n in range(30))
    head = f"equipment:\n  A: {{name: A, outputs: [O]}}\n  B: {{name: B, outputs: [O]}}\n  C: {{name: C, outputs: [O]}}\n  Z: {{name: Z, inputs: [{inputs}J, K]}}\n"
    wired = "".join(f"{n + 2}: {{bottom: Z.I{n}}}, " for n in range(30))
    mult = f"mults: {{M: [PB.T1, {', '.join(f'PB.B{n + 2}' for n in range(30))}]}}\n"
    bay = f"bays: {{PB: {{name: Bay, positions: 40, normal: none, points: {{1: {{top: A.O}}, {wired}32: {{bottom: Z.J}}, 34: {{top: C.O, bottom: Z.K, normal: half}}}}}}}}\n"
    old = plant(head + bay + mult)
    new = head + bay.replace("top: A.O", "top: B.O").replace("normal: half", "normal: full")
    new = new.replace("top: C.O, ", "") + mult
    told = comparison_lines(compare(old, plant(new)))
    hearing = told[told.index("HEARING:") + 1 :]
    assert hearing[0] == "  Z K falls SILENT: it heard C O"
    assert hearing[1].startswith("  30 inputs no longer hear A O and now hear B O: Z I0, Z I1, ")
    assert all(len(line) <= 100 for line in told)
    assert " ".join(" ".join(hearing).split()).count("Z I") == 30
