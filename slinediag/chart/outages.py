"""Outages for the wall: what to patch when a box fails, and the weak points of the whole plant."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slinediag.address import PortAddress, natural
from slinediag.chart.said import OutageTable
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.tracing.outage.survey import Fallen, Survey, SurveyRow
from slinediag.tracing.outage.values import (
    EXCHANGED,
    PHANTOM,
    Outage,
    Patch,
    SilencedInput,
    Together,
)
from slinediag.tracing.phrases import listed, port_names
from slinediag.tracing.values import CordEnds

IF_A_BOX_FAILS = "If a box fails"
WHOLE_PLANT = "Every single failure"
NAMED = 4
"""How many inputs a row names before it counts the rest."""
MOST_MOVES = 4
"""How many cords and pulls a row of the wall's list names."""
MIND = "CAUTION"


def bypass_table(facility: Facility, outages: Iterable[Outage]) -> OutageTable:
    """For each box on the way to a priority input, the patch that goes round it.

    Rows by the highest priority that falls silent, then in natural order; only inputs of a
    priority are spoken of.
    """
    found = sorted(
        outages,
        key=lambda o: (
            *_rank(each.priority for each in o.silenced),
            natural(_failed(facility, o).casefold()),
        ),
    )
    rows = (
        (_failed(facility, o), " ".join((*_patch_words(facility, o), *_lost_words(facility, o))))
        for o in found
    )
    return OutageTable(IF_A_BOX_FAILS, tuple(rows))


def survey_table(survey: Survey, outages: Iterable[Outage] = ()) -> OutageTable:
    """Every single box, bay and cable that silences something, and whether patches restore it.

    Rows by the highest priority that falls silent, then in natural order. ``outages``: those of
    boxes on the way to a priority input, whose patches are named as in ``bypass_table``.
    """
    facility = survey.facility
    patches = {o.failure: tuple(_patch_words(facility, o)) for o in outages}
    silent = sorted(
        (row for row in survey.rows if row.silenced),
        key=lambda row: (
            *_rank(each.priority for each in row.silenced),
            natural(_spelled(facility, row).casefold()),
        ),
    )
    rows = [
        (
            _spelled(facility, row),
            " ".join(_survey_words(facility, row, patches.get(row.failure, ()))),
        )
        for row in silent
    ]
    harmless = [_spelled(facility, row) for row in survey.rows if not row.silenced]
    if harmless:
        rows.append(("Nothing silent", f"when one of these fails: {listed(harmless, 10**6)}."))
    return OutageTable(WHOLE_PLANT, tuple(rows))


def _rank(priorities: Iterable[int | None]) -> tuple[bool, int]:
    """The highest of some priorities, what has none last."""
    known = [priority for priority in priorities if priority is not None]
    return not known, min(known, default=0)


def _failed(facility: Facility, outage: Outage) -> str:
    return listed(facility.equipment[box].printed for box in outage.failure.boxes)


def _patch_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """The patches that can stand side by side, highest priority first.

    Only as many cords as one reads off a wall; the rest is for the outage cards.
    """
    known = [each for each in outage.silenced if each.priority is not None]
    together = outage.together
    said: dict[CordEnds, None] = {}
    back: list[PortAddress] = []
    cautions: dict[str, None] = {}
    for each in known:
        patch = _chosen(each, together)
        if patch is None:
            continue
        moves = dict.fromkeys((*patch.pulls, *patch.cords))
        if said and len(said | moves) > MOST_MOVES:
            break
        said |= moves
        back.append(each.input)
        cautions |= dict.fromkeys(patch.cautions)
    if back:
        moves_said = _moves(facility, said, together)
        yield f"{moves_said}: {_named(facility, back)} back."
    yield from _caution_words(facility, outage.failure.boxes, cautions)
    suffers = listed(port_names(facility, together.harmed), NAMED)
    if back and suffers:
        yield f"HARMS {suffers}."
    restored = [each.input for each in known if each.input in together.restores]
    if len(restored) > len(back):
        yield f"{len(restored) - len(back)} more: outage cards."


def _caution_words(
    facility: Facility, failed: Sequence[str], cautions: Iterable[str]
) -> Iterator[str]:
    """What has to be minded of patches: equipment with a caution that they go round, those with the
    same one together; phantom power; sides that are exchanged.

    What is gone round is named unless it is what has failed and nothing else.
    """
    boxes: dict[str, list[str]] = {}
    others = []
    for caution in cautions:
        box, _, words = caution.partition(": ")
        if box in facility.equipment:
            boxes.setdefault(words.rstrip(". "), []).append(box)
        elif PHANTOM in caution or caution.startswith(EXCHANGED):
            others.append(caution.rstrip(". "))
    for words, round_ in boxes.items():
        names = listed(facility.equipment[box].printed for box in round_)
        without = "" if round_ == [*failed] else f", without {names}"
        yield f"{MIND}{without}: {words}."
    yield from (f"{MIND}: {words}." for words in others)


def _lost_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """The inputs of a priority that stay silent."""
    together = outage.together
    known = [each for each in outage.silenced if each.priority is not None]
    lost = [each.input for each in known if each.input not in together.restores]
    if lost:
        yield f"NO PATCH for {_named(facility, lost)}."


def _chosen(silenced: SilencedInput, together: Together) -> Patch | None:
    """The input's patch among those that stand side by side."""
    standing = {frozenset(cord) for cord in (*together.cords, *together.pulls)}
    for patch in silenced.patches:
        if {frozenset(cord) for cord in (*patch.cords, *patch.pulls)} <= standing:
            return patch
    return None


def _survey_words(facility: Facility, row: SurveyRow, patches: Sequence[str] = ()) -> Iterator[str]:
    """What falls silent, highest priority first, what to patch, and for which of it there is no
    patch."""
    yield f"{_named(facility, [fallen.input for fallen in row.silenced])} silent."
    yield from patches
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


def _moves(facility: Facility, moves: Iterable[CordEnds], together: Together) -> str:
    """The moves in one phrase: pulls, then cords."""
    pulled = {frozenset(cord) for cord in together.pulls}
    known = sorted(moves, key=lambda cord: frozenset(cord) not in pulled)
    return ", ".join(
        ("pull " if frozenset(cord) in pulled else "")
        + " to ".join(jack_name(facility, jack) for jack in cord)
        for cord in known
    )
