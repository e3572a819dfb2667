"""Paths and pairs of ports as the text of one cell."""

from __future__ import annotations

from slinediag.model.equipment import Paths
from slinediag.problems import RequestError, problem

WRITE_PATHS = "Write straight, all, or OUTPUT: INPUT, INPUT; OUTPUT: INPUT"
WRITE_PAIRS = "Write left/right, as L/R, 5L/5R"


def read_paths(text: str) -> Paths | None:
    """The paths that a text names: a word, or inputs by output; RequestError where it does not."""
    typed = text.strip()
    if not typed:
        return None
    if typed == "straight":
        return "straight"
    if typed == "all":
        return "all"
    found: dict[str, tuple[str, ...]] = {}
    for part in typed.split(";"):
        output, colon, sources = (piece.strip() for piece in part.partition(":"))
        if not colon or not output:
            raise RequestError([problem("", f'"{part.strip()}" names no path', WRITE_PATHS)])
        if output in found:
            what = f"the output {output} stands here twice"
            raise RequestError([problem("", what, "Name all its inputs once")])
        found[output] = tuple(source.strip() for source in sources.split(",") if source.strip())
    return tuple(found.items())


def show_paths(paths: Paths) -> str:
    """Paths as a text."""
    if isinstance(paths, str):
        return paths
    return "; ".join(f"{output}: {', '.join(sources)}".rstrip() for output, sources in paths)


def read_pairs(text: str) -> tuple[tuple[str, str], ...] | None:
    """The pairs that a text names; RequestError where one is no pair. A dash is no pair at all."""
    typed = text.strip()
    if not typed:
        return None
    if typed in ("-", "–"):
        return ()
    pairs = []
    for part in typed.split(","):
        left, slash, right = (piece.strip() for piece in part.partition("/"))
        if not slash or not left or not right:
            raise RequestError([problem("", f'"{part.strip()}" is not a pair', WRITE_PAIRS)])
        pairs.append((left, right))
    return tuple(pairs)


def show_pairs(pairs: tuple[tuple[str, str], ...]) -> str:
    """Pairs as a text."""
    return ", ".join(f"{left}/{right}" for left, right in pairs) or "-"
