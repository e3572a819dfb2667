"""Positions moved, exchanged and made room for, as steps of the workplace's history."""

from __future__ import annotations

from slinediag.address import Jack
from slinediag.editor.workplace import Workplace
from slinediag.model import edits
from slinediag.model.edits import Position
from slinediag.model.facility import Facility
from slinediag.problems import RequestError, problem

SELECT_FIRST = problem("position", "no jack is selected", "Select a jack: its position moves")


def rearrangement(facility: Facility, held: Position, to: Position | None) -> str:
    """What dropping a position on another does, in words."""
    one = position_name(facility, held)
    if to is None or to == held:
        return f"Move {one}: drop it on another position's strip"
    other = position_name(facility, to)
    return f"Move {one} to {other}" if edits.is_free(facility, to) else f"Swap {one} and {other}"


def rearrange(workplace: Workplace, held: Position, to: Position) -> bool:
    """Move a position to a free one, or let it change places with one in use."""
    facility = workplace.facility
    edit = edits.move_position if edits.is_free(facility, to) else edits.swap_positions
    try:
        workplace.change(rearrangement(facility, held, to), edit(facility, held, to))
    except RequestError as error:
        workplace.refuse(error.problems)
        return False
    return True


def make_gap(workplace: Workplace) -> bool:
    """Free the selected jack's position by moving those behind it up."""
    jack = _selected_jack(workplace)
    if jack is None:
        return False
    at = Position(jack.bay, jack.position)
    name = f"Insert a gap at {position_name(workplace.facility, at)}"
    try:
        workplace.change(name, edits.insert_gap(workplace.facility, at))
    except RequestError as error:
        workplace.refuse(error.problems)
        return False
    return True


def shift(workplace: Workplace, by: int) -> bool:
    """Move the selected jack's position along its bay; the jack stays selected."""
    jack = _selected_jack(workplace)
    if jack is None:
        return False
    to = Position(jack.bay, jack.position + by)
    if not 1 <= to.number <= workplace.facility.bays[jack.bay].width:
        return False
    if not rearrange(workplace, Position(jack.bay, jack.position), to):
        return False
    workplace.select(Jack(jack.bay, jack.row, to.number), show=True)
    return True


def position_name(facility: Facility, position: Position) -> str:
    """A position by its bay's label and its number."""
    return f"{facility.bays[position.bay].printed} {position.number}"


def _selected_jack(workplace: Workplace) -> Jack | None:
    jack = workplace.selection
    if isinstance(jack, Jack) and jack.bay in workplace.facility.bays:
        return jack
    workplace.refuse((SELECT_FIRST,))
    return None
