"""Starts the editor from a desktop's menu: on a file, on the last one, or on the sample."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from PySide6.QtCore import QCoreApplication, QStandardPaths
from PySide6.QtWidgets import QApplication, QMessageBox

from slinediag.editor.files.recent import recent
from slinediag.editor.start import edit, refuse_without_display
from slinediag.problems import SlinediagError
from slinediag.resources import resource, sample

SAMPLE = "larkfen.yaml"
MENU = "--menu"
PLACES = {
    "slinediag.desktop": "applications",
    "slinediag.svg": "icons/hicolor/scalable/apps",
    "slinediag.xml": "mime/packages",
}
"""The desktop's files, and where below the data folder it looks for them (freedesktop.org)."""


def run() -> NoReturn:
    """Entry point of the installed command; its argument is a file, or ``--menu``."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Edit a file, or put the editor into the desktop's menu; the exit status."""
    QCoreApplication.setOrganizationName("slinediag")
    QCoreApplication.setApplicationName("slinediag")
    if list(arguments) == [MENU]:
        for path in add_to_menu(data_folder(), sys.argv[0]):
            print(f"Menu: {path}")
        return 0
    try:
        return edit(arguments[0] if arguments else first_file())
    except SlinediagError as refused:
        tell(refused)
        return 2


def first_file() -> str:
    """The file that was open last, if it is still there; else the sample."""
    last = next(iter(recent()), "")
    return last if os.path.isfile(last) else str(sample_to_try())


def sample_to_try() -> Path:
    """The sample, copied to where it can be changed; as it was left where it is there already."""
    folder = Path(
        QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    )
    copy = folder / SAMPLE
    if not copy.exists():
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(sample(SAMPLE), copy)
    return copy


def tell(refused: SlinediagError) -> None:
    """Say why it cannot be opened: in a window, since from a menu no terminal is seen."""
    words = str(refused)
    sys.stderr.write(f"{words}\n")
    try:
        refuse_without_display()
    except SlinediagError:
        return
    _application = QApplication.instance() or QApplication(["slinediag"])
    QMessageBox.warning(None, "slinediag", words)


def data_folder() -> Path:
    """Where a person's own menu entries lie (XDG base directories)."""
    named = os.environ.get("XDG_DATA_HOME", "")
    return Path(named) if named else Path.home() / ".local" / "share"


def add_to_menu(folder: Path, command: str) -> list[Path]:
    """Put menu entry, icon and file type below a data folder; the paths written.

    The entry starts the command by its full path: a terminal's path is not a desktop's.
    """
    found = shutil.which(command) or command
    written = []
    for name, place in PLACES.items():
        path = folder / place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        text = resource(f"desktop/{name}").read_text(encoding="utf-8")
        text = text.replace("Exec=slinediag-editor", f'Exec="{os.path.abspath(found)}"')
        path.write_text(text, encoding="utf-8")
        written.append(path)
    updater = shutil.which("update-mime-database")
    if updater is not None:
        subprocess.run([updater, str(folder / "mime")], capture_output=True, check=False)
    return written


if __name__ == "__main__":
    run()
