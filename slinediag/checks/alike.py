"""Findings that are alike but for numbers that count up, told as one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

LEAST = 3
"""Findings that are told as one: two are read as fast one by one."""
NUMBER = re.compile(r"([0-9]+)")


def runs_alike(messages: Sequence[str]) -> Iterator[tuple[int, int]]:
    """First and last of each run of messages whose numbers stay or count up together, by place."""
    start = 0
    while start < len(messages):
        end = start + 1
        moved: tuple[bool, ...] | None = None
        while end < len(messages):
            step = _step(messages[end - 1], messages[end])
            if step is None or (moved is not None and step != moved):
                break
            moved, end = step, end + 1
        if end - start < LEAST:
            end = start + 1
        yield start, end - 1
        start = end


def first_to_last(first: str, last: str) -> str:
    """What such messages say, each number that counts up by its ends: ``MIC 17–32``."""
    pairs = zip(NUMBER.split(first), NUMBER.split(last), strict=True)
    return "".join(one if one == other else f"{one}–{other}" for one, other in pairs)


def _step(one: str, other: str) -> tuple[bool, ...] | None:
    """Which numbers of a message are one more in the next; None where they differ otherwise."""
    before, after = NUMBER.split(one), NUMBER.split(other)
    if before[::2] != after[::2]:
        return None
    moved = tuple(a != b for a, b in zip(before[1::2], after[1::2], strict=True))
    numbers = zip(before[1::2], after[1::2], strict=True)
    if not any(moved) or any(a != b and (int(b) != int(a) + 1 or a[0] == "0") for a, b in numbers):
        return None
    return moved
