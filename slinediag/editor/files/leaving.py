"""Asks before work is left that no file has."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QMessageBox, QWidget

from slinediag.editor.lists.commands import counted
from slinediag.editor.workplace import Workplace


def may_leave(
    window: QWidget, workplace: Workplace, waiting: int, save: Callable[[], bool]
) -> bool:
    """Whether a facility may be left: it is saved, or its changes are not wanted.

    ``waiting``: cells of the lists that hold what cannot be, which no file has.
    """
    unsaved = workplace.history.unsaved
    if not unsaved and not waiting:
        return True
    words = [f"{workplace.facility.name} has changes that are not saved."] if unsaved else []
    if waiting:
        cells = counted(waiting, "cell")
        words.append(f"What is typed in {cells} of the lists cannot be so: no file has it.")
    buttons = QMessageBox.StandardButton
    answer = QMessageBox.warning(
        window,
        "Unsaved changes" if unsaved else "Cells to correct",
        " ".join(words),
        buttons.Discard | buttons.Cancel | (buttons.Save if unsaved else buttons.NoButton),
        buttons.Save if unsaved else buttons.Cancel,
    )
    return save() if answer == buttons.Save else answer == buttons.Discard
