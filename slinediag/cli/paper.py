"""``slinediag paper``: papers for bench and rack."""

from __future__ import annotations

import argparse
from pathlib import Path

from slinediag.cli.arguments import refuse_no_path
from slinediag.cli.telling import Telling
from slinediag.file.leftovers import leftover_lines
from slinediag.file.read import load
from slinediag.problems import RequestError, problem, spelled_out

DESCRIPTION = """\
Writes papers for bench and rack, print-ready and to scale. Sheets as PDF and SVG, tables as CSV
and XLSX as well; the book as one PDF."""

ENDINGS = (".pdf", ".svg", ".csv", ".xlsx", ".png")
"""What a file is called by, and hardly a folder."""
KINDS = {
    "strips": "designation strips of every row of every bay, 1:1, to cut out",
    "schedule": "punch-down bay by bay, cables, racks, straps, and labels for cables",
    "order": "what to order each bay with: its size, its normals, what to strap",
    "tests": "commissioning sheets: what to measure at each jack, with room for readings",
    "cards": "outage cards: for each box on the way to a priority input, the patch round it",
    "faces": "the bays' faces as they hang in the racks, 1:1, with their standing cords",
    "book": "all of these with the chart in one PDF, with contents, links and a glossary",
}
"""Each kind of papers and what is on it."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command, and under them what each kind of papers is."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    kinds = "\n".join(f"  {name:9} {words}" for name, words in KINDS.items())
    parser.epilog = f"kinds of papers:\n{kinds}"
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "--kind", choices=tuple(KINDS), required=True, help="which papers: see below"
    )
    parser.add_argument(
        "-o", dest="folder", metavar="DIR", default=".", help="where to; this folder unless given"
    )
    parser.add_argument(
        "--sheet",
        help="for strips, also those of the book: A4 to A0, A to E; A4 unless given, in pieces "
        "that join; A2 or C takes the strip of a 19-inch panel whole",
    )


def _refuse_file(folder: Path) -> None:
    """RequestError where the folder is called like a file, and is none yet."""
    if folder.suffix.lower() in ENDINGS and not folder.is_dir():
        what = f"{spelled_out(str(folder))} is called like a file, and papers are several"
        remedy = f"Name the folder they go to: -o {spelled_out(folder.stem)}"
        raise RequestError([problem("-o", what, remedy)])


def run(args: argparse.Namespace) -> int:
    """Write the papers and say where they are; the exit status."""
    from slinediag.chart.sheet import sheet_named
    from slinediag.papers.page import A4
    from slinediag.papers.strips import misfit_lines
    from slinediag.publish import write_book, write_papers

    refuse_no_path(args.folder)
    _refuse_file(Path(args.folder))
    facility = load(args.file).facility
    folder, stem = Path(args.folder), Path(args.file).stem
    sheet = sheet_named(args.sheet) if args.sheet is not None else None
    with Telling() as tell:
        if args.kind == "book":
            written = write_book(facility, folder, stem, sheet=sheet, tell=tell)
        else:
            written = write_papers(facility, args.kind, folder, stem, sheet=sheet, tell=tell)
    for path in written:
        print(f"Paper: {spelled_out(str(path))}")
    for line in leftover_lines(written):
        print(line)
    if args.kind == "strips":
        for line in misfit_lines(facility, sheet or A4):
            print(f"Does not fit at 2.5 mm: {line}")
    return 0
