"""Outages for the wall: what to patch when a box fails, and the weak points of the whole plant."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace

from slinediag.address import PortAddress, natural
from slinediag.chart.said import OutageTable
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.tracing.outage.cost_words import lasting
from slinediag.tracing.outage.no_patch_words import not_all_tried
from slinediag.tracing.outage.reasons import was_cut_short
from slinediag.tracing.outage.survey import Fallen, Survey, SurveyRow
from slinediag.tracing.outage.values import (
    FEW,
    OTHER_MIX,
    PHANTOM,
    Manner,
    Outage,
    Outcome,
    Stage,
)
from slinediag.tracing.outage.words import (
    NO_PATCH,
    back_words,
    cord_words,
    cut_short_lines,
    else_lines,
    heard_else,
    nothing_to_plug,
    on_standby,
    still_silent,
)
from slinediag.tracing.phrases import listed, port_name, port_names
from slinediag.tracing.values import CordEnds
from slinediag.tracing.words import on_bypass

IF_A_BOX_FAILS = "If a box fails"
WHOLE_PLANT = "Every single failure"
OTHERS = "No input of a priority falls silent but its own; what some of them hear may change."
"""What is said of every single box without a row."""
CARDS, OF_CARDS = (
    "outage cards",
    "A paper of their own beside this chart: all patches, plug by plug.",
)
NAMED = 4
"""How many inputs a row names before it counts the rest."""
MOST_CORDS = FEW
"""How many cords put in or pulled a row of the wall's list names."""
MIND = "CAUTION"
ONLY: dict[Manner, str] = {"part": "Only in part", "instead": "Only with something else"}


def bypass_table(facility: Facility, outages: Iterable[Outage]) -> OutageTable:
    """For each box on the way to a priority input, the patch that goes round it.

    Rows by the names of boxes, as one looks for the dead one; only inputs of a priority are spoken
    of. ``outages``: of every single box that silences one, so that below the rows it is said of
    all others that they do not.
    """
    rows = [
        (_failed(facility, o), " ".join((*_patch_words(facility, o), *_lost_words(facility, o))))
        for o in outages
    ]
    ranked = any(facility.facts(port).priority is not None for port in facility.inputs())
    if ranked:
        named = {name for name, _ in rows}
        for box in facility.equipment.values():
            if box.printed not in named and not box.removed:
                rows.extend((box.printed, words) for words in on_bypass(facility, [box.id]))
    told = tuple(sorted(rows, key=lambda row: natural(row[0].casefold())))
    return OutageTable(IF_A_BOX_FAILS, told, tuple(_closing(told, ranked)))


def _closing(rows: Sequence[tuple[str, str]], ranked: bool) -> Iterator[tuple[str, str]]:
    """What the failure of a box comes to that has no row, where there are inputs of a priority; and
    what cards are that rows speak of."""
    if ranked:
        yield "Any other" if rows else "Any box", OTHERS
    if any(CARDS in words for _, words in rows):
        yield CARDS.capitalize(), OF_CARDS


def survey_table(survey: Survey, outages: Iterable[Outage] = ()) -> OutageTable:
    """Every single box, bay and cable that silences something, and whether patches restore it.

    Rows by what fails, in natural order. ``outages``: those of boxes on the way to a priority
    input, whose patches are named as in ``bypass_table``.
    """
    facility = survey.facility
    patches = {
        o.failure: (*_patch_words(facility, o), *still_silent(facility, _of_priority(o)))
        for o in outages
    }
    silent = sorted(
        (row for row in survey.rows if row.silenced or row.changed),
        key=lambda row: natural(_spelled(facility, row).casefold()),
    )
    rows = [
        (
            _spelled(facility, row),
            " ".join(_survey_words(survey, row, patches.get(row.failure, ()))),
        )
        for row in silent
    ]
    quiet = [row for row in survey.rows if not row.silenced and not row.changed]
    harmless = [_spelled(facility, row) for row in quiet]
    if harmless:
        rows.append(("Nothing silent", f"when one of these fails: {listed(harmless, 10**6)}."))
    return OutageTable(WHOLE_PLANT, tuple(rows))


def _of_priority(outage: Outage) -> Outage:
    """An outage with only those of the silent inputs that have a priority."""
    known = tuple(each for each in outage.silenced if each.priority is not None)
    return replace(outage, silenced=known)


def _failed(facility: Facility, outage: Outage) -> str:
    return listed(facility.equipment[box].printed for box in outage.failure.boxes)


