"""Single-line diagrams and answers for analog audio patch bays."""

from __future__ import annotations

# Nothing is loaded until it is asked for: the command must answer Ctrl-C from its first moment on.
TYPE_CHECKING = False  # that of typing takes as long to load as all the rest here
if TYPE_CHECKING:
    import datetime
    import os
    from collections.abc import Iterable
    from typing import Literal

    from slinediag.checks.finding import Finding
    from slinediag.model.facility import Facility
    from slinediag.problems import (
        FileErrors,
        RequestError,
        SheetTooSmall,
        SlinediagError,
        WriteError,
    )
    from slinediag.tracing.outage.values import Outage
    from slinediag.tracing.values import Answer

__all__ = [
    "FileErrors",
    "RequestError",
    "SheetTooSmall",
    "SlinediagError",
    "WriteError",
    "ask",
    "check",
    "draw",
    "load",
    "outage",
]

__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    """The errors, loaded when one is first named."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from slinediag import problems

    return getattr(problems, name)


def load(path: str | os.PathLike[str]) -> Facility:
    """The facility of a file. FileErrors, with every mistake in ``errors``, on a bad file."""
    from slinediag.file.read import load as load_document

    return load_document(path).facility


def ask(
    facility: Facility,
    cords: Iterable[tuple[str, str]] = (),
    pulls: Iterable[tuple[str, str] | str] = (),
    plugs: Iterable[str] = (),
    failed: Iterable[str] = (),
    *,
    every_input: bool = False,
) -> Answer:
    """What a trial does to the facility as filed.

    ``cords`` are pairs of jacks, first-named end first; ``pulls`` standing cords as pairs and
    dummy plugs as jacks; ``plugs`` jacks; ``failed`` equipment. Each may be named by address or
    by a printed label that is unique. RequestError where the trial cannot be done.
    """
    from slinediag.tracing.naming import read_trial
    from slinediag.tracing.trial import ask as ask_trial

    trial = read_trial(facility, cords, pulls, plugs, failed)
    return ask_trial(facility, trial, every_input=every_input)


def outage(
    facility: Facility,
    failed: Iterable[str] = (),
    failed_bays: Iterable[str] = (),
    failed_places: Iterable[str] = (),
    cut: Iterable[str] = (),
    *,
    moves: int = 2,
    keep_cords: bool = False,
) -> Outage:
    """What falls silent when boxes, bays, places or cables fail, and what restores it.

    A patch has at most ``moves`` moves, 1 to 4; ``keep_cords`` pulls no standing cord.
    RequestError where a name is unknown or nothing is named.
    """
    from slinediag.problems import RequestError, problem
    from slinediag.tracing.naming import refuse_single
    from slinediag.tracing.outage.answer import outage as answer_outage
    from slinediag.tracing.outage.failure import read_failure

    refuse_single(failed=failed, failed_bays=failed_bays, failed_places=failed_places, cut=cut)
    failure = read_failure(facility, failed, failed_bays, failed_places, cut)
    if not failure.named:
        hint = "Name what has failed: failed, failed_bays, failed_places or cut"
        raise RequestError([problem("outage", "nothing has failed", hint)])
    return answer_outage(facility, failure, moves=moves, keep_cords=keep_cords)


def check(facility: Facility, today: datetime.date | None = None) -> tuple[Finding, ...]:
    """What the facility at rest has that it should not, or lacks; worst first.

    ``today`` is the day that ages of standing cords are counted to; without it none is old.
    """
    from slinediag.checks.check import check as check_facility
    from slinediag.papers.unfit import unfit_labels

    return check_facility(facility, today, unfit_labels)


def draw(
    facility: Facility,
    path: str | os.PathLike[str],
    *,
    cords: Iterable[tuple[str, str]] = (),
    pulls: Iterable[tuple[str, str] | str] = (),
    plugs: Iterable[str] = (),
    failed: Iterable[str] = (),
    failed_bays: Iterable[str] = (),
    failed_places: Iterable[str] = (),
    cut: Iterable[str] = (),
    sheet: str = "auto",
    effort: Literal["quick", "thorough"] = "thorough",
    read_at: float = 0.0,
    dpi: int | None = None,
    outages: Literal["none", "bypasses", "all"] = "none",
    bays: Iterable[str] = (),
    rooms: Iterable[str] = (),
    around: Iterable[str] = (),
    fold: bool | None = None,
    before: bool = False,
    keep: str | os.PathLike[str] | None = None,
) -> list[str]:
    """Write the chart, as filed or under a trial as for :func:`ask`; the paths written.

    ``failed_bays``, ``failed_places`` and ``cut`` fail with the trial, as for :func:`outage`.
    The ending of ``path`` says what is written: .svg, .png, .pdf or .gv. ``sheet`` is A4 to A0,
    A to E, ``auto`` for the smallest that fits, else one up to twice A0, else a set of A3, or
    ``one`` for one as large as needed. What does not fit a named sheet is divided over several.
    ``read_at``: from how far off, in mm, labels must be read; 0 for 1000 where ``auto``
    finds one sheet up to A0 for that, else for 2.5 mm. ``dpi``: pixels to the inch of a
    PNG. ``outages``: what the chart lists of them, ``bypasses`` round single boxes on the way to
    priority inputs, or ``all`` that fails singly. ``bays``, ``rooms`` and ``around`` draw just a
    part: bays with what is wired to them, rooms or racks with their patch points, and all that
    feeds an input, all that an output feeds, both for a jack or equipment. ``fold``: whether
    runs of parallel circuits are drawn as one line each; None where one sheet has no room for
    them otherwise. ``before``: the chart as filed stands above or beside that under the trial, on
    one sheet; just what the trial touches where a named one has no room for all, or none that can
    be hung. ``keep``: an earlier drawing, .svg or .pdf, of a set any of its sheets: what it shows
    stays in its place and order, and on the sheet of its number, as far as that has room; it
    may be ``path`` itself. SheetTooSmall, with the smallest that would do, where even a set asks
    too much; RequestError and WriteError as they say.
    """
    from pathlib import Path

    from slinediag.chart.excerpt import Wanted
    from slinediag.output import draw_chart
    from slinediag.tracing.naming import read_trial, refuse_single
    from slinediag.tracing.outage.failure import read_failure

    refuse_single(bays=bays, rooms=rooms, around=around)
    refuse_single(failed_bays=failed_bays, failed_places=failed_places, cut=cut)
    failure = read_failure(facility, (), failed_bays, failed_places, cut)
    trial = read_trial(facility, cords, pulls, plugs, failed)
    written = draw_chart(
        facility,
        Path(path),
        trial,
        sheet=sheet,
        effort=effort,
        read_at=read_at,
        dpi=dpi,
        outages=outages,
        wanted=Wanted(tuple(bays), tuple(rooms), tuple(around)),
        fold=fold,
        before=before,
        failure=failure,
        keep=None if keep is None else Path(keep),
    )
    return [str(each) for each in written]
