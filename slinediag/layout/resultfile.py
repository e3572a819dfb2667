"""Layouts written as JSON, whole or not at all."""

from __future__ import annotations

import json
import os
import stat
import tempfile
from pathlib import Path

from slinediag.layout.layout import Layout
from slinediag.problems import WriteError, problem

ELSEWHERE = "Choose a place that can be written"


def write_result(path: Path, layout: Layout, seconds: float) -> None:
    """Write a layout whole or not at all; raises WriteError.

    A symbolic link stays, its target is replaced; the new file has the old one's permissions.
    """
    ports = {node: {**layout.inputs[node], **layout.outputs[node]} for node in layout.nodes}
    data = {
        "nodes": layout.nodes,
        "ports": ports,
        "edges": [run.points for run in layout.edges],
        "reversed": [run.reversed for run in layout.edges],
        "seconds": round(seconds, 3),
        "crossings": layout.crossings,
        "width": layout.width,
        "height": layout.height,
    }
    refuse_unwritable(path)
    try:
        _write_whole(Path(os.path.realpath(path)), json.dumps(data) + "\n")
    except OSError as error:
        raise _unwritten(path, error.strerror or "cannot be written") from None


def refuse_unwritable(path: Path) -> None:
    """WriteError where no result can be written, whatever is in it; to be asked before long work.

    What is no file, as a pipe or a device, must not be replaced by one.
    """
    target = os.path.realpath(path)
    try:
        kind = os.stat(target).st_mode
    except FileNotFoundError:
        if os.path.isdir(os.path.dirname(target)):
            return
        raise _unwritten(path, "there is no such folder") from None
    except (OSError, ValueError) as error:
        raise _unwritten(path, getattr(error, "strerror", None) or f"{error}") from None
    if not stat.S_ISREG(kind):
        what = "folder" if stat.S_ISDIR(kind) else "pipe, socket or device"
        raise _unwritten(path, f"this is a {what}, not a file")


def _unwritten(path: Path, why: str) -> WriteError:
    return WriteError([problem(str(path), why, ELSEWHERE)])


def _write_whole(path: Path, text: str) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".slinediag-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.chmod(name, _permissions(path))
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _permissions(path: Path) -> int:
    """Those of the file that is there, else those that a new one has here."""
    if path.exists():
        return stat.S_IMODE(path.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
