"""Runs of numbers written short: 1, 2, 3, 5 as 1–3, 5."""

from __future__ import annotations

from collections.abc import Iterable


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


def compressed(labels: list[str]) -> str:
    """Labels in their order, runs of plain numbers written short."""
    if labels and all(label.isascii() and label.isdigit() for label in labels):
        numbers = [int(label) for label in labels]
        if numbers == sorted(set(numbers)) and [str(n) for n in numbers] == labels:
            return number_ranges(numbers)
    return ", ".join(labels)
