"""All the lists, one at a time, with their names at the side."""

from __future__ import annotations

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QStackedWidget, QWidget

from slinediag.editor.lists.box_form import BoxForm
from slinediag.editor.lists.box_plan import ports_of, unplaced
from slinediag.editor.lists.drawing_data import (
    Accepted,
    DrawingData,
    Notes,
    Revisions,
    ShortForms,
)
from slinediag.editor.lists.equipment import EquipmentList, box_of
from slinediag.editor.lists.joins import Crosses, Lines, Mults
from slinediag.editor.lists.judge import Judge
from slinediag.editor.lists.kept import KeptLists, keep, kept_lists
from slinediag.editor.lists.listing import Listing
from slinediag.editor.lists.page import ListPage
from slinediag.editor.lists.panels import Bays, Cables, Racks
from slinediag.editor.lists.plugs import Cords, DummyPlugs
from slinediag.editor.lists.ports import Ports
from slinediag.editor.lists.positions import Positions
from slinediag.editor.things import Box, Thing
from slinediag.editor.workplace import Workplace

LISTINGS: tuple[type[Listing], ...] = (
    Positions, EquipmentList, Ports, Bays, Racks, Cables, Lines, Mults, Crosses, Cords, DummyPlugs,
    DrawingData, Notes, Revisions, Accepted, ShortForms,
)  # fmt: skip
SIDE = 124
"""Pixels: how wide the names are."""
ROW = 27
"""Pixels: how high each is; Qt's own reckoning forgets the style sheet's padding."""


class ListsView(QWidget):
    """The facility as lists. Each is made when it is first looked at."""

    wanted_on_chart = Signal(object)
    """Something is wanted on the chart. Carries a Thing."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.listings = tuple(listing() for listing in LISTINGS)
        self.pages: dict[str, ListPage] = {}
        self._judge: Judge | None = None
        self._kept = kept_lists(workplace.name)
        self.names = QListWidget()
        self.names.setAccessibleName("Lists")
        self.names.setFixedWidth(SIDE)
        for listing in self.listings:
            item = QListWidgetItem(listing.title)
            item.setSizeHint(QSize(SIDE - 10, ROW))
            self.names.addItem(item)
        self.names.currentRowChanged.connect(self._see_row)
        self.names.itemActivated.connect(lambda _item: self.take_focus())
        self.middle = QStackedWidget()
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.names)
        whole.addWidget(self.middle, 1)

    @property
    def judge(self) -> Judge:
        """The judge of the facility as it is."""
        if self._judge is None:
            self._judge = Judge(self.workplace.facility)
        self._judge.follow(self.workplace.facility)
        return self._judge

    @property
    def page(self) -> ListPage:
        """The list that is shown."""
        row = self.names.currentRow()
        if row >= 0:
            return self.see(self.listings[row].title)
        titles = [listing.title for listing in self.listings]
        return self.see(self._kept.shown if self._kept.shown in titles else titles[0])

    @property
    def waiting(self) -> int:
        """How many cells hold what is typed and cannot be."""
        return sum(len(page.model.waiting) for page in self.pages.values())

    def keep(self) -> None:
        """Keep how the lists stand for the next time."""
        shown = self.names.currentRow()
        widths = {title: page.table.widths for title, page in self.pages.items()}
        filters = {title: page.filter.text() for title, page in self.pages.items()}
        kept = KeptLists(
            self.listings[shown].title if shown >= 0 else self._kept.shown,
            {**self._kept.widths, **widths},
            {**self._kept.filters, **filters},
        )
        keep(self.workplace.name, kept)

    def see(self, title: str) -> ListPage:
        """Show the list of a title."""
        page = self.pages.get(title)
        row = next(n for n, listing in enumerate(self.listings) if listing.title == title)
        if page is None:
            page = ListPage(self.workplace, self.listings[row], self.judge)
            page.wanted_on_chart.connect(self.wanted_on_chart)
            if title == EquipmentList.title:
                page.add_command("From a template …", "Ctrl+Shift+A", self.add_box)
                page.add_command("Place on the bay …", "", self.place_box)
            page.table.widen(self._kept.widths.get(title, ()))
            page.filter.setText(self._kept.filters.get(title, ""))
            self.pages[title] = page
            self.middle.addWidget(page)
        self.middle.setCurrentWidget(page)
        if self.names.currentRow() != row:
            self.names.setCurrentRow(row)
        return page

    def add_box(self) -> BoxForm:
        """Ask for a box of a template, and where it goes."""
        form = BoxForm(self.workplace, self.judge, None, self.window())
        form.open()
        return form

    def place_box(self) -> BoxForm | None:
        """Ask where on the bay the equipment of the current row, or the selected one, goes."""
        name = box_of(self.workplace.facility, self.page.table.thing() or Box(""))
        box = self.workplace.facility.equipment.get(name or "")
        if box is None:
            self.page.tell("Go to the equipment that is to be placed first.")
            return None
        if not unplaced(self.workplace.facility, ports_of(box, "all")):
            self.page.tell(f"Every port of {box.id} is wired already.")
            return None
        form = BoxForm(self.workplace, self.judge, box, self.window())
        form.open()
        return form

    def _see_row(self, row: int) -> None:
        if row >= 0:
            self.see(self.listings[row].title)

    def take_focus(self) -> None:
        """Let the keys go to the list that is shown."""
        self.page.take_focus()

    def follow(self, thing: Thing) -> bool:
        """Go to the row of a thing in the list that is shown; False where it has none."""
        page = self.page
        if page.listing.key_of(self.workplace.facility, thing) is None:
            return False
        page.table.follow(thing)
        return True
