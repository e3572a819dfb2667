"""Sheets of an earlier run that lie beside those just written and could be printed by mistake."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from slinediag.problems import spelled_out

NUMBERED = re.compile(r"(?P<name>.+)-\d+")


def left_over(written: Sequence[Path]) -> tuple[Path, ...]:
    """Files named like these, PATH, PATH-1, PATH-2, …, that are not among them; in natural order.

    A name with a number of its own counts as numbered only where several share it, or where
    something bears it without the number. Folders that cannot be read hold none.
    """
    ours = {path.resolve() for path in written}
    found = {
        beside
        for folder, name, suffix in _series(written)
        for beside in _beside(folder, name, suffix)
        if beside.resolve() not in ours
    }
    return tuple(sorted(found, key=lambda path: (len(path.name), path.name)))


def leftover_lines(written: Sequence[Path]) -> Iterator[str]:
    """What to tell of them, one line for all."""
    found = left_over(written)
    if found:
        names = spelled_out(", ".join(path.name for path in found))
        yield f"Left there by an earlier run and not part of this: {names}"


def _series(written: Sequence[Path]) -> set[tuple[Path, str, str]]:
    """Folder, name without number, and ending of each series of files."""
    several = Counter(_unnumbered(path) for path in written)
    stems = {path.stem for path in written}
    return {
        (path.parent, name if of_series else path.stem, path.suffix)
        for path in written
        for name in [_unnumbered(path)[0]]
        for of_series in [several[_unnumbered(path)] > 1 or name in stems]
    }


def _unnumbered(path: Path) -> tuple[str, str]:
    numbered = NUMBERED.fullmatch(path.stem)
    return (numbered["name"] if numbered else path.stem, path.suffix)


def _beside(folder: Path, name: str, suffix: str) -> Iterator[Path]:
    """Files of the folder that bear the name, alone or with a number."""
    try:
        files = list(folder.iterdir())
    except OSError:
        return
    pattern = re.compile(re.escape(name) + r"(-\d+)?" + re.escape(suffix))
    yield from (path for path in files if pattern.fullmatch(path.name) and path.is_file())
