"""What may be asked of a chart as a file: figures that can be drawn, what its kind heeds."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from slinediag.problems import Problem, RequestError, problem

COARSEST, FINEST = 20, 2400
"""Pixels to the inch, from a thumbnail to what plates are made at."""
FURTHEST = 4000
"""Labels are enlarged up to 8 times 2.5 mm: 20 mm, read at 16 minutes of arc from 4.3 m."""
EFFORTS = ("quick", "thorough")
OUTAGES = ("none", "bypasses", "all")
"""Which outages a chart may list."""


def refuse_choices(
    path: Path,
    *,
    sheet: str,
    effort: str,
    read_at: float,
    dpi: int | None,
    outages: str,
    fold: bool | None,
    trial: bool,
    part: bool,
    keep: bool,
) -> None:
    """RequestError with every choice that is wrong, or that this kind of file does not heed.

    The choices are those of ``slinediag.draw``; ``trial``, ``part`` and ``keep`` say whether there
    is one. Names of sheets, parts and files are judged where they are looked up.
    """
    problems = [
        *_wrong_figure("reading distance", "millimetres, ", read_at, 0, FURTHEST),
        *_wrong_word("effort", effort, EFFORTS),
        *_wrong_word("outages", outages, OUTAGES),
    ]
    if dpi is not None:
        problems += _wrong_figure("pixels to the inch (dpi)", "", dpi, COARSEST, FINEST)
    kind = path.suffix.lower()
    if kind == ".gv":
        problems += _unheeded(
            path,
            ".svg, .png or .pdf",
            (trial, "a bare graph shows no trial", "leave the trial out"),
            (part, "a bare graph is always of the whole", "draw the whole"),
            (keep, "a bare graph is in no place to keep", "keep nothing"),
            (sheet != "auto", "a bare graph is on no sheet", "leave the sheet out"),
            (bool(read_at), "a bare graph has no lettering", "leave the reading distance out"),
            # The command lists bypasses of itself; all outages are listed where somebody asks.
            (outages == "all", "a bare graph lists no outages", "leave them out"),
            (fold is not None, "a bare graph folds no runs", "leave folding out"),
        )
    if kind != ".png":
        said = dpi is not None, "only a .png has pixels to the inch", "leave them out"
        problems += _unheeded(path, ".png", said)
    if problems:
        raise RequestError(problems)


def _unheeded(path: Path, kinds: str, *said: tuple[bool, str, str]) -> list[Problem]:
    """What is said and does nothing: whether it is, why it cannot be, what to do instead."""
    return [
        problem(str(path), what, f"Ask for {kinds}, or {instead}")
        for is_said, what, instead in said
        if is_said
    ]


def _wrong_figure(name: str, unit: str, given: object, least: int, most: int) -> list[Problem]:
    """What is wrong with a figure: pixels are whole, and no truth is a figure."""
    kinds = int | float if unit else int
    if isinstance(given, kinds) and not isinstance(given, bool) and least <= given <= most:
        return []
    return [problem(name, f"give {unit}{least} to {most}, not {given!r}")]


def _wrong_word(name: str, given: object, known: Sequence[str]) -> list[Problem]:
    if given in known:
        return []
    return [problem(name, f"{given!r} is not known here", f"Use {', '.join(known)}")]