def _patch_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """The patches that can stand side by side, highest priority first, and what they come to.

    Only as many cords as one reads off a wall; the rest is for the outage cards. Cautions stand
    before the cords.
    """
    known = _of_priority(outage).silenced
    ranked = {each.input for each in known}
    stage = _told(outage, ranked)
    told = [outcome for outcome in stage.outcomes if outcome.input in ranked]
    if told:
        yield from _caution_words(facility, outage.failure.boxes, stage)
        yield f"{_moves(facility, stage)}: {'; '.join(_back_words(facility, stage, told))}."
        if stage.sufferers:
            yield f"HARMS {_named(facility, [each.input for each in stage.sufferers])}."
    more = len(ranked.intersection(outage.together.restores)) - len(told)
    if more:
        others = "Another" if more == 1 else f"{more} others"
        yield f"{others} can be brought back: {CARDS}."
    back = {outcome.input for outcome in told}
    yield from cut_short_lines(facility, outage.moves, [e for e in known if e.input in back])


def _told(outage: Outage, ranked: Container[PortAddress]) -> Stage:
    """The first patches that fit the wall, up to the last that restores an input of these."""
    few = [s for s in outage.together.stages if len(s.cords) + len(s.pulls) <= MOST_CORDS]
    return max(few, key=lambda stage: sum(port in ranked for port in stage.restores))


