"""The lists of the shown window, and a hand that types in them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest

from slinediag.file.read import parse
from slinediag.file.write import new_file, render

CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
ALT = Qt.KeyboardModifier.AltModifier
NONE = Qt.KeyboardModifier.NoModifier


class Typist:
    """Hands on the keys and the mouse over one list."""

    def __init__(self, window, title):
        self.window = window
        self.workplace = window.workplace
        self.page = window.lists.see(title)
        self.table = self.page.table
        self.model = self.page.model
        self.table.setFocus()

    @property
    def facility(self):
        return self.workplace.facility

    @property
    def field(self):
        return self.table.delegate.field

    @property
    def words(self):
        return self.page.words.text()

    def index(self, name, title):
        """The cell of a row by its name and a column by its title."""
        listing = self.model.listing
        titles = [column.title for column in listing.columns]
        for row in range(self.model.rowCount()):
            index = self.model.index(row, titles.index(title))
            if self.model.name(index) == f"{name}, {title}":
                return index
        raise AssertionError(f"no row {name} is shown")

    def go(self, name, title):
        """Click a cell."""
        index = self.index(name, title)
        self.table.scrollTo(index)
        at = self.table.visualRect(index).center()
        QTest.mouseClick(self.table.viewport(), Qt.MouseButton.LeftButton, NONE, at)
        return index

    def extend(self, name, title):
        """Shift-click a cell."""
        index = self.index(name, title)
        self.table.scrollTo(index)
        at = self.table.visualRect(index).center()
        QTest.mouseClick(self.table.viewport(), Qt.MouseButton.LeftButton, SHIFT, at)

    def key(self, key, held=NONE):
        QTest.keyClick(self.field or self.table, key, held)

    def type(self, text):
        """Type over the current cell, or on in the field that is open."""
        for letter in text:
            QTest.keyClicks(self.field or self.table, letter)

    def enter(self, text):
        self.type(text)
        self.key(Qt.Key.Key_Return)

    def shown(self, name, title):
        return self.model.data(self.index(name, title))

    def rows(self):
        """The names of the rows shown."""
        return [
            self.model.name(self.model.index(row, 0)).rpartition(",")[0]
            for row in range(self.model.rowCount())
        ]

    def paste(self, text):
        QGuiApplication.clipboard().setText(text)
        self.key(Qt.Key.Key_V, CTRL)

    def copied(self):
        self.key(Qt.Key.Key_C, CTRL)
        return QGuiApplication.clipboard().text()

    def undo_name(self):
        return self.workplace.history.undoes

    def check_saved(self):
        """What is written reads back as the same facility; the text written."""
        data = render(self.workplace.document, self.facility)
        assert parse(data, "again.yaml").facility == self.facility
        assert parse(new_file(self.facility), "new.yaml").facility == self.facility
        return data.decode()

    def changed_lines(self):
        """The lines that go and come when the file is saved."""
        before = self.workplace.document.data.decode().splitlines()
        after = self.check_saved().splitlines()
        gone = [line for line in before if line not in after]
        return gone, [line for line in after if line not in before]


@pytest.fixture
def lists(window, qtbot):
    """The window with its lists in the middle; a list's hand by its title."""
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    QTest.keyClick(window, Qt.Key.Key_F5)
    assert window.middle.currentWidget() is window.lists
    return lambda title: Typist(window, title)
