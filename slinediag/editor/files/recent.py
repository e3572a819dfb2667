"""The files that were open last; one that is gone is marked, and stays until it is taken out."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Sequence

from PySide6.QtCore import QSettings, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from slinediag.problems import Problem, problem

MOST = 12
KEY = "recent files"
GONE = "not there"
NOTHING = "No file was open yet"


def recent() -> list[str]:
    """The paths, the last first."""
    found = QSettings().value(KEY)
    paths = [found] if isinstance(found, str) else list(found or ())
    return [str(path) for path in paths][:MOST]


def note(path: str) -> None:
    """This file is open now."""
    real = os.path.abspath(path)
    rest = [known for known in recent() if known != real]
    QSettings().setValue(KEY, [real, *rest][:MOST])


def forget(paths: Sequence[str]) -> None:
    """Take these out."""
    QSettings().setValue(KEY, [known for known in recent() if known not in set(paths)])


class RecentMenu(QMenu):
    """The files as a menu, each with its folder; looked for away from the event loop.

    A drive that does not answer would hold up the window otherwise.
    """

    chosen = Signal(str)
    """This file is to be opened."""
    refused = Signal(object)
    """Why a file cannot be: a tuple of Problems."""
    _looked = Signal(str, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Open &recent", parent)
        self._actions: dict[str, QAction] = {}
        self._gone: set[str] = set()
        self.aboutToShow.connect(self.fill)
        self._looked.connect(self._mark)

    def fill(self) -> None:
        """List the files as they are now."""
        self.clear()
        self._actions, self._gone = {}, set()
        paths = recent()
        if not paths:
            self.addAction(NOTHING).setEnabled(False)
            return
        for number, path in enumerate(paths, 1):
            action = self.addAction(words_of(path, number))
            action.setData(path)
            action.triggered.connect(lambda _checked=False, path=path: self._choose(path))
            self._actions[path] = action
        self.addSeparator()
        self.addAction("&Take out those that are not there").triggered.connect(self._forget_gone)
        threading.Thread(target=self._look, args=(tuple(paths),), daemon=True).start()

    def _look(self, paths: tuple[str, ...]) -> None:
        # RuntimeError: the window, and the menu with it, is gone.
        with contextlib.suppress(RuntimeError):
            for path in paths:
                self._looked.emit(path, os.path.exists(path))

    def _mark(self, path: str, there: bool) -> None:
        action = self._actions.get(path)
        if action is not None and not there:
            self._gone.add(path)
            number = list(self._actions).index(path) + 1
            action.setText(f"{words_of(path, number)} – {GONE}")

    def _choose(self, path: str) -> None:
        if path in self._gone and not os.path.exists(path):
            hint = "Perhaps its drive is not there; it stays in this list until you take it out"
            self.refused.emit((Problem(0, 0, path, "the file is not there", hint),))
        else:
            self.chosen.emit(path)

    def _forget_gone(self) -> None:
        gone = [path for path in recent() if not os.path.exists(path)]
        forget(gone)
        if not gone:
            self.refused.emit((problem("recent files", "all of them are there"),))


def words_of(path: str, number: int) -> str:
    """A file as its line of the menu: its number as a key, its name, its folder."""
    folder, name = os.path.split(path)
    home = os.path.expanduser("~")
    if folder == home or folder.startswith(home + os.sep):
        folder = "~" + folder[len(home) :]
    key = f"&{number} " if number < 10 else f"{number} "
    return f"{key}{name.replace('&', '&&')} – {folder.replace('&', '&&')}"
