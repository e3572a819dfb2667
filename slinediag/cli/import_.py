"""``slinediag import``: a kept spreadsheet as a facility file."""

from __future__ import annotations

import argparse
import json
import os

from slinediag.cli.arguments import refuse_no_path
from slinediag.problems import RequestError, problem, spelled_out
from slinediag.saving import save

DESCRIPTION = """Reads a table of positions (CSV or XLSX) as people keep them, or a workbook that
was exported, and writes a facility file to go on with by hand. Says what was guessed and how sure
that is; what could not be understood is kept as notes and told. Normals come from the table alone:
test them before you rely on them."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("table", metavar="TABLE", help="the table: .csv or .xlsx")
    parser.add_argument("-o", dest="output", metavar="FILE", required=True, help="the new file")
    parser.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="HEADING=WHAT",
        help="what a column holds, by its heading or letters: 'Quelle=top', 'D=normal', "
        "'Gerät=top equipment'",
    )
    parser.add_argument("--name", default="", help="the facility's name; the table's unless given")
    parser.add_argument("--force", action="store_true", help="replace FILE if there is one")
    parser.add_argument("--json", action="store_true", help="report with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Write the file and report on standard output; the exit status."""
    # Loaded only now: no other command needs to read tables.
    from slinediag.file.tables.book import load_book
    from slinediag.file.tables.fields import read_maps
    from slinediag.file.tables.imports import import_book
    from slinediag.file.tables.report_words import report_dict, report_lines

    refuse_no_path(args.output)
    maps = read_maps(args.map)
    refuse_same(args.table, args.output, "this is the table itself")
    refuse_existing(args.output, args.force)
    made = import_book(load_book(args.table), maps, args.name)
    save(args.output, made.data)
    facility = made.facility
    if args.json:
        answer = {"file": args.output, **report_dict(made.report)}
        print(json.dumps(answer, ensure_ascii=False, indent=1))
        return 0
    print("\n".join(report_lines(made.report)))
    counted = (
        count(len(facility.bays), "bay", "bays"),
        count(sum(len(bay.points) for bay in facility.bays.values()), "position", "positions"),
        count(len(facility.equipment), "piece of equipment", "pieces of equipment"),
    )
    print(f"Facility file: {spelled_out(args.output)}: {', '.join(counted)}")
    return 0


def refuse_existing(path: str, force: bool) -> None:
    """Refuse to replace a file without being told; RequestError."""
    if not force and os.path.lexists(path):
        what = "there is a file of this name already"
        raise RequestError([problem(path, what, "Choose another with -o, or say --force")])


def refuse_same(read: str, path: str, what: str) -> None:
    """RequestError where a file would be written over one that is read."""
    if os.path.exists(path) and os.path.exists(read) and os.path.samefile(path, read):
        raise RequestError([problem(path, what, "Give another name with -o")])


def count(number: int, one: str, many: str) -> str:
    """A number with its word."""
    return f"{number} {one if number == 1 else many}"
