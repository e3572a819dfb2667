"""The table keeps step with the facility through any edits, and keeps Qt's own rules.

The other side of the check is QAbstractItemModelTester, Qt's own examiner of models.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from PySide6.QtTest import QAbstractItemModelTester

from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.lists_view import LISTINGS
from slinediag.editor.lists.table_model import TableModel
from slinediag.editor.lists.trying import NewRow
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from tests.editor.lists.test_every_list import some_cells

SAMPLES = Path(__file__).parents[3] / "samples"
MODE = QAbstractItemModelTester.FailureReportingMode.Warning


def edit(model, dice):
    cells = some_cells(model.listing, model.facility, dice)
    key = next(iter(cells)).key
    if isinstance(key, NewRow):
        (row,) = model.new_rows(1)
        cells = {cell._replace(key=row): text for cell, text in cells.items()}
    model.put(cells, "Edit")


def remove(model, dice):
    keys = model.listing.keys(model.facility)
    if not model.listing.own_rows or not keys:
        return
    left = model.listing.remove(model.facility, [dice.choice(keys)])
    if not model.judge.faults(left):
        model.workplace.change("Remove", left)


def give_up(model, dice):
    if model.drafts:
        model.give_up([dice.choice(list(model.drafts))])


ACTS = [
    edit,
    edit,
    edit,
    remove,
    give_up,
    lambda model, _dice: model.workplace.undo(),
    lambda model, _dice: model.workplace.undo(),
    lambda model, _dice: model.workplace.redo(),
    lambda model, dice: model.order_by(dice.randrange(model.columnCount())),
    lambda model, dice: model.narrow(dice.choice(["", "", "L", "PB1", "DISC"]), ""),
]


@pytest.mark.parametrize("kind", LISTINGS, ids=lambda kind: kind.title)
def test_any_way_of_edits_is_followed(kind, qtbot, qtlog):
    workplace = Workplace(load(SAMPLES / "larkfen.yaml"))
    model = TableModel(workplace, kind(), Judge(workplace.facility))
    tester = QAbstractItemModelTester(model, MODE)
    dice = random.Random(kind.title + " follows")
    for _ in range(60):
        dice.choice(ACTS)(model, dice)
        keys = set(model.listing.keys(model.facility))
        shown = [model.key(row) for row in range(model.rowCount())]
        filed = [key for key in shown if not isinstance(key, NewRow)]
        assert len(set(shown)) == len(shown)
        assert set(filed) <= keys
        if model.listing.own_rows:
            assert isinstance(shown[-1], NewRow)
        for row in range(min(3, model.rowCount())):
            for column in range(model.columnCount()):
                model.data(model.index(row, column))
    while workplace.history.past:
        workplace.undo()
    model.narrow("", "")
    model.sorted_by = None
    model.give_up(list(model.drafts))
    model.narrow("", "")
    shown = [model.key(row) for row in range(model.rowCount())]
    assert [k for k in shown if not isinstance(k, NewRow)] == list(
        model.listing.keys(workplace.facility)
    )
    assert [record.message for record in qtlog.records if "FAIL" in record.message] == []
    assert tester.model() is model
    assert qtbot
