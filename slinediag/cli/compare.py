"""``slinediag compare``: what changed between two revisions of a facility."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from slinediag.cli.arguments import refuse_blank
from slinediag.cli.telling import Telling
from slinediag.comparing.compare import Comparison, compare
from slinediag.comparing.git import read_revision
from slinediag.comparing.report import comparison_lines
from slinediag.file.read import load, parse
from slinediag.model.facility import Facility
from slinediag.tracing.outage.failure import read_failure

DESCRIPTION = """Tells what changed between two revisions of a facility in the trade's terms, and
what that does to hearing; with --failed or --outages also to what failures cost. OLD and NEW are
files, or REV:FILE for a file as it was in a revision of its git repository."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("old", metavar="OLD", help="the old file, or REV:FILE")
    parser.add_argument("new", metavar="NEW", help="the new file, or REV:FILE")
    parser.add_argument(
        "--failed",
        action="append",
        default=[],
        metavar="EQ",
        help="compare what the failure of this equipment costs; may be given several times",
    )
    parser.add_argument(
        "--outages",
        action="store_true",
        help="compare what every failure costs too; that takes a while",
    )
    parser.add_argument(
        "--chart",
        metavar="PATH",
        help="draw the new chart with each change in a cloud: .svg, .png or .pdf",
    )
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def run(args: argparse.Namespace) -> int:
    """Answer on standard output; the exit status."""
    old, new = read_side(args.old), read_side(args.new)
    refuse_blank(args, "failed")
    failed = read_failure(new, args.failed, forms={}).boxes
    with Telling() as tell:
        comparison = compare(old, new, outages=args.outages, failed=failed, tell=tell)
    charts = cloud_changes(comparison, args.chart) if args.chart is not None else ()
    if args.json:
        print(json.dumps(comparison.to_dict(), ensure_ascii=False, indent=1))
    else:
        print("\n".join([*comparison_lines(comparison), *(f"Chart: {path}" for path in charts)]))
    return 0


def cloud_changes(comparison: Comparison, path: str) -> tuple[Path, ...]:
    """Write the chart with the changes clouded; the paths."""
    from slinediag.clouding import draw_changes

    return draw_changes(comparison, Path(path))


def read_side(name: str) -> Facility:
    """The facility of a file or of REV:FILE; FileErrors or RequestError where it cannot be read."""
    data = read_revision(name)
    return load(name).facility if data is None else parse(data, name).facility
