"""The sheets of a set that a trial concerns: with its plugs, or with what is taken as failed."""

from __future__ import annotations

from dataclasses import replace

from slinediag.address import Address
from slinediag.chart.laying import Laid
from slinediag.chart.lettering import SMALL, width
from slinediag.chart.overlay import outcome_of
from slinediag.chart.overview import Contents
from slinediag.chart.planning import FLOW
from slinediag.chart.request import Request
from slinediag.chart.titleblock import TRIAL

FAILED = "FAILED"
"""On the cards of sheets with something taken as failed, as on equipment itself."""
SHOWN = 0.6
"""Of the sheet's width, left of what says on which sheets to find things."""


def tagged(told: Contents, laid: Laid, request: Request) -> Contents:
    """What a sheet is about, marked where a trial puts in or pulls a plug or something failed."""
    plugs = request.plan.subject.plugs
    moved = {jack for cord in plugs.cords if cord.standing != "standing" for jack in cord.ends}
    moved |= {dummy.jack for dummy in plugs.dummies if dummy.standing != "standing"}
    plugged = not moved.isdisjoint(jack for point in laid.points for jack in point.jacks)
    dead = outcome_of(request.answer).failed
    boxes = dict.fromkeys(b.equipment.printed for b in laid.boxes if b.equipment.id in dead)
    failed = [*(f"{box} failed" for box in boxes), *_broken(laid, request)]
    if not plugged and not failed:
        return told
    said = ", ".join([*([TRIAL] if plugged else []), *failed])
    *others, last = told.every
    return replace(
        told,
        heading=f"{told.heading}; {said}",
        every=(*others, f"{last}; {said}"),
        tags=(*([TRIAL] if plugged else []), *([FAILED] if failed else [])),
    )


def flow_under(request: Request, drawn: str) -> str:
    """What is said under the heading of a set's first page: what is drawn, under what, and how to
    read it; the trial by its things where these have room beside what is found where."""
    words = f"{drawn} Shown {request.under}, not as filed. {FLOW}"
    if request.under and width(words, SMALL) <= SHOWN * request.sheet.width:
        return words
    return f"{drawn} {request.flow}"


def _broken(laid: Laid, request: Request) -> list[str]:
    """What has failed beside boxes and has a jack or port on a sheet, in words."""
    here: set[Address] = {jack for point in laid.points for jack in point.jacks}
    here |= {port for box in laid.boxes for slot in box.slots for port in slot.ports}
    return [words for words, ends in request.broken.items() if not here.isdisjoint(ends)]
