"""Tells when a file on the disk is another than it is known to be."""

from __future__ import annotations

import os

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication

from slinediag.editor.files import disk
from slinediag.editor.workplace import Workplace

SETTLES_IN = 250
"""Milliseconds without a further event after which a file that is being written is looked at."""
Stamp = tuple[int, int, int, int] | None


class DiskWatch(QObject):
    """Watches the workplace's file and its folder, and looks again when one comes back to it.

    A system that tells nothing, as of a drive on the network, is asked when the window is entered.
    """

    changed = Signal(object)
    """The file is another than is known: an OnDisk."""
    back = Signal()
    """The file is again as it is known."""

    def __init__(self, workplace: Workplace, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._wait)
        self._watcher.directoryChanged.connect(self._wait)
        self._soon = QTimer(self, singleShot=True, interval=SETTLES_IN)
        self._soon.timeout.connect(self.look)
        self._told: bytes | str | None = ""
        self._stamp: Stamp = None
        workplace.document_changed.connect(self.follow)
        workplace.history_changed.connect(self._keep_watching)
        application = QGuiApplication.instance()
        if isinstance(application, QGuiApplication):
            application.applicationStateChanged.connect(self._come_back)
        self.follow()

    def follow(self) -> None:
        """Watch the file that the workplace has now."""
        watched = self._watcher.files() + self._watcher.directories()
        if watched:
            self._watcher.removePaths(watched)
        self._told, self._stamp = "", None
        self._keep_watching()

    def look(self) -> None:
        """Look at the file now; tell where it is another than known."""
        path, known = self.workplace.name, self.workplace.on_disk
        if known is None:
            return
        self._keep_watching()
        stamp = stamped(path)
        if stamp is not None and stamp == self._stamp:
            return
        found = disk.look(path)
        self._stamp = stamp if found.data == known else None
        if found.data == known:
            if self._told != "":
                self._told = ""
                self.back.emit()
            return
        what = found.data if found.wrong is None else found.wrong.what
        if what != self._told:
            self._told = what
            self.changed.emit(found)

    def again(self) -> None:
        """Look, and tell what is found also where it was told before."""
        self._told, self._stamp = "", None
        self.look()

    def end(self) -> None:
        """Watch no more."""
        self._soon.stop()
        self._watcher.removePaths(self._watcher.files() + self._watcher.directories())
        self.workplace.document_changed.disconnect(self.follow)

    def _come_back(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive:
            self._soon.start()

    def _wait(self, _path: str) -> None:
        self._soon.start()

    def _keep_watching(self) -> None:
        """A file that was replaced is not watched any more until it is named again."""
        if self.workplace.on_disk is None:
            return
        # A link is followed: its file is what others replace.
        path = os.path.realpath(self.workplace.name)
        folder = os.path.dirname(path)
        for wanted, watched in (
            (path, self._watcher.files()),
            (folder, self._watcher.directories()),
        ):
            if wanted not in watched and os.path.exists(wanted):
                self._watcher.addPath(wanted)


def stamped(path: str) -> Stamp:
    """What tells a file from another without reading it; None where there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino, found.st_dev
