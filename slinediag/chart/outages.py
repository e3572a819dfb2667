"""Outages for the wall: what to patch when a box fails, and the weak points of the whole plant."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slinediag.address import PortAddress
from slinediag.chart.said import OutageTable
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.outage.survey import Fallen, Survey, SurveyRow
from slinediag.tracing.outage.values import Outage
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.values import CordEnds

IF_A_BOX_FAILS = "If a box fails"
WHOLE_PLANT = "Every single failure"
NAMED = 4
"""How many inputs a row names before it counts the rest."""


def bypass_table(facility: Facility, outages: Iterable[Outage]) -> OutageTable:
    """For each box on the way to a priority input, the patch that goes round it.

    Rows in the order of the outages; only inputs of a priority are spoken of.
    """
    rows = ((_failed(facility, o), " ".join(_bypass_words(facility, o))) for o in outages)
    return OutageTable(IF_A_BOX_FAILS, tuple(rows))


def survey_table(survey: Survey) -> OutageTable:
    """Every single box, bay and cable that silences something, and whether patches restore it."""
    rows = [
        (_spelled(survey.facility, row), " ".join(_survey_words(survey.facility, row)))
        for row in survey.rows
        if row.silenced
    ]
    harmless = [_spelled(survey.facility, row) for row in survey.rows if not row.silenced]
    if harmless:
        rows.append(("Nothing silent", f"when one of these fails: {listed(harmless, 10**6)}."))
    return OutageTable(WHOLE_PLANT, tuple(rows))


def _failed(facility: Facility, outage: Outage) -> str:
    return listed(facility.equipment[box].printed for box in outage.failure.boxes)


def _bypass_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """The cords that can stand side by side, what they cost, and what stays silent."""
    known = [each for each in outage.silenced if each.priority is not None]
    together = outage.together
    back = [each.input for each in known if each.input in together.restores]
    if back:
        moves = _moves(facility, together.cords, together.pulls)
        yield f"{moves}: {_named(facility, back)} back."
    suffers = listed(port_names(facility, together.harmed), NAMED)
    if back and suffers:
        yield f"HARMS {suffers}."
    lost = [each.input for each in known if each.input not in together.restores]
    if lost:
        yield f"NO PATCH for {_named(facility, lost)}."


def _survey_words(facility: Facility, row: SurveyRow) -> Iterator[str]:
    """What falls silent, highest priority first, and for which of it there is no patch."""
    yield f"{_named(facility, [fallen.input for fallen in row.silenced])} silent."
    without = row.without_patch
    if not without:
        yield "Patches for all."
    elif len(without) == len(row.silenced):
        yield "NO PATCH."
    else:
        yield f"NO PATCH for {_named(facility, [fallen.input for fallen in _first(without)])}."


def _first(fallen: Sequence[Fallen]) -> list[Fallen]:
    """Highest priority first, those without one last."""
    return sorted(fallen, key=lambda each: (each.priority is None, each.priority or 0))


def _spelled(facility: Facility, row: SurveyRow) -> str:
    """What fails, as people call it: a box by its label."""
    boxes = [facility.equipment[box].printed for box in row.failure.boxes]
    return listed([*boxes, *row.failure.named[len(boxes) :]])


def _named(facility: Facility, inputs: Sequence[PortAddress]) -> str:
    return listed(port_names(facility, inputs), NAMED)


def _moves(facility: Facility, cords: Sequence[CordEnds], pulls: Sequence[CordEnds]) -> str:
    """The moves in one phrase: pulls, then cords."""
    said = [f"pull {' to '.join(jack_name(facility, j) for j in cord)}" for cord in pulls]
    said += [" to ".join(jack_name(facility, j) for j in cord) for cord in cords]
    return ", ".join(said)
