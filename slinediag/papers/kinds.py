"""The kinds of papers: what each is called, and what makes its sheets and its tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from slinediag.chart.sheet import Sheet
from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.papers.cards import card_pages
from slinediag.papers.faces import face_pages
from slinediag.papers.order import order_pages, order_tables
from slinediag.papers.schedule import schedule_pages, schedule_tables
from slinediag.papers.strips import strip_pages
from slinediag.papers.table import Table
from slinediag.papers.tests import commissioning_pages, commissioning_tables
from slinediag.problems import RequestError, problem
from slinediag.progress import Tell, silent


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of paper: its title, its sheets, and its tables where it has any.

    ``sized`` makes its sheets in a size that is asked for; None where its size is what it is.
    ``telling`` makes its sheets and says how far it is; None where they do not last.
    """

    title: str
    sheets: Callable[[Facility], tuple[Drawing, ...]]
    tables: Callable[[Facility], tuple[Table, ...]] = lambda _: ()
    sized: Callable[[Facility, Sheet], tuple[Drawing, ...]] | None = None
    telling: Callable[[Facility, Tell], tuple[Drawing, ...]] | None = None

    def on(
        self, facility: Facility, sheet: Sheet | None, tell: Tell = silent
    ) -> tuple[Drawing, ...]:
        """Its sheets, in their own size or the one asked for; RequestError where that is fixed."""
        if sheet is None:
            return self.telling(facility, tell) if self.telling else self.sheets(facility)
        if self.sized is None:
            what = f"the paper “{self.title}” has one size only"
            raise RequestError([problem(f"sheet {sheet.name}", what, "Leave the sheet out")])
        return self.sized(facility, sheet)


KINDS: Mapping[str, Kind] = {
    "faces": Kind("Bay faces", face_pages),
    "strips": Kind("Designation strips", strip_pages, sized=strip_pages),
    "schedule": Kind("Punch-down and cable schedule", schedule_pages, schedule_tables),
    "order": Kind("What to order", order_pages, order_tables),
    "tests": Kind("Commissioning tests", commissioning_pages, commissioning_tables),
    "cards": Kind("Outage cards", card_pages, telling=card_pages),
}
"""Kinds by the name that the command gives them, in the order of a book."""
