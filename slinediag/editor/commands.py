"""The window's commands: menus with their keys and symbols, and the bar of those most used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QSizePolicy, QToolBar, QToolButton, QWidget

from slinediag.editor.guide import guide
from slinediag.editor.rearranging import make_gap, shift

if TYPE_CHECKING:
    from slinediag.editor.window import Window


@dataclass(frozen=True)
class Commands:
    """The commands that change with what the window shows and holds."""

    save: QAction
    undo: QAction
    redo: QAction
    chart: QAction
    bays: QAction
    sheets: QAction
    lists: QAction


def make_commands(window: Window) -> Commands:
    """Every menu but the last, and its commands."""
    save = _files(window)
    undo, redo = _edits(window)
    _trials(window)
    chart, bays, sheets, lists = _views(window)
    return Commands(save, undo, redo, chart, bays, sheets, lists)


def _files(window: Window) -> QAction:
    keys, add = QKeySequence.StandardKey, window.add_action
    add("File", "&New …", window.files.new, keys.New)
    add("File", "&Open …", window.ask_and_open, keys.Open, "open")
    menu = window.menus["File"]
    menu.addMenu(window.files.recent)
    save = add("File", "&Save", window.save, keys.Save, "save")
    add("File", "Save &as …", window.ask_and_save, keys.SaveAs)
    menu.addSeparator()
    add("File", "&Print and write …", window.besides.paper, keys.Print)
    menu.addSeparator()
    add("File", "&Quit", window.close, keys.Quit)
    return save


def _edits(window: Window) -> tuple[QAction, QAction]:
    """What undoes and redoes."""
    keys, add, workplace = QKeySequence.StandardKey, window.add_action, window.workplace
    undo = add("Edit", "&Undo", workplace.undo, keys.Undo, "undo")
    redo = add("Edit", "&Redo", workplace.redo, keys.Redo, "redo")
    # What is undone has a long name; the toolbar has no room for it.
    undo.setIconText("Undo")
    redo.setIconText("Redo")
    menu, besides = window.menus["Edit"], window.besides
    menu.addSeparator()
    add("Edit", "&Find", window.to_find, keys.Find)
    menu.addSeparator()
    copy = "Copy the selected &part", lambda: besides.copy_part(window.middle.shown_canvas)
    add("Edit", "&Copy the drawing", lambda: besides.copy(window.middle.shown_canvas), "Ctrl+Alt+C")
    add("Edit", *copy, "Ctrl+Alt+X")
    menu.addSeparator()
    add("Edit", "&Add equipment …", lambda: window.lists.add_box(), "Ctrl+Shift+A")
    menu.addSeparator()
    add("Edit", "Move position &left", lambda: shift(workplace, -1), "Alt+Shift+Left")
    add("Edit", "Move position &right", lambda: shift(workplace, 1), "Alt+Shift+Right")
    add("Edit", "Insert a &gap at the position", lambda: make_gap(workplace), "Alt+Shift+Insert")
    return undo, redo


def _trials(window: Window) -> None:
    add = window.add_action
    add("Trial", "&Outage …", window.to_outage, "Ctrl+E")
    add("Trial", "&Type a cord", window.to_entry, "Ctrl+K")
    add("Trial", "&Leave it in …", lambda: window.trial.leave_in(), "Ctrl+L")
    add("Trial", "&Clear all", window.workplace.clear_trial, "Ctrl+Backspace")


def _views(window: Window) -> tuple[QAction, QAction, QAction, QAction]:
    """What puts the chart, the bays, the sheets and the lists in the middle."""
    keys, add = QKeySequence.StandardKey, window.add_action
    chart = add("View", "&Chart", window.middle.see_chart, "F2", "chart")
    bays = add("View", "&Bays", window.middle.see_bays, "F3", "bay")
    sheets = add("View", "&Sheets", window.middle.see_sheets, "F4", "sheets")
    lists = add("View", "&Lists", window.middle.see_lists, "F5", "list")
    group = QActionGroup(window)
    for action in (chart, bays, sheets, lists):
        action.setCheckable(True)
        group.addAction(action)
    chart.setChecked(True)
    window.menus["View"].addSeparator()
    add("View", "&Whole sheet", lambda: window.middle.shown_canvas.fit(), "Ctrl+0", "whole")
    add("View", "Whole wi&dth", lambda: window.middle.shown_canvas.fit_width(), "Ctrl+9", "width")
    add("View", "&Nearer", lambda: window.middle.shown_canvas.zoom(1), keys.ZoomIn)
    add("View", "To the &question above", window.files.to_bar, "F6")
    add("View", "Draw &again", window.draughting.draw_again, "Ctrl+R")
    add("View", "&Farther", lambda: window.middle.shown_canvas.zoom(-1), keys.ZoomOut)
    window.menus["View"].addSeparator()
    return chart, bays, sheets, lists


def make_help(window: Window) -> None:
    """The last of the menus."""
    add = window.add_action
    add("Help", "&Help", lambda: window.besides.help(), QKeySequence.StandardKey.HelpContents)
    add("Help", "&Keys", lambda: window.besides.help(guide.KEYS), "Shift+F1")
    add("Help", "&Introduction", window.besides.introduce, "Ctrl+F1")


def make_bar(window: Window, commands: Commands) -> QToolBar:
    """The bar of the commands most used, with the field to find things."""
    bar = QToolBar("Commands")
    bar.setObjectName("commands")
    bar.setMovable(False)
    bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    for action in (commands.save, commands.undo, commands.redo):
        bar.addAction(action)
    bar.addSeparator()
    for action in window.menus["View"].actions():
        if action.data():
            bar.addAction(action)
    space = QWidget()
    space.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    bar.addWidget(space)
    bar.addWidget(window.find_field)
    window.addToolBar(bar)
    # Qt leaves a bar's buttons out of the keyboard's reach.
    for action in bar.actions():
        button = bar.widgetForAction(action)
        if isinstance(button, QToolButton):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setAccessibleName(action.text().replace("&", ""))
    return bar
