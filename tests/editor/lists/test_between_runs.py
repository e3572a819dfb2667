"""How the lists stand is kept between runs; closing tells of cells that cannot be as typed."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QMessageBox

from slinediag.editor.lists.kept import KEY, KeptLists, kept_lists
from slinediag.editor.lists.lists_view import ListsView
from slinediag.editor.window import Window
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load


def test_the_list_its_columns_and_its_filter_are_as_they_were(window, plant_file, qtbot):
    page = window.lists.see("Equipment")
    page.table.setColumnWidth(0, 171)
    page.filter.setText("disc")
    window.lists.keep()
    again = ListsView(Workplace(load(plant_file)))
    qtbot.addWidget(again)
    assert not again.pages
    assert again.page.listing.title == "Equipment"
    assert again.page.table.columnWidth(0) == 171
    assert again.page.filter.text() == "disc"
    qtbot.waitUntil(lambda: again.page.model.filed_rows == 2)


def test_a_filter_hides_no_rows_of_another_file(window, plant_file, qtbot):
    page = window.lists.see("Equipment")
    page.filter.setText("disc")
    window.lists.keep()
    other = plant_file.with_name("other.yaml")
    other.write_bytes(plant_file.read_bytes())
    again = ListsView(Workplace(load(other)))
    qtbot.addWidget(again)
    assert again.page.listing.title == "Equipment"
    assert again.page.filter.text() == ""


@pytest.mark.parametrize("text", ["{", "[]", '{"widths": 3}', '{"widths": {"Bays": ["a"]}}'])
def test_what_was_kept_and_cannot_be_read_is_no_matter(plant_file, text):
    QSettings().setValue(KEY, text)
    assert kept_lists(str(plant_file)) == KeptLists()


def test_closing_tells_of_cells_that_cannot_be_as_typed(window, lists, monkeypatch):
    hand = lists("Positions")
    hand.go("PB1 5", "Normal")
    hand.type("haf")
    hand.go("PB1 9", "Group")
    assert window.lists.waiting == 1
    assert not window.workplace.history.unsaved
    asked = []

    def answer(_parent, _title, words, buttons, _usual):
        asked.append((words, buttons))
        return QMessageBox.StandardButton.Cancel

    monkeypatch.setattr(QMessageBox, "warning", answer)
    assert not Window.may_leave(window)
    ((words, buttons),) = asked
    assert "1 cell of the lists" in words
    assert not buttons & QMessageBox.StandardButton.Save
    hand.go("PB1 5", "Normal")
    hand.table.give_up()
    assert Window.may_leave(window)
    assert len(asked) == 1
