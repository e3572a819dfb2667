"""The window: a facility in the middle, panels at its side, commands and keys."""

# ruff: noqa: N802 (event handlers bear Qt's names)

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QCloseEvent, QKeyEvent, QKeySequence, QShowEvent
from PySide6.QtWidgets import (
    QDockWidget,
    QFileDialog,
    QLabel,
    QMainWindow,
    QMenu,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.besides import Besides
from slinediag.editor.commands import make_bar, make_commands, make_help
from slinediag.editor.draughting import Draughting
from slinediag.editor.files.desk import Desk
from slinediag.editor.files.leaving import may_leave
from slinediag.editor.files.progress import Progress
from slinediag.editor.find_field import FindField
from slinediag.editor.findings_panel import FindingsPanel
from slinediag.editor.middle import Middle
from slinediag.editor.notice import Notice
from slinediag.editor.outage_panel import OutagePanel
from slinediag.editor.selected_panel import SelectedPanel
from slinediag.editor.trial_panel import TrialPanel
from slinediag.editor.workplace import Workplace

FILES = "Facility files (*.yaml *.yml)"
SIDE = 340
"""Pixels: how wide the panels are at first."""
TWICE_WITHIN = 700
"""Milliseconds between two presses of Esc that clear the trial."""


class Window(QMainWindow):
    """One facility in one window.

    Other parts add to it by :meth:`add_panel`, :meth:`add_action` and :attr:`menus`.
    """

    def __init__(self, workplace: Workplace) -> None:
        super().__init__()
        self.workplace = workplace
        workplace.setParent(self)
        self.menus: dict[str, QMenu] = {}
        self.panels: dict[str, QDockWidget] = {}
        self.draughting = Draughting(workplace, self)
        self.middle = Middle(workplace, self.draughting)
        self.canvas, self.bays = self.middle.chart, self.middle.bays
        self.sheets, self.lists = self.middle.sheets, self.middle.lists
        self.files = Desk(workplace, self.save, self.ask_and_save, self)
        self.setCentralWidget(self.files.above(self.middle))
        self.find_field = FindField(workplace)
        self.trial = TrialPanel(workplace)
        self.selected = SelectedPanel(workplace)
        self.besides = Besides(workplace, self.menus, self)
        self._escaped = QTimer(self, singleShot=True, interval=TWICE_WITHIN)
        self._make_notices()
        self.commands = make_commands(self)
        self.bar = make_bar(self, self.commands)
        right = Qt.DockWidgetArea.RightDockWidgetArea
        self.add_panel("Trial", self.trial, right)
        self.add_panel("Selected", self.selected, right)
        self.outage = OutagePanel(workplace)
        self.findings = FindingsPanel(workplace)
        for name, panel in (("Outage", self.outage), ("Findings", self.findings)):
            self.tabifyDockWidget(self.panels["Selected"], self.add_panel(name, panel, right))
        self.panels["Selected"].raise_()
        self._listen()
        self.resize(1280, 720)
        docks = [self.panels["Trial"], self.panels["Selected"]]
        self.resizeDocks(docks, [SIDE, SIDE], Qt.Orientation.Horizontal)
        self._restore()
        make_help(self)
        self.draughting.draw(workplace.facility)
        self._name_window()
        self.files.arrive()
        self.files.put_back_by(self.middle.where_one_was(self))

    # ---- seams

    def add_panel(self, name: str, widget: QWidget, area: Qt.DockWidgetArea) -> QDockWidget:
        """A panel at a side of the window, with its switch in the View menu."""
        dock = QDockWidget(name, self)
        dock.setObjectName(f"panel {name}")
        dock.setAccessibleName(name)
        dock.setWidget(widget)
        dock.setFeatures(QDockWidget.DockWidgetFeature.DockWidgetMovable)
        self.addDockWidget(area, dock)
        self.panels[name] = dock
        self.menus["View"].addAction(dock.toggleViewAction())
        return dock

    def add_action(
        self,
        menu: str,
        words: str,
        do: object,
        keys: str | QKeySequence.StandardKey | None = None,
        icon: str | None = None,
    ) -> QAction:
        """A command in a menu, made where there is none of that name, with its keys and symbol."""
        if menu not in self.menus:
            self.menus[menu] = self.menuBar().addMenu(f"&{menu}")
        action = QAction(words, self)
        if keys is not None:
            action.setShortcut(QKeySequence(keys))
        if icon is not None:
            action.setIcon(looks.icon(icon))
            action.setData(icon)
        action.triggered.connect(do)
        self.menus[menu].addAction(action)
        return action

    # ---- making

    def _make_notices(self) -> None:
        self.notice = Notice()
        self.busy = QLabel()
        self.busy.setProperty("quiet", True)
        self.statusBar().addWidget(self.notice, 1)
        self.statusBar().addPermanentWidget(self.busy)
        self.progress = Progress(self.draughting)
        self.statusBar().addPermanentWidget(self.progress)

    def _listen(self) -> None:
        workplace = self.workplace
        workplace.history_changed.connect(self._name_window)
        workplace.refused.connect(self.notice.refuse)
        self.files.told.connect(self.notice.tell)
        self.files.open_wanted.connect(self.open)
        self.progress.told.connect(self.notice.tell)
        self.draughting.doing.connect(self.busy.setText)
        self.draughting.failed.connect(self.notice.warn)
        self.besides.told.connect(self.notice.tell)
        self.besides.failed.connect(self.notice.warn)
        self._was_at_rest: bool | None = None
        workplace.trial_changed.connect(lambda _: self._share_side())
        self.selected.on_face.connect(self.middle.show_on_bays)
        self.middle.currentChanged.connect(self._tick_view)

    # ---- how it stands

    def _share_side(self) -> None:
        """What a trial does matters more than what is selected; at rest it is the other way."""
        at_rest = self.workplace.at_rest
        if at_rest == self._was_at_rest:
            return
        self._was_at_rest = at_rest
        docks = [self.panels["Trial"], self.panels["Selected"]]
        height = self.middle.height()
        title = docks[0].height() - self.trial.height()
        trial = self.trial.height_at_rest() + title if at_rest else height * 3 // 5
        self.resizeDocks(docks, [trial, height - trial], Qt.Orientation.Vertical)

    def _tick_view(self, number: int) -> None:
        """Tick the command of what is in the middle."""
        commands = self.commands
        (commands.chart, commands.bays, commands.sheets, commands.lists)[number].setChecked(True)

    def _name_window(self) -> None:
        history = self.workplace.history
        self.setWindowTitle(f"{Path(self.workplace.name).name}[*] – slinediag")
        self.setWindowModified(history.unsaved)
        self.commands.undo.setEnabled(history.undoes is not None)
        self.commands.redo.setEnabled(history.redoes is not None)
        self.commands.undo.setText(f"&Undo {history.undoes or ''}".strip())
        self.commands.redo.setText(f"&Redo {history.redoes or ''}".strip())

    def tell_words(self, words: str) -> None:
        """Say in the window what went wrong."""
        self.notice.warn(words)

    def introduce_if_new(self) -> None:
        """Show the introduction to one who has not seen it."""
        self.besides.introduce_if_new()

    # ---- files

    def ask_and_open(self) -> None:
        """Ask for another file and open it in the place of this one."""
        path, _ = QFileDialog.getOpenFileName(self, "Open a facility", self.workplace.name, FILES)
        if path:
            self.open(path)

    def open(self, path: str) -> None:
        """Open a file in the place of this one, once this one may be left."""
        if self.may_leave():
            self.files.open(path)

    def save(self) -> bool:
        """Save the file; False where that fails. What was told before no longer holds."""
        self.notice.clear()
        return self.workplace.save()

    def ask_and_save(self) -> bool:
        """Ask for a name and save the file under it; False where that fails or nobody says."""
        path, _ = QFileDialog.getSaveFileName(self, "Save as", self.workplace.name, FILES)
        return bool(path) and self.workplace.save(path)

    def may_leave(self) -> bool:
        """Whether this facility may be left: it is saved, or its changes are not wanted."""
        return may_leave(self, self.workplace, self.lists.waiting, self.save)

    # ---- keys and state

    def to_find(self) -> None:
        """Put the keys to the field that finds things."""
        self.find_field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.find_field.selectAll()

    def to_entry(self) -> None:
        """Put the keys to where a cord is typed."""
        self.panels["Trial"].show()
        self.trial.entry.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.trial.entry.selectAll()

    def to_outage(self) -> None:
        """Put the keys to where it is said what has failed."""
        self.panels["Outage"].show()
        self.panels["Outage"].raise_()
        self.outage.chooser.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc lets go of the selection; a second Esc soon after clears the trial."""
        if event.key() != Qt.Key.Key_Escape:
            super().keyPressEvent(event)
        elif self._escaped.isActive():
            self._escaped.stop()
            self.workplace.clear_trial()
        else:
            self._escaped.start()
            self.workplace.select(None)

    def changeEvent(self, event: QEvent) -> None:
        """Symbols follow the palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            for menu in self.menus.values():
                for action in menu.actions():
                    if action.data():
                        action.setIcon(looks.icon(action.data()))

    def showEvent(self, event: QShowEvent) -> None:
        """The side is shared out once there is a side."""
        super().showEvent(event)
        QTimer.singleShot(0, self, self._share_side)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Ask about unsaved changes, and keep how the window stands."""
        if not self.may_leave():
            event.ignore()
            return
        settings = QSettings()
        settings.setValue("window", self.saveGeometry())
        settings.setValue("panels", self.saveState())
        self.lists.keep()
        for room in self.findChildren(Backroom):
            room.stop()
        self.files.leave()
        super().closeEvent(event)

    def _restore(self) -> None:
        settings = QSettings()
        window, panels = settings.value("window"), settings.value("panels")
        if window is not None:
            self.restoreGeometry(window)
        if panels is not None:
            self.restoreState(panels)
