"""What opens beside the window: print and write, the help, the introduction; and copies."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QMenu, QWidget

from slinediag.editor.guide import guide, introduction
from slinediag.editor.printing.copying import Copying
from slinediag.editor.sheet_canvas import SheetCanvas
from slinediag.editor.workplace import Workplace

if TYPE_CHECKING:
    from slinediag.editor.printing.dialog import PrintAndWrite


class Besides(QObject):
    """Windows of their own, each made when it is first asked for."""

    told = Signal(str)
    """What went well, in words."""
    failed = Signal(str)
    """What did not."""

    def __init__(self, workplace: Workplace, menus: Mapping[str, QMenu], window: QWidget) -> None:
        super().__init__(window)
        self.workplace = workplace
        self.copying = Copying(self)
        self.copying.copied.connect(self.told)
        self.copying.failed.connect(self.failed)
        self.papers: PrintAndWrite | None = None
        self.guide: guide.Guide | None = None
        self.introduction: introduction.Introduction | None = None
        self._menus = menus
        self._window = window

    def paper(self) -> PrintAndWrite:
        """Show what can be printed and written, with a preview."""
        # Loaded only when it is asked for: the window comes sooner without.
        from slinediag.editor.printing.dialog import PrintAndWrite

        if self.papers is None:
            self.papers = PrintAndWrite(self.workplace, self._window)
        self.papers.open_on()
        return self.papers

    def copy(self, canvas: SheetCanvas) -> None:
        """Copy all that a canvas shows."""
        self.copying.copy_shown(canvas)

    def copy_part(self, canvas: SheetCanvas) -> None:
        """Copy the part of it about the selection."""
        self.copying.copy_part(canvas)

    def help(self, page: str = guide.NORMALS) -> guide.Guide:
        """Show the help on a page of it."""
        if self.guide is None:
            self.guide = guide.Guide(self._menus, self._window)
        self.guide.open_on(page)
        return self.guide

    def introduce(self) -> introduction.Introduction:
        """Show the introduction over the window."""
        if self.introduction is None:
            self.introduction = introduction.Introduction(self._menus, self._window)
        self.introduction.begin()
        return self.introduction

    def introduce_if_new(self) -> None:
        """Show the introduction to one who has not seen it."""
        if introduction.wanted():
            self.introduce()
