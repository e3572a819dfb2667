"""``python -m slinediag.layout GRAPH.json RESULT.json``: arrange any graph of boxes with ports."""

from __future__ import annotations

import argparse
import contextlib
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from slinediag.layout.jsonfile import read_earlier, read_graph
from slinediag.layout.pipeline import arrange
from slinediag.layout.resultfile import write_result
from slinediag.layout.settings import Settings
from slinediag.layout.settle import fitting
from slinediag.problems import RequestError, SlinediagError, problem
from slinediag.saving import refuse_unsavable

REFUSED = 2


def run(arguments: Sequence[str] | None = None) -> int:
    """Exit status 0 when the result is written, 2 when graph or request is wrong."""
    asked = _parser().parse_args(arguments)
    try:
        _answer(asked)
    except SlinediagError as error:
        _complain(f"{error}")
        return REFUSED
    except MemoryError:
        _complain(f"{asked.graph}: there is not enough memory to arrange it. Arrange it in parts")
        return REFUSED
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m slinediag.layout",
        description="Arrange a graph of boxes with ports; millimetres, y down.",
    )
    parser.add_argument("graph", metavar="GRAPH.json", type=Path, help="what to arrange")
    parser.add_argument("result", metavar="RESULT.json", type=Path, help="where to write it")
    parser.add_argument(
        "--ports",
        choices=["fixed", "free"],
        default="fixed",
        help="free: the ys of a side may be dealt out anew among its ports",
    )
    parser.add_argument("--effort", choices=["quick", "thorough"], default="quick")
    parser.add_argument(
        "--keep",
        metavar="EARLIER.json",
        type=Path,
        help="a result for an earlier state of the graph: nodes stay in their layers and order, "
        "what is new stands where it crosses least, whatever the effort; it may be RESULT.json",
    )
    return parser


def _answer(asked: argparse.Namespace) -> None:
    """Read, arrange and write; SlinediagError for what is wrong."""
    graph = read_graph(asked.graph)
    refuse_unsavable(asked.result)
    if asked.result.exists() and asked.result.samefile(asked.graph):
        hint = "Name another file for the result"
        raise RequestError([problem(str(asked.result), "this is the graph itself", hint)])
    earlier = read_earlier(asked.keep, graph) if asked.keep is not None else None
    settings = Settings(ports=asked.ports, effort=asked.effort, previous=earlier)
    settings = fitting(graph, settings)
    start = time.perf_counter()
    layout = arrange(graph, settings)
    write_result(asked.result, layout, time.perf_counter() - start)


def _complain(words: str) -> None:
    """Say on standard error what is wrong; where nobody can hear it the status tells."""
    with contextlib.suppress(AttributeError, OSError):
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
