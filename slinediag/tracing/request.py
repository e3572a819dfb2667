"""Whether a trial can be done at all: cords that are there to pull, jacks that are free."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import Jack, nearest
from slinediag.model.facility import Facility
from slinediag.problems import Problem, RequestError, problem
from slinediag.tracing.values import CordEnds, Trial, cord_text


def refuse_impossible(facility: Facility, trial: Trial) -> None:
    """RequestError with every reason why the trial cannot be done; nothing where it can."""
    problems = [*_unknown(facility, trial)]
    if not problems:
        problems = [*_crowded(facility, trial)]
    if problems:
        raise RequestError(problems)


def standing_cord(facility: Facility, cord: CordEnds) -> CordEnds | None:
    """The standing cord between two jacks, as filed, whichever end is named first."""
    for filed in facility.cords:
        if {filed.source, filed.target} == set(cord):
            return filed.source, filed.target
    return None


def _unknown(facility: Facility, trial: Trial) -> Iterator[Problem]:
    jacks = [jack for cord in (*trial.cords, *trial.pulled_cords) for jack in cord]
    for jack in (*jacks, *trial.pulled_plugs, *trial.plugs):
        yield from _unknown_jack(facility, jack)
    for box in trial.failed:
        if box not in facility.equipment:
            close = nearest(box, facility.equipment)
            hint = f"Did you mean {close}?" if close else "Name equipment of the file"
            yield problem(box, "there is no such equipment", hint)


def _unknown_jack(facility: Facility, jack: Jack) -> Iterator[Problem]:
    bay = facility.bays.get(jack.bay)
    if bay is None:
        close = nearest(jack.bay, facility.bays)
        hint = f"Did you mean {close}.{jack.row}{jack.position}?" if close else ""
        yield problem(str(jack), f"there is no bay {jack.bay}", hint)
    elif jack.row not in bay.jack_rows or not 1 <= jack.position <= bay.width:
        rows = " and ".join(f"{row}1 to {row}{bay.width}" for row in bay.jack_rows)
        yield problem(str(jack), "there is no such jack", f"Bay {bay.id} has {rows}")


def _crowded(facility: Facility, trial: Trial) -> Iterator[Problem]:
    """Pulls of what is not there, and second plugs in one jack."""
    held: dict[Jack, str] = {}
    for filed in facility.cords:
        name = f"the standing cord {filed}"
        held[filed.source] = held[filed.target] = name
    for plug in facility.plugs:
        held[plug.jack] = "a dummy plug"
    yield from _pull_all(facility, trial, held)
    for cord in trial.cords:
        if cord[0] == cord[1]:
            hint = "Name two jacks"
            yield problem(cord_text(cord), "both ends are in one jack; a jack holds one plug", hint)
            continue
        for jack in cord:
            yield from _occupy(held, jack, f"the cord {cord_text(cord)}")
    for jack in trial.plugs:
        yield from _occupy(held, jack, "the dummy plug of the trial")


def _pull_all(facility: Facility, trial: Trial, held: dict[Jack, str]) -> Iterator[Problem]:
    pulled: set[frozenset[Jack]] = set()
    for cord in trial.pulled_cords:
        if frozenset(cord) in pulled:
            yield problem(cord_text(cord), "this cord is pulled twice", "Name it once")
            continue
        pulled.add(frozenset(cord))
        if standing_cord(facility, cord) is None or cord[0] not in held:
            there = ", ".join(str(filed) for filed in facility.cords) or "none"
            yield problem(
                cord_text(cord), "there is no such cord to pull", f"Standing cords: {there}"
            )
            continue
        del held[cord[0]], held[cord[1]]
    for jack in trial.pulled_plugs:
        if held.get(jack) != "a dummy plug":
            plugged = [*facility.cords, *(plug.jack for plug in facility.plugs)]
            there = ", ".join(map(str, plugged)) or "nothing"
            yield problem(str(jack), "nothing is plugged in here to pull", f"Plugged in: {there}")
            continue
        del held[jack]


def _occupy(held: dict[Jack, str], jack: Jack, name: str) -> Iterator[Problem]:
    if jack in held:
        yield problem(
            str(jack),
            f"{name} needs this jack, which holds {held[jack]}; a jack holds one plug",
            "Use another jack, or pull what is in it first",
        )
    else:
        held[jack] = name