def _back_words(facility: Facility, stage: Stage, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """Which inputs are back, those that hear the same of what they did together."""
    groups: dict[str, list[PortAddress]] = {}
    by = {heard.input: step.cord for step in stage.steps for heard in step.heard}
    for outcome in outcomes:
        words = back_words(facility, outcome.heard, loud=False)
        if outcome.heard.manner == "part":
            words = f"{words}, {_part_words(facility, outcome, by.get(outcome.input))}"
        groups.setdefault(words, []).append(outcome.input)
    for words, inputs in groups.items():
        yield f"{_named(facility, inputs)} {words}"


def _part_words(facility: Facility, outcome: Outcome, cord: CordEnds | None) -> str:
    """What is heard where that is a part, or what is not: whichever takes fewer names.

    By their equipment where all of it is meant, so that the sides of a stereo pair are told
    together. Where both are too many to be named, by the strip at the jack that the ``cord`` comes
    from.
    """
    left = _sources(facility, outcome.hears, {origin.equipment for origin in outcome.missing})
    gone = _sources(facility, outcome.missing, {origin.equipment for origin in outcome.hears})
    if cord is not None and min(len(gone), len(left)) > NAMED:
        return f"only what is at {jack_label(facility, cord[0]) or jack_name(facility, cord[0])}"
    if len(gone) < len(left):
        return f"without {listed(gone, NAMED)}"
    return f"only {listed(left, NAMED)} heard"


def _sources(
    facility: Facility, origins: Iterable[PortAddress], but: Container[str] = ()
) -> list[str]:
    """The equipment that origins are of; of some equipment the outputs themselves."""
    names = (
        port_name(facility, origin)
        if origin.equipment in but
        else facility.equipment[origin.equipment].printed
        for origin in origins
    )
    return [*dict.fromkeys(names)]


def _caution_words(facility: Facility, failed: Sequence[str], stage: Stage) -> Iterator[str]:
    """What has to be minded of patches: equipment with a caution that they go round, those with the
    same one together; phantom power; levels that do not fit; sides that are exchanged.

    What is gone round is named unless it is what has failed and nothing else.
    """
    boxes: dict[str, list[str]] = {}
    others = []
    for caution in lasting(facility, stage):
        box, _, words = caution.partition(": ")
        if box in facility.equipment:
            boxes.setdefault(words.rstrip(". "), []).append(box)
        elif not caution.startswith(OTHER_MIX):
            others.append(caution)
    for words, round_ in boxes.items():
        names = listed(facility.equipment[box].printed for box in round_)
        without = "" if round_ == [*failed] else f", without {names}"
        yield f"{MIND}{without}: {words}."
    levels = [f"{level} at {_named(facility, at)}: set it" for level, at in _misfits(stage).items()]
    hot = [
        f"{jack_name(facility, step.jack)}: {step.caution}"
        for step in stage.steps
        if step.caution is not None and PHANTOM in step.caution
    ]
    yield from (f"{MIND}: {words}." for words in dict.fromkeys((*hot, *levels, *others)))


def _misfits(stage: Stage) -> dict[str, list[PortAddress]]:
    """The inputs restored at a level that does not fit, by that level."""
    groups: dict[str, list[PortAddress]] = {}
    for outcome in stage.outcomes:
        if not outcome.fits and outcome.level_change is not None:
            level = f"level {outcome.level_change:+.1f} dB"
            groups.setdefault(level, []).append(outcome.input)
    return groups


def _lost_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """The inputs of a priority that stay silent, and those that hear something else."""
    restored = {*outage.together.restores}
    ranked = _of_priority(outage)
    lost = [each for each in ranked.silenced if each.input not in restored]
    yield from still_silent(facility, ranked)
    without = [(each.input, each.cut_short) for each in lost if not each.patches]
    yield from _no_patch_words(facility, without, outage.moves)
    yield from on_standby(facility, lost)
    yield from heard_else(outage, ranked=True)
    yield from _listeners_words(facility, outage)


def _listeners_words(facility: Facility, outage: Outage) -> Iterator[str]:
    """What else is silent that only listens, as meters and loudspeakers do: else one that stands
    still beside what is back is taken for another fault."""
    ranked = {each.input for each in _of_priority(outage).silenced}
    back = {*_told(outage, ranked).restores}
    left = [
        each.input
        for each in outage.silenced
        if each.input not in ranked | back and not facility.equipment[each.input.equipment].outputs
    ]
    if left:
        yield f"Silent, too: {_named(facility, left)}."


def _survey_words(survey: Survey, row: SurveyRow, patches: Sequence[str]) -> Iterator[str]:
    """What falls silent and is missed, highest priority first, what to patch, for which there is a
    patch and what that is worth; what needs none, and what hears something else."""
    facility = survey.facility
    if row.missed:
        yield f"{_named(facility, [fallen.input for fallen in row.missed])} silent."
        yield from patches
        yield from _worth_words(facility, row, survey.moves)
    nowhere = [fallen.input for fallen in row.silenced if not fallen.missed]
    yield from nothing_to_plug(facility, nowhere, NAMED)
    yield from else_lines(facility, row.changed)


def _worth_words(facility: Facility, row: SurveyRow, moves: int) -> Iterator[str]:
    """Which of the inputs missed have a patch, each for itself, and what that restores."""
    without = row.without_patch
    if not without:
        yield f"A patch for {'it' if len(row.missed) == 1 else 'each alone'}."
    elif len(without) == len(row.missed) and not any(
        was_cut_short(fallen.reason) for fallen in without
    ):
        yield f"{NO_PATCH}."
    else:
        apart = [(fallen.input, was_cut_short(fallen.reason)) for fallen in _first(without)]
        yield from _no_patch_words(facility, apart, moves)
    found = [(each.input, each.remedy) for each in row.missed if each.remedy is not None]
    for manner, words in ONLY.items():
        inputs = [port for port, remedy in found if remedy.manner == manner]
        if inputs:
            yield f"{words}: {_named(facility, inputs)}."
    harming = [port for port, remedy in found if remedy.harmed]
    if harming:
        yield f"HARMS others: the patch for {_named(facility, harming)}."


def _no_patch_words(
    facility: Facility, without: Sequence[tuple[PortAddress, bool]], moves: int
) -> Iterator[str]:
    """The inputs that have no patch, those for which not all was tried apart."""
    certain = [port for port, cut_short in without if not cut_short]
    if certain:
        yield f"{NO_PATCH} for {_named(facility, certain)}."
    open_ = [port for port, cut_short in without if cut_short]
    if open_:
        yield f"{NO_PATCH} FOUND for {_named(facility, open_)}, {not_all_tried(moves)}."


def _first(fallen: Sequence[Fallen]) -> list[Fallen]:
    """Highest priority first, those without one last."""
    return sorted(fallen, key=lambda each: (each.priority is None, each.priority or 0))


def _spelled(facility: Facility, row: SurveyRow) -> str:
    """What fails, as people call it: a box by its label."""
    boxes = [facility.equipment[box].printed for box in row.failure.boxes]
    return listed([*boxes, *row.failure.named[len(boxes) :]])


def _named(facility: Facility, inputs: Sequence[PortAddress]) -> str:
    return listed(port_names(facility, inputs), NAMED)


def _moves(facility: Facility, stage: Stage) -> str:
    """The moves in one phrase: pulls, then cords, or the dummy plugs that do as well."""
    pulls = (f"pull {cord_words(facility, cord, {})}" for cord in stage.pulls)
    cords = (cord_words(facility, cord, stage.dummies) for cord in stage.cords)
    return ", ".join((*pulls, *cords))
