"""Which rows of a list are shown, and in which order: by a text, a part, a column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slinediag.address import natural
from slinediag.editor.finding import folded
from slinediag.editor.lists.listing import Column, Key, Listing
from slinediag.editor.lists.trying import Cell, Draft
from slinediag.model.facility import Facility


@dataclass(frozen=True, slots=True)
class Choice:
    """The text that a row must have in some cell, its part, and the column that orders.

    ``sorted_by``: a column and whether the last is first; None for the order of the file.
    """

    text: str = ""
    part: str = ""
    sorted_by: tuple[int, bool] | None = None


def chosen_rows(
    listing: Listing,
    facility: Facility,
    drafts: Mapping[Cell, Draft],
    keys: Sequence[Key],
    choice: Choice,
) -> list[Key]:
    """The keys of the rows that are shown, in their order; what waits in a cell counts as there.

    A row in which something waits is always shown; what is empty in a column stands last.
    """
    typed = {cell.key for cell in drafts}

    def shown(column: Column, key: Key) -> str:
        draft = drafts.get(Cell(key, column.title))
        if draft is not None:
            return draft.text
        return column.text(facility, key) or column.assumed(facility, key)

    wanted = folded(choice.text)

    def passes(key: Key) -> bool:
        if key in typed:
            return True
        if choice.part and listing.part(key) != choice.part:
            return False
        return not wanted or any(wanted in folded(shown(c, key)) for c in listing.columns)

    rows = [key for key in keys if passes(key)]
    if choice.sorted_by is None:
        return rows
    number, back = choice.sorted_by
    column = listing.columns[number]
    filled = [key for key in rows if shown(column, key)]
    filled.sort(key=lambda key: natural(folded(shown(column, key))), reverse=back)
    return filled + [key for key in rows if not shown(column, key)]
