"""Many cells put in at once: what fits together goes in, whatever order it is given in."""

from __future__ import annotations

import pytest

from slinediag.address import Jack
from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.listing import Listing
from slinediag.editor.lists.plugs import Cords
from slinediag.editor.lists.positions import Positions
from slinediag.editor.lists.trying import Cell, NewRow, put_cells
from slinediag.model.edits import Position
from slinediag.problems import RequestError
from tests.builders import plant

PORTS = [f"S.{n}" for n in range(1, 9)]
PLANT = f"""
equipment:
  S: {{name: Source, outputs: [{", ".join(str(n) for n in range(1, 11))}]}}
bays:
  PB:
    name: Bay
    positions: 12
    points:
      1-8: {{top: [{", ".join(PORTS)}]}}
cords:
  - {{from: PB.T1, to: PB.T2}}
"""


def tops(facility):
    points = facility.bays["PB"].points
    return [points[n].top.to.port if n in points and points[n].top else "" for n in range(1, 11)]


def put(facility, listing, cells):
    return put_cells(Judge(facility), listing, facility, cells)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("with_mistake", [False, True])
@pytest.mark.parametrize("by", [1, -1])
def test_a_column_is_moved_by_a_row_in_either_direction(by, with_mistake, backwards):
    texts = dict.fromkeys(range(1, 11), "")
    texts |= {n + by: f"S.{n}" for n in range(2, 9)}
    cells = {Cell(Position("PB", n), "Top"): text for n, text in texts.items() if n > 0}
    if with_mistake:
        cells[Cell(Position("PB", 11), "Top")] = "S.5"
        cells[Cell(Position("PB", 12), "Normal")] = "haf"
    if backwards:
        cells = dict(reversed(cells.items()))
    tried = put(plant(PLANT), Positions(), cells)
    wanted = [texts[n].removeprefix("S.") for n in range(1, 11)]
    if with_mistake and "5" not in tops(tried.facility):
        # The mistaken cell took the port first; the cell that it belongs to is told.
        assert len(tried.drafts) == 2
        return
    assert tops(tried.facility) == wanted
    assert len(tried.drafts) == 2 * with_mistake


def test_a_row_that_is_renamed_takes_the_rest_of_its_texts():
    key = Jack("PB", "T", 1)
    cells = {
        Cell(key, "From"): "PB.T5",
        Cell(key, "To"): "PB.T99",
        Cell(key, "Length"): "0.6",
        Cell(key, "Since"): "soon",
    }
    tried = put(plant(PLANT), Cords(), cells)
    (cord,) = tried.facility.cords
    assert (cord.source, cord.length) == (Jack("PB", "T", 5), 0.6)
    drafts = {tried.now(cell): draft.problem.text() for cell, draft in tried.drafts.items()}
    assert set(drafts) == {Cell(Jack("PB", "T", 5), "To"), Cell(Jack("PB", "T", 5), "Since")}
    assert "bay PB has 12 positions" in drafts[Cell(Jack("PB", "T", 5), "To")]


def test_a_new_row_goes_in_with_what_can_be_read():
    row = NewRow(1)
    texts = {"From": "PB.T5", "To": "PB.B5", "Length": "long", "Note": "why"}
    cells = {Cell(row, title): text for title, text in texts.items()}
    tried = put(plant(PLANT), Cords(), cells)
    assert tried.keys[row] == Jack("PB", "T", 5)
    assert tried.facility.cords[1].note == "why"
    assert [cell.title for cell in tried.drafts] == ["Length"]


def test_the_judge_is_left_as_it_was():
    facility = plant(PLANT)
    judge = Judge(facility)
    put_cells(judge, Positions(), facility, {Cell(Position("PB", 9), "Top"): "S.9"})
    assert judge.facility is facility
    assert judge.faults(facility) == ()


def test_a_list_must_say_what_it_holds():
    with pytest.raises(NotImplementedError):
        Listing().keys(plant(PLANT))
    with pytest.raises(RequestError):
        Positions().column("Top").put(plant(PLANT), Position("PB", 9), "S.99")
