"""Makes what is wanted, in the back room: its pages to be seen, or its files."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypedDict

from slinediag.chart.chart import draw
from slinediag.chart.excerpt import Wanted as Part
from slinediag.clouding import clouded, draw_changes
from slinediag.comparing.compare import compare
from slinediag.drawing.marks import Drawing
from slinediag.editor.backroom_work import report
from slinediag.editor.printing.wanted import BOOK, CHANGES, CHART, WORKBOOK, Wanted
from slinediag.editor.spread import Spread, spread
from slinediag.file.tables.export import export_workbook
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.output import WhichOutages, chart_drawings, draw_chart
from slinediag.papers.book import make_book
from slinediag.papers.kinds import KINDS
from slinediag.problems import Problem, RequestError, SlinediagError, problem, told_lines
from slinediag.progress import Tell
from slinediag.publish import write_book, write_papers
from slinediag.saving import save
from slinediag.tracing.outage.failure import Failure

AT_ONCE = 8
"""Pages handed over together: few enough that taking them in holds nothing up."""
CHOICES = {
    " with -o": "",
    "use --sheet one": "choose one as large as needed",
    "--sheet one": "one sheet as large as needed",
    "--sheet": "the sheet",
}
NOTHING_OLDER = "Choose an older file of this facility to compare with"


@dataclass(frozen=True, slots=True)
class Page:
    """One page, and its marks by cells, so that a part of it is painted quickly."""

    drawing: Drawing
    spread: Spread


@dataclass(frozen=True, slots=True)
class Doing:
    """How far it is, 0 to 1, and what is being done."""

    share: float
    words: str


@dataclass(frozen=True, slots=True)
class Refused:
    """Why it cannot be, of a file or folder where one is named."""

    problems: tuple[Problem, ...]
    file: str = ""

    @property
    def words(self) -> str:
        """Why, as a window says it: remedies that are options of the command are choices there."""
        said = "  ".join(told_lines(self.problems, self.file))
        for option, choice in CHOICES.items():
            said = said.replace(option, choice)
        return said


@dataclass(frozen=True, slots=True)
class Written:
    """The files that were written."""

    paths: tuple[Path, ...]


def tell(share: float, doing: str) -> None:
    """Tell the window how far the work is."""
    report(Doing(share, doing))


def make_pages(facility: Facility, wanted: Wanted) -> Iterator[tuple[Page, ...] | Refused]:
    """The pages, some at a time, just as they are written."""
    try:
        drawings = _drawings(facility, wanted)
        for start in range(0, len(drawings), AT_ONCE):
            yield tuple(Page(d, spread(d)) for d in drawings[start : start + AT_ONCE])
    except SlinediagError as refused:
        yield Refused(refused.problems, refused.file)


def _drawings(facility: Facility, wanted: Wanted) -> Sequence[Drawing]:
    if wanted.what == CHART:
        return chart_drawings(facility, wanted.trial, **_choices(wanted))
    if wanted.what == CHANGES:
        comparison = compare(_older(wanted), facility)
        drawings = draw(facility, sheet=wanted.sheet, effort=wanted.effort, fold=False)
        return [clouded(drawing, comparison) for drawing in drawings]
    if wanted.what == BOOK:
        return make_book(facility, sheet=wanted.paper, tell=tell).pages
    return KINDS[wanted.what].on(facility, wanted.paper, tell) if wanted.has_pages else ()


class ChartChoices(TypedDict):
    """What a chart is made by, shown or written."""

    sheet: str
    effort: Effort
    read_at: float
    outages: WhichOutages
    wanted: Part
    fold: bool | None
    before: bool
    failure: Failure
    tell: Tell


def _choices(wanted: Wanted) -> ChartChoices:
    return ChartChoices(
        sheet=wanted.sheet,
        effort=wanted.effort,
        read_at=wanted.read_at,
        outages=wanted.outages,
        wanted=wanted.part,
        fold=wanted.fold,
        before=wanted.before,
        failure=wanted.failure,
        tell=tell,
    )


def _older(wanted: Wanted) -> Facility:
    """What changes are told against; RequestError where nobody has chosen it."""
    if wanted.older is None:
        raise RequestError([problem("changes", "there is nothing older", NOTHING_OLDER)])
    return wanted.older


def write_out(
    facility: Facility, wanted: Wanted, path: Path, own: str, stem: str
) -> Written | Refused:
    """Write the files, as the command does: to a path, or named by ``stem`` into a folder.

    ``own`` is the facility's file, which nothing is written over.
    """
    try:
        refuse_own_file(own, path)
        return Written(_write(facility, wanted, path, stem))
    except SlinediagError as refused:
        return Refused(refused.problems, refused.file)


def _write(facility: Facility, wanted: Wanted, path: Path, stem: str) -> tuple[Path, ...]:
    if wanted.what == CHART and path.suffix.lower() == ".gv":
        # A bare graph heeds nothing of how the drawing in the preview is laid out.
        return draw_chart(facility, path, wanted.trial, wanted=wanted.part, failure=wanted.failure)
    if wanted.what == CHART:
        return draw_chart(facility, path, wanted.trial, dpi=wanted.dpi, **_choices(wanted))
    if wanted.what == CHANGES:
        comparison = compare(_older(wanted), facility)
        return draw_changes(comparison, path, sheet=wanted.sheet, effort=wanted.effort)
    if wanted.what == WORKBOOK:
        if path.suffix.lower() != ".xlsx":
            hint = f"Write {path.stem}.xlsx"
            raise RequestError([problem(str(path), "a workbook's name ends with .xlsx", hint)])
        save(path, export_workbook(facility))
        return (path,)
    if wanted.what == BOOK:
        return write_book(facility, path, stem, sheet=wanted.paper, tell=tell)
    return write_papers(facility, wanted.what, path, stem, sheet=wanted.paper, tell=tell)


def refuse_own_file(own: str, path: Path) -> None:
    """RequestError where something would be written over the facility's own file."""
    if path.is_file() and os.path.exists(own) and path.samefile(own):
        hint = "Give it another name"
        raise RequestError([problem(str(path), "this is the facility file itself", hint)])
