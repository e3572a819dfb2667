"""A trial put together item by item: cords, dummy plugs and pulls, boxes taken as failed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import Jack
from slinediag.damage import failed_words
from slinediag.model import edits
from slinediag.model.facility import Facility
from slinediag.model.labels import labelled_jack
from slinediag.tracing.outage.failure import Failure, cables
from slinediag.tracing.places import places
from slinediag.tracing.request import standing_cord
from slinediag.tracing.values import CordEnds, Trial

Kind = Literal["cord", "pulled cord", "pulled plug", "plug", "failed", "bay", "place", "cable"]
FAILING: Mapping[Kind, str] = {"bay": "bays", "place": "places", "cable": "cables"}
"""What fails beside the boxes of a trial, and where a failure keeps it."""
What = CordEnds | Jack | str


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that can be taken out again: a cord, a jack, or what has failed by its name."""

    kind: Kind
    what: What


def items(trial: Trial) -> tuple[Item, ...]:
    """Everything in a trial, in the order in which it is done."""
    return (
        *(Item("failed", box) for box in trial.failed),
        *(Item("pulled cord", cord) for cord in trial.pulled_cords),
        *(Item("pulled plug", jack) for jack in trial.pulled_plugs),
        *(Item("cord", cord) for cord in trial.cords),
        *(Item("plug", jack) for jack in trial.plugs),
    )


def trial_of(chosen: tuple[Item, ...]) -> Trial:
    """The trial of these items, each once."""
    kept = tuple(dict.fromkeys(chosen))
    return Trial(
        cords=tuple(i.what for i in kept if i.kind == "cord"),  # type: ignore[misc]
        pulled_cords=tuple(i.what for i in kept if i.kind == "pulled cord"),  # type: ignore[misc]
        pulled_plugs=tuple(i.what for i in kept if i.kind == "pulled plug"),  # type: ignore[misc]
        plugs=tuple(i.what for i in kept if i.kind == "plug"),  # type: ignore[misc]
        failed=tuple(i.what for i in kept if i.kind == "failed"),  # type: ignore[misc]
    )


def failed_items(failure: Failure) -> tuple[Item, ...]:
    """The bays, places and cables of a failure; its boxes are the trial's own."""
    return tuple(
        Item(kind, name) for kind, key in FAILING.items() for name in getattr(failure, key)
    )


def with_failed(failure: Failure, item: Item) -> Failure:
    """The failure with one bay, place or cable more."""
    return _failure((*failed_items(failure), item))


def without_failed(failure: Failure, item: Item) -> Failure:
    """The failure with one bay, place or cable less."""
    return _failure(tuple(other for other in failed_items(failure) if other != item))


def known(facility: Facility, failure: Failure) -> Failure:
    """As much of a failure's bays, places and cables as the facility has."""
    there = {"bay": set(facility.bays), "place": set(places(facility)), "cable": _cables(facility)}
    return _failure(tuple(i for i in failed_items(failure) if i.what in there[i.kind]))


def _cables(facility: Facility) -> set[str]:
    """Cables and their pairs."""
    wires = (wire.cable for wire in facility.wires.values())
    lines = (line.cable for line in facility.lines.values())
    return {*cables(facility), *(cable for cable in (*wires, *lines) if cable is not None)}


def _failure(chosen: tuple[Item, ...]) -> Failure:
    def named(kind: Kind) -> tuple[str, ...]:
        return tuple(dict.fromkeys(str(i.what) for i in chosen if i.kind == kind))

    return Failure(bays=named("bay"), places=named("place"), cables=named("cable"))


def with_item(trial: Trial, item: Item) -> Trial:
    """The trial with one thing more, the last of its kind."""
    return trial_of((*items(trial), item))


def without_item(trial: Trial, item: Item) -> Trial:
    """The trial with one thing less."""
    return trial_of(tuple(other for other in items(trial) if other != item))


def with_cord_last(trial: Trial, cord: CordEnds) -> Trial:
    """The trial with a cord put in after all others."""
    return replace(trial, cords=(*trial.cords, cord))


def pull_at(facility: Facility, jack: Jack) -> Item | None:
    """What would be pulled at a jack: its standing cord or dummy plug; None where none is in."""
    for filed in facility.cords:
        if jack in (filed.source, filed.target):
            found = standing_cord(facility, (filed.source, filed.target))
            return Item("pulled cord", found) if found else None
    if any(plug.jack == jack for plug in facility.plugs):
        return Item("pulled plug", jack)
    return None


def without_standing(facility: Facility, item: Item) -> Facility:
    """The facility without the standing cord or dummy plug that an item pulls."""
    if isinstance(item.what, Jack):
        return edits.without_plug(facility, item.what)
    if isinstance(item.what, str):
        return facility
    return edits.without_cord(facility, item.what)


def item_at(trial: Trial, jack: Jack) -> Item | None:
    """The cord or dummy plug of the trial that is in a jack."""
    for cord in trial.cords:
        if jack in cord:
            return Item("cord", cord)
    return Item("plug", jack) if jack in trial.plugs else None


def item_words(facility: Facility, item: Item) -> str:
    """An item in words, as the list of the trial shows it."""
    what = item.what
    if isinstance(what, str):
        return _failed_words(facility, item.kind, what)
    if isinstance(what, Jack):
        word = "Pull dummy plug" if item.kind == "pulled plug" else "Dummy plug in"
        return f"{word} {labelled_jack(facility, what)}"
    word = "Pull" if item.kind == "pulled cord" else "Cord"
    return f"{word} {labelled_jack(facility, what[0])} to {labelled_jack(facility, what[1])}"


def _failed_words(facility: Facility, kind: Kind, name: str) -> str:
    if kind in FAILING:
        return failed_words(facility, _failure((Item(kind, name),)))[0]
    return f"{facility.equipment[name].printed} failed"
