"""``slinediag results``: what the readings of a filled test sheet prove."""

from __future__ import annotations

import argparse
import json

from slinediag.cli.arguments import refuse_no_path, whole_number
from slinediag.cli.import_ import refuse_same
from slinediag.commissioning.filled import read_filled
from slinediag.commissioning.plan import plan_tests
from slinediag.commissioning.report import result_lines
from slinediag.commissioning.results import Results, judge
from slinediag.file.read import Document, load
from slinediag.file.tables.book import load_book
from slinediag.file.write import render, save
from slinediag.problems import RequestError, problem, spelled_out

DESCRIPTION = """Reads the table that paper --kind tests writes, filled in, as CSV or XLSX, and
tells for every point what the readings prove, the likeliest cause first, and what to measure next.
Nothing in the file is changed unless you ask for a proposed edit by its number."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument("table", metavar="TABLE", help="the filled table, CSV or XLSX")
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")
    parser.add_argument(
        "--apply",
        type=whole_number,
        action="append",
        default=[],
        metavar="N",
        help="make the proposed edit of this number; may be given several times",
    )
    parser.add_argument(
        "-o", dest="output", metavar="PATH", help="where the edited file goes; FILE unless given"
    )


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    refuse_no_path(args.output)
    if args.output is not None:
        refuse_idle_path(args)
    document = load(args.file)
    plan = plan_tests(document.facility)
    book = load_book(args.table)
    results = judge(plan, read_filled(plan, [sheet.rows for sheet in book.sheets], args.table))
    written = apply(results, document, args) if args.apply else None
    if args.json:
        print(json.dumps(results.to_dict(), ensure_ascii=False, indent=1))
    else:
        print("\n".join(result_lines(results)))
        if written is not None:
            print(f"Edited: {spelled_out(written)}")
    return 0


def refuse_idle_path(args: argparse.Namespace) -> None:
    """RequestError for a path to which nothing would be written, or over the readings."""
    if not args.apply:
        hint = "Say --apply with the number of a proposal, or leave -o out"
        raise RequestError([problem(args.output, "no edit is asked for to write here", hint)])
    refuse_same(args.table, args.output, "this is the filled table itself")


def apply(results: Results, document: Document, args: argparse.Namespace) -> str:
    """Make the edits asked for and write the file; its path. RequestError for an unknown number."""
    known = {proposal.number for proposal in results.proposals}
    wrong = [number for number in dict.fromkeys(args.apply) if number not in known]
    if wrong:
        hint = f"Numbers go from 1 to {len(known)}" if known else "These readings propose no edit"
        raise RequestError([problem(f"--apply {n}", "no such proposal", hint) for n in wrong])
    numbers = list(dict.fromkeys(args.apply))
    edited = results.with_edits(numbers, document.facility)
    path: str = args.file if args.output is None else args.output
    save(path, render(document, edited))
    return path
