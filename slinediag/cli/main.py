"""The ``slinediag`` command: reads its arguments, runs one command, says what went wrong."""

from __future__ import annotations

import argparse
import importlib
import io
import os
import signal
import sys
import traceback
from collections.abc import Sequence
from types import ModuleType
from typing import NoReturn, TextIO

from slinediag import __version__, stopping
from slinediag.problems import SlinediagError

REFUSED = 2
DETAILS = "SLINEDIAG_DETAILS"
"""Environment variable: where it is set, what nobody foresaw is told with all its details."""

COMMANDS = {
    "ask": "what a cord, a plug, a pull or a dead box does",
    "outage": "what falls silent when something fails, and what restores it",
    "show": "all of one jack, port, equipment or label, from origins to ends",
    "check": "what is wrong, doubtful or worth knowing",
    "draw": "the single-line chart, also with a trial on it",
    "paper": "strips, schedules and other papers for bench and rack",
    "results": "what a filled test sheet proves, and what to test next",
    "compare": "what changed between two revisions, and what that does",
    "import": "a facility file from the table people keep",
    "export": "the whole facility as a workbook",
}
"""Each command and what it is for; its module is loaded when it is asked for."""

INTRODUCTION = """\
Reads a facility file, works out from the jacks' contacts what is joined to what, draws the
single-line chart, answers what a cord does, and finds what brings a silent input back."""

EXAMPLES = """\
examples:
  slinediag station.yaml                               open the editor on a file
  slinediag draw station.yaml                          draw the wall chart
  slinediag ask station.yaml --cord PB1.T3=PB2.B7      what would this cord do?
  slinediag ask station.yaml --cord "DISC 1 L=LINK L"  the same, by printed labels
  slinediag show station.yaml PB1.T3                   the whole way of one jack
  slinediag outage station.yaml --failed LIMITER       what is silent, and what brings it back
  slinediag check station.yaml                         what is wrong or worth knowing

Work on mains and protective earth is for licensed people under local codes."""


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line each and end with status 2."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong with the arguments and stop."""
        complain(f"{self.prog}: {message}. See {self.prog} --help\n")
        raise SystemExit(REFUSED)


def build_parser(given: Sequence[str]) -> argparse.ArgumentParser:
    """The parser of all commands; only the one that is given brings its arguments."""
    parser = Parser(
        prog="slinediag",
        description=INTRODUCTION,
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"slinediag {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, purpose in COMMANDS.items():
        sub = commands.add_parser(name, help=purpose)
        if name in given:
            module = module_of(name)
            sub.description = module.DESCRIPTION
            module.add_arguments(sub)
    return parser


def module_of(command: str) -> ModuleType:
    """The module of a command, loaded now: a question should not wait for a painter."""
    name = "import_" if command == "import" else command
    return importlib.import_module(f"slinediag.cli.{name}")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, or open the editor on a file; the exit status."""
    given = sys.argv[1:] if arguments is None else list(arguments)
    try:
        if len(given) == 1 and names_file(given[0]):
            return open_editor(given[0])
        parser = build_parser(given)
        args, unknown = parser.parse_known_args(given)
        if unknown:
            # Said by the command, whose own help lists what there is.
            parser.prog = f"{parser.prog} {args.command}"
            parser.error(f"not known here: {' '.join(unknown)}")
        status: int = module_of(args.command).run(args)
    except SlinediagError as refused:
        complain(f"{refused}\n")
        return REFUSED
    return status


def names_file(argument: str) -> bool:
    """Whether an argument means a file to open: it is there, or it is written as a path."""
    if argument in COMMANDS or argument.startswith("-"):
        return False
    return os.path.exists(argument) or os.sep in argument or "." in argument


def open_editor(path: str) -> int:
    """Open the editor on a file; the exit status once its window is closed."""
    # Found by name and only now: the editor stands above the command line, and Qt with it.
    status: int = importlib.import_module("slinediag.editor.start").edit(path)
    return status


def complain(text: str) -> None:
    """Say on standard error what went wrong; where nobody can hear it the status tells."""
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        fall_silent(sys.stderr)


def fall_silent(stream: TextIO) -> None:
    """Send what is left in a stream's buffer nowhere: at exit it would fail once more."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def run() -> NoReturn:
    """The whole command, streams and exit status included; ``slinediag.__main__`` begins it."""
    # Python has no stream where the shell has closed one, as ``>&-`` does.
    sys.stdout = sys.stdout or io.TextIOWrapper(io.FileIO(os.devnull, "w"))
    sys.stderr = sys.stderr or io.TextIOWrapper(io.FileIO(os.devnull, "w"))
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    signal.signal(signal.SIGINT, stopping.stop)
    if hasattr(signal, "SIGPIPE"):
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        status = main()
        sys.stdout.flush()
    except OSError as failed:
        complain(
            f"slinediag: the answer cannot be written: {failed.strerror}. "
            "Free some space, or send it elsewhere\n"
        )
        fall_silent(sys.stdout)
        status = REFUSED
    except Exception as error:
        tell_mishap(error)
        status = REFUSED
    sys.exit(status)


def tell_mishap(error: Exception) -> None:
    """Say that something went wrong which nobody foresaw; details are for whoever mends it."""
    if os.environ.get(DETAILS):
        traceback.print_exception(error)
    why = "there is not enough memory" if isinstance(error, MemoryError) else f"{error}"
    complain(
        f"slinediag: this should not happen ({type(error).__name__}: {why}). Nothing half written "
        f"is left behind. Please report it with the file and the command; with {DETAILS}=1 set "
        "the command says more\n"
    )
