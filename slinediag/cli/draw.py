"""``slinediag draw``: the chart, as the file its ending names."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from slinediag.cli.arguments import (
    add_failure_arguments,
    add_trial_arguments,
    failure_of,
    refuse_blank,
    refuse_no_path,
    trial_of,
    whole_number,
)
from slinediag.cli.telling import Telling
from slinediag.file.leftovers import leftover_lines
from slinediag.file.read import load
from slinediag.problems import RequestError, problem, spelled_out

if TYPE_CHECKING:
    from slinediag.output import WhichOutages

DESCRIPTION = """Draws the single-line chart: signal from left to right, every patch point with its
normal. With --cord, --plug, --pull or --failed the trial is drawn on it, with what it breaks, taps
and silences."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("file", metavar="FILE", help="the facility file")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="PATH",
        help="where to: .svg, .png, .pdf or .gv; FILE's name with .svg here unless given",
    )
    parser.add_argument(
        "--sheet",
        default="auto",
        help="A4 to A0, A to E: what does not fit is divided over several sheets, PATH-1, PATH-2, "
        "… or the pages of one PDF; one for one sheet as large as needed; auto, the default, for "
        "the smallest that fits, folded if need be, else one up to twice A0, else a set of A3",
    )
    parser.add_argument(
        "--read-at",
        metavar="MM",
        type=reading_distance,
        default=0.0,
        help="from how far off the chart is read: labels of at least 16 minutes of arc there; 1000 "
        "for a wall chart, which is one sheet by auto, where that fits A0",
    )
    parser.add_argument(
        "--effort",
        choices=("quick", "thorough"),
        default="thorough",
        help="quick to look at, thorough to hang up",
    )
    parser.add_argument(
        "--outages",
        action="store_true",
        help="list what every single box, bay and cable silences; without it a chart of the whole "
        "says what to patch when a box on the way to a priority input fails",
    )
    parser.add_argument(
        "--dpi",
        metavar="N",
        type=whole_number,
        help="pixels to the inch of a .png, 200 unless the sheet is very large",
    )
    parser.add_argument(
        "--fold",
        action=argparse.BooleanOptionalAction,
        help="draw runs of parallel circuits as one line each, with a slash and their count; left "
        "unsaid, only where one sheet has no room for them otherwise",
    )
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--keep",
        metavar="EARLIER",
        type=drawing_path,
        help="leave things where this earlier drawing has them: in their order and place, and on "
        "the sheet of the same number, as far as there is room; a .svg or .pdf that slinediag "
        "wrote, of a set any sheet; left unsaid, the .svg or .pdf that PATH holds, if it is of "
        "the same facility, on the same sheet and so on, and less than a fifth has changed (.png "
        "and .gv do not hold where things stand)",
    )
    where.add_argument(
        "--afresh",
        action="store_true",
        help="arrange anew what would stay where PATH has it",
    )
    for name, form, words in (
        ("--bay", "B", "draw just this bay and what is wired to it"),
        ("--room", "R", "draw just this room or rack, and the patch points it is wired to"),
        ("--around", "PORT", "draw just what feeds this input, or what this output feeds"),
    ):
        parser.add_argument(name, action="append", default=[], metavar=form, help=words)
    add_trial_arguments(parser)
    add_failure_arguments(parser)
    parser.add_argument(
        "--before",
        action="store_true",
        help="with a trial: the chart as filed above or beside the chart under it, on one sheet; "
        "just what the trial touches where a named one has no room for all, or none that one can "
        "hang; lists that have no room on it follow on pages of their own",
    )


def run(args: argparse.Namespace) -> int:
    """Write the chart and say where it is; the exit status."""
    from slinediag.chart.chart import UNNAMED
    from slinediag.chart.excerpt import WHOLE, Wanted
    from slinediag.chart.sheet import sheet_named
    from slinediag.damage import NO_FAILURE
    from slinediag.output import draw_chart

    facility = load(args.file).facility
    refuse_blank(args, "bay", "room", "around")
    refuse_no_path(args.output)
    if args.sheet not in UNNAMED:
        # Found wanting only as it is laid out, it would cost a minute of a large facility.
        sheet_named(args.sheet, UNNAMED)
    trial, failure = trial_of(facility, args), failure_of(facility, args)
    path = Path(f"{Path(args.file).stem}.svg" if args.output is None else args.output)
    wanted = Wanted(tuple(args.bay), tuple(args.room), tuple(args.around))
    as_filed = trial.empty and failure == NO_FAILURE
    refuse_own_file(args.file, path)
    unkept: list[str] = []
    with Telling() as tell:
        made = draw_chart(
            facility,
            path,
            trial,
            sheet=args.sheet,
            effort=args.effort,
            read_at=args.read_at,
            dpi=args.dpi,
            outages=which_outages(args, whole=as_filed and wanted == WHOLE),
            wanted=wanted,
            fold=args.fold,
            before=args.before,
            failure=failure,
            keep=args.keep,
            stay=not args.afresh,
            tell=tell,
            say=unkept.append,
        )
    for words in unkept:
        print(spelled_out(words), file=sys.stderr)
    for written in made:
        print(f"Chart: {spelled_out(str(written))}")
    for line in leftover_lines(made):
        print(line)
    return 0


def reading_distance(text: str) -> float:
    """Millimetres; which of them can be is judged with the other choices."""
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"give millimetres, not '{text}'") from None


def drawing_path(text: str) -> Path:
    """The path of an earlier drawing."""
    if not text.strip():
        raise argparse.ArgumentTypeError("give the path of an earlier drawing")
    return Path(text)


def which_outages(args: argparse.Namespace, *, whole: bool) -> WhichOutages:
    """The table of all where it is asked for; on a chart to hang up, what goes round each box.

    ``whole``: whether the chart is of the whole, as filed.
    """
    if args.outages:
        return "all"
    return "bypasses" if args.effort == "thorough" and whole else "none"


def refuse_own_file(file: str, path: Path) -> None:
    """RequestError where the chart would be written over the facility file itself."""
    if os.path.exists(path) and os.path.samefile(path, file):
        hint = "Give another name with -o"
        raise RequestError([problem(str(path), "this is the facility file itself", hint)])
