"""A chart as files: drawn as asked for, after an earlier one where there is one, and written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Literal, NamedTuple, Protocol

from slinediag.chart.asked import LONG_SINCE, PART, Asked, Shows, things_of
from slinediag.chart.before_after import done_words
from slinediag.chart.borne import Bears
from slinediag.chart.chart import draw
from slinediag.chart.earlier import Earlier, NothingKept, Say, unsaid
from slinediag.chart.excerpt import WHOLE, Wanted, patched, read_excerpt
from slinediag.chart.outages import bypass_table, survey_table
from slinediag.chart.pictures import pictures_of, to_print, with_pictures
from slinediag.chart.remedy import remedy
from slinediag.chart.said import OutageTable, Remedy
from slinediag.chart.touched import both_on_sheet
from slinediag.choices import refuse_choices
from slinediag.damage import (
    NO_DAMAGE,
    NO_FAILURE,
    Damage,
    broken,
    crossed_out,
    damage_of,
    drawn_addresses,
    failed_words,
    silenced_inputs,
)
from slinediag.drawing.marks import Drawing
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.outline import graph_of
from slinediag.paint.gv import source
from slinediag.problems import RequestError, SheetTooSmall, problem
from slinediag.progress import Tell, silent, stages
from slinediag.recall import read_kept, read_there
from slinediag.saving import refuse_unsavable
from slinediag.sheetfiles import SHEET_ENDINGS, refuse_ending, write_files, write_sheets
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.outage.prepared import prepared_outages
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, Trial
from slinediag.tracing.words import sentences

ON_WHAT_IS_LEFT = "What follows is of the trial, done to what is left."
WhichOutages = Literal["none", "bypasses", "all"]
FORESEEING: Mapping[WhichOutages, int] = {"none": 0, "bypasses": 30, "all": 280}
"""What it takes to find them where arranging the chart takes 70."""
STAYS = "things stay where they were; --afresh arranges anew"
LONG = "much has changed since they were arranged; --afresh may cross fewer lines"
NO_ROOM = "arranged anew, since things have no room where they were"
NOT_FOLDED = "Not folded: one line for many circuits cannot say which of them has failed"


def draw_chart(
    facility: Facility,
    path: Path,
    trial: Trial | None = None,
    *,
    sheet: str = "auto",
    effort: Effort = "thorough",
    read_at: float = 0.0,
    dpi: int | None = None,
    outages: WhichOutages = "none",
    wanted: Wanted = WHOLE,
    fold: bool | None = None,
    before: bool = False,
    failure: Failure = NO_FAILURE,
    keep: Path | None = None,
    stay: bool = False,
    tell: Tell = silent,
    say: Say = unsaid,
) -> tuple[Path, ...]:
    """Write the chart, as filed or under a trial; the paths written.

    ``sheet`` and ``read_at`` (mm, 0 where nobody says) as for ``slinediag.chart.chart.draw``.
    ``dpi``: pixels to the inch of a PNG, 200 unless said or where the sheet is very large.
    ``outages``: which the chart lists: ``bypasses`` for what to patch when a box on the way to a
    priority input fails, ``all`` for every single box, bay and cable.
    ``wanted``: the part that is drawn, as for ``slinediag.chart.excerpt.read_excerpt``; ``fold``
    as for ``slinediag.chart.chart.draw``.
    ``before``: the chart as filed stands above or beside that under the trial, on one sheet; what
    the trial touches where a named one has no room for all, or none that can be hung.
    ``failure``: bays, places and cables that are taken as failed with the trial; where the chart
    before stands above, they are crossed out on the one after alone.
    ``keep``: an earlier drawing, where it is still there when this one is written over it; what
    it shows stays where it has it. ``stay``: where none is named, what ``path`` already holds is
    that drawing, if it was asked for with the same choices and is much the same. ``say`` takes
    that this is so and which sheets have to be printed again, or what could not be kept, and why.
    One sheet goes to ``path``, several to PATH-1, PATH-2, …; a PDF holds all its sheets.
    RequestError for an ending that no painter knows, a choice that is wrong or that the kind of
    file does not heed, a trial that cannot be done, an unknown name of a part or an earlier drawing
    that cannot be kept, SheetTooSmall, WriteError.
    """
    if before:
        _refuse_untried(trial, failure)
    refuse_ending(path, (*SHEET_ENDINGS, ".gv"))
    refuse_choices(
        path,
        sheet=sheet,
        effort=effort,
        read_at=read_at,
        dpi=dpi,
        outages=outages,
        fold=fold,
        trial=_tried(trial, failure),
        part=wanted != WHOLE,
        keep=keep is not None,
    )
    if path.suffix.lower() == ".gv":
        return write_files([(path, source(graph_of(facility)).encode())])
    refuse_unsavable(path)
    asked = _asked(facility, trial, failure, wanted, before, sheet, effort, read_at, fold)
    drawing, painting = stages(tell, (95, 5))
    draw_after = partial(
        chart_drawings,
        facility,
        trial,
        sheet=sheet,
        effort=effort,
        read_at=read_at,
        outages=outages,
        wanted=wanted,
        fold=fold,
        before=before,
        failure=failure,
        tell=drawing,
    )
    made = _made_after(path, asked, keep, stay, draw_after)
    painting(0.0, "painting")
    drawings = tuple(replace(each, bears=(*each.bears, *made.bears)) for each in made.drawings)
    written = write_sheets(path, with_pictures(drawings, made.pictures), facility, dpi)
    for words in made.said:
        say(words)
    return written


class _DrawAfter(Protocol):
    """Draws the chart so that an earlier one stays, and says what of that could not be kept."""

    def __call__(self, *, keep: Earlier | None, say: Say) -> tuple[Drawing, ...]: ...


class _Made(NamedTuple):
    """A chart, what its sheets look like, what it bears of what it was asked for with, and what is
    to be said of it."""

    drawings: tuple[Drawing, ...]
    pictures: Mapping[int, str]
    bears: Bears
    said: tuple[str, ...]


def _made_after(
    path: Path, asked: Asked, keep: Path | None, stay: bool, draw_after: _DrawAfter
) -> _Made:
    """The chart after an earlier drawing: one that is named, what ``path`` holds where the chart
    may stay as it is, or none; arranged anew where one that nobody named leaves no room."""
    said: list[str] = []
    earlier, bearing = None, asked
    if keep is not None:
        earlier, bearing = read_kept(keep, path, asked, said.append)
    elif stay:
        earlier, bearing = read_there(path, asked, said.append)
    try:
        drawings = draw_after(keep=earlier, say=said.append)
    except SheetTooSmall:
        if keep is not None or earlier is None:
            raise
        earlier, said = None, [f"{path}: {NO_ROOM}"]
        drawings = draw_after(keep=None, say=unsaid)
    pictures = pictures_of(drawings)
    if earlier is None or any(isinstance(words, NothingKept) for words in said):
        return _Made(drawings, pictures, asked.bears, tuple(said))
    if keep is None:
        long = [f"{path}: {LONG}"] if bearing.since < LONG_SINCE else []
        said = [f"{path}: {STAYS}", *long, *said]
    if again := to_print(earlier.pictures, pictures):
        said.append(f"{path}: {again}")
    return _Made(drawings, pictures, bearing.bears, tuple(said))


def _asked(
    facility: Facility,
    trial: Trial | None,
    failure: Failure,
    wanted: Wanted,
    before: bool,
    sheet: str,
    effort: Effort,
    read_at: float,
    fold: bool | None,
) -> Asked:
    """What is asked for, as the drawing bears it; choices by what the command calls them."""
    excerpt = read_excerpt(facility, wanted, _with_dead_boxes(facility, trial, failure))
    choices = {
        "--sheet": sheet.strip().upper(),
        "--effort": effort,
        "--read-at": f"{read_at:g}",
        "--fold": str(fold),
        PART: excerpt.name if excerpt is not None else "",
    }
    shows: Shows = "filed" if trial is None or trial.empty else "tried"
    if before:
        shows = "both"
    elif failure != NO_FAILURE:
        shows = "failed"
    return Asked(facility.name, choices, shows, things_of(facility, excerpt))


def chart_drawings(
    facility: Facility,
    trial: Trial | None = None,
    *,
    sheet: str = "auto",
    effort: Effort = "thorough",
    read_at: float = 0.0,
    outages: WhichOutages = "none",
    wanted: Wanted = WHOLE,
    fold: bool | None = None,
    before: bool = False,
    failure: Failure = NO_FAILURE,
    keep: Earlier | None = None,
    tell: Tell = silent,
    say: Say = unsaid,
) -> tuple[Drawing, ...]:
    """The sheets that ``draw_chart`` paints; arguments and errors as there, but ``keep`` read."""
    if before:
        _refuse_untried(trial, failure)
    tell(0.0, "what the trial does" if _tried(trial, failure) else "laying out")
    remedied = _remedy(facility, trial or Trial(), failure)
    done = (*done_words(facility, trial or Trial()), *failed_words(facility, failure))
    trial = _with_dead_boxes(facility, trial, failure)
    excerpt = read_excerpt(facility, wanted, trial)
    foreseeing, drawing = stages(tell, (FORESEEING[outages], 70))
    table = _outage_table(facility, outages, foreseeing)
    drawing(0.0, "laying out")
    case = _case(facility, trial, failure)
    if fold and failure != NO_FAILURE:
        say(NOT_FOLDED)
    draw_part = partial(
        draw,
        facility,
        case.answer,
        effort=effort,
        words=case.words,
        done=done,
        broken=broken(facility, failure),
        left=case.left,
        outages=table,
        remedy=remedied,
        read_at=read_at or None,
        # What is drawn as one line for many cannot say which of them is silent.
        fold=fold if failure == NO_FAILURE else False,
        before=before,
    )
    then = case.left or case.answer
    if before and excerpt is None and sheet != "one" and then is not None:
        drawings = both_on_sheet(draw_part, sheet, facility, then, keep, drawing, say)
    else:
        drawings = draw_part(sheet=sheet, excerpt=excerpt, keep=keep, tell=drawing, say=say)
    if case.damage == NO_DAMAGE:
        return drawings
    tried = case.answer is not None
    return tuple(crossed_out(drawing, facility, case.damage, tried=tried) for drawing in drawings)


class _Case(NamedTuple):
    """What a chart is drawn under: the answer to a trial, if there is one; what a failure leaves,
    that trial done to it, None where nothing has failed; both in words, and what has failed."""

    answer: Answer | None
    left: Answer | None
    words: tuple[str, ...]
    damage: Damage


def _case(facility: Facility, trial: Trial | None, failure: Failure) -> _Case:
    """What a trial does to what a failure leaves."""
    left = damaged(facility, failure)
    answer = ask(left, trial) if trial is not None and not trial.empty else None
    words = tuple(sentences(answer)) if answer is not None else ()
    if failure == NO_FAILURE:
        return _Case(answer, None, words, NO_DAMAGE)
    then = answer or ask(left, Trial())
    after = (ON_WHAT_IS_LEFT, *words) if words else ()
    told = (silenced_inputs(facility, failure, then)[0], *after)
    return _Case(answer, then, told, damage_of(facility, failure, then, drawn_addresses(facility)))


def _tried(trial: Trial | None, failure: Failure) -> bool:
    """Whether anything is tried or fails."""
    return failure != NO_FAILURE or (trial is not None and not trial.empty)


def _refuse_untried(trial: Trial | None, failure: Failure) -> None:
    """RequestError where nothing is tried and nothing fails: before and after would be alike."""
    if not _tried(trial, failure):
        hint = (
            "Say what changes with --cord, --plug, --pull, --failed, --failed-bay, --failed-place "
            "or --cut"
        )
        raise RequestError([problem("before and after", "there is no trial to show", hint)])


def _remedy(facility: Facility, trial: Trial, failure: Failure) -> Remedy | None:
    """What to do where something has failed, the trial's plugs as they stand then; None where
    nothing has."""
    failed = replace(failure, boxes=(*failure.boxes, *trial.failed))
    if failed == NO_FAILURE:
        return None
    tried = trial.cords or trial.plugs or trial.pulled_cords or trial.pulled_plugs
    return remedy(outage(patched(facility, trial), failed), tried=bool(tried))


def _with_dead_boxes(facility: Facility, trial: Trial | None, failure: Failure) -> Trial | None:
    """The trial with the boxes that have failed at places; as it is where none has."""
    dead = failure.dead_boxes(facility)
    if not dead:
        return trial
    base = trial or Trial()
    return replace(base, failed=tuple(dict.fromkeys((*base.failed, *dead))))


def _outage_table(facility: Facility, which: WhichOutages, tell: Tell) -> OutageTable | None:
    if which == "bypasses":
        return bypass_table(facility, prepared_outages(facility, tell=tell))
    if which == "all":
        surveying, patching = stages(tell, (3, 1))
        found = survey(facility, tell=surveying)
        return survey_table(found, prepared_outages(facility, tell=patching))
    return None
