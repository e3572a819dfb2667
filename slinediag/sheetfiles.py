"""Sheets as files: painted as the path's ending says, and all written in one step."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from slinediag.chart.leads import chart_leads
from slinediag.chart.pictures import numbered
from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.problems import RequestError, problem
from slinediag.saving import refuse_unsavable, save_all
from slinediag.stopping import delicate

SHEET_ENDINGS = (".svg", ".png", ".pdf")
"""What a chart of sheets can be written as."""


def refuse_ending(path: Path, known: Sequence[str] = SHEET_ENDINGS) -> None:
    """RequestError where a path's ending is none of the known."""
    if path.suffix.lower() not in known:
        hint = f"Known endings: {', '.join(known)}"
        raise RequestError([problem(str(path), "no chart can be written under this ending", hint)])


def write_sheets(
    path: Path, drawings: Sequence[Drawing], facility: Facility, dpi: int | None = None
) -> tuple[Path, ...]:
    """Sheets painted as the path's ending says and written; the paths written.

    Painted first and then written, so that nothing half painted is left. RequestError for an
    ending that no painter of sheets knows; WriteError.
    """
    refuse_ending(path)
    match path.suffix.lower():
        case ".png":
            files = _png(path, drawings, dpi)
        case ".pdf":
            files = _pdf(path, drawings, facility)
        case _:
            files = _svg(path, drawings)
    return write_files(files)


def write_files(files: Sequence[tuple[Path, bytes]]) -> tuple[Path, ...]:
    """Save all of them, or none where one cannot be saved; the paths."""
    for path, _ in files:
        refuse_unsavable(path)
    save_all(files)
    return tuple(path for path, _ in files)


def _each(
    path: Path, drawings: Sequence[Drawing], paint: Callable[[Drawing], bytes]
) -> list[tuple[Path, bytes]]:
    """A file a sheet; numbered where there are several."""
    names = _names(path, drawings)
    return [(names[n], paint(drawing)) for n, drawing in zip(names, drawings, strict=True)]


def _names(path: Path, drawings: Sequence[Drawing]) -> dict[int, Path]:
    """PATH, or PATH-1, PATH-2, …, by the numbers of the sheets."""
    if len(drawings) == 1:
        return {1: path}
    numbers = [number for number, _ in numbered(drawings)]
    return {n: path.with_name(f"{path.stem}-{n}{path.suffix}") for n in numbers}


def _svg(path: Path, drawings: Sequence[Drawing]) -> list[tuple[Path, bytes]]:
    from slinediag.paint.svg import paint

    # A sheet that stands alone has none to lead to, and is the same under every name.
    several = len(drawings) > 1
    names = {n: name.name for n, name in _names(path, drawings).items()} if several else {}
    return _each(path, drawings, lambda drawing: paint(drawing, names).encode())


def _png(path: Path, drawings: Sequence[Drawing], dpi: int | None) -> list[tuple[Path, bytes]]:
    with delicate():
        from slinediag.paint.qt import png

        return _each(path, drawings, lambda drawing: png(drawing, dpi))


def _pdf(path: Path, drawings: Sequence[Drawing], facility: Facility) -> list[tuple[Path, bytes]]:
    """The sheets bound, with bookmarks by sheet and bay, and what names a sheet leading there."""
    from slinediag.paint.bearing import together
    from slinediag.paint.binding import Bookmark, Link, bind

    with delicate():
        from slinediag.paint.pdf import pdf

        painted = pdf(drawings)
    leads = chart_leads(drawings, {bay.id: bay.printed for bay in facility.bays.values()})
    document = bind(
        painted,
        title=leads.title,
        bookmarks=[Bookmark(*mark) for mark in leads.marks],
        links=[Link(*link) for link in leads.links],
        date=facility.practice.date,
        numbers=[number for number, _ in numbered(drawings)],
        bears=together(drawings),
    )
    return [(path, document)]
