"""The kinds of papers: what each is called, and what makes its sheets and its tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.papers.cards import card_pages
from slinediag.papers.faces import face_pages
from slinediag.papers.order import order_pages, order_tables
from slinediag.papers.schedule import schedule_pages, schedule_tables
from slinediag.papers.strips import strip_pages
from slinediag.papers.table import Table
from slinediag.papers.tests import commissioning_pages, commissioning_tables


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of paper: its title, its sheets, and its tables where it has any."""

    title: str
    sheets: Callable[[Facility], tuple[Drawing, ...]]
    tables: Callable[[Facility], tuple[Table, ...]] = lambda _: ()


KINDS: Mapping[str, Kind] = {
    "faces": Kind("Bay faces", face_pages),
    "strips": Kind("Designation strips", strip_pages),
    "schedule": Kind("Punch-down and cable schedule", schedule_pages, schedule_tables),
    "order": Kind("What to order", order_pages, order_tables),
    "tests": Kind("Commissioning tests", commissioning_pages, commissioning_tables),
    "cards": Kind("Outage cards", card_pages),
}
"""Kinds by the name that the command gives them, in the order of a book."""
