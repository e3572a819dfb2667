"""Runs of numbers written short: 1, 2, 3, 5 as 1–3, 5; and labels that end in numbers likewise."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

NUMBERED = re.compile(r"(.*?)([1-9][0-9]{0,3}|0)\Z", re.ASCII)


def number_ranges(numbers: Iterable[int]) -> str:
    """Numbers in rising order, three or more in a row as first–last."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts: list[str] = []
    for run in runs:
        parts += [f"{run[0]}–{run[-1]}"] if len(run) > 2 else [str(number) for number in run]
    return ", ".join(parts)


def compressed(labels: Sequence[str]) -> str:
    """Labels in their order; three or more that count up behind one stem as first–last."""
    parts: list[str] = []
    at = 0
    while at < len(labels):
        end = at + 1
        while end < len(labels) and _follows(labels[end - 1], labels[end]):
            end += 1
        if end - at > 2:
            parts.append(f"{labels[at]}–{_number(labels[end - 1])}")
        else:
            parts += labels[at:end]
        at = end
    return ", ".join(parts)


def _follows(one: str, other: str) -> bool:
    first, second = NUMBERED.match(one), NUMBERED.match(other)
    if first is None or second is None:
        return False
    return first[1] == second[1] and int(second[2]) == int(first[2]) + 1


def _number(label: str) -> str:
    found = NUMBERED.match(label)
    return found[2] if found else label
