"""``slinediag export``: a whole facility as a workbook."""

from __future__ import annotations

import argparse
from pathlib import Path

from slinediag.cli.arguments import refuse_no_path
from slinediag.cli.import_ import refuse_existing
from slinediag.file.read import load
from slinediag.problems import RequestError, problem, spelled_out
from slinediag.saving import save

DESCRIPTION = """Writes a workbook (XLSX) with one sheet a kind of thing: equipment, ports, bays,
points and all others. Imported again, it gives the same facility."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="BOOK.xlsx",
        help="where to; FILE's name with .xlsx here unless given",
    )
    parser.add_argument("--force", action="store_true", help="replace BOOK.xlsx if there is one")


def run(args: argparse.Namespace) -> int:
    """Write the workbook and say where it is; the exit status."""
    # Loaded only now: no other command needs the library for workbooks.
    from slinediag.file.tables.export import export_workbook

    refuse_no_path(args.output)
    path = f"{Path(args.file).stem}.xlsx" if args.output is None else args.output
    if not path.lower().endswith(".xlsx"):
        what = "a workbook's name ends with .xlsx"
        raise RequestError([problem(path, what, f"Write -o {Path(path).stem}.xlsx")])
    refuse_existing(path, args.force)
    save(path, export_workbook(load(args.file).facility))
    print(f"Workbook: {spelled_out(path)}")
    return 0
