"""Runs of numbers written short: 1, 2, 3, 5 as 1–3, 5; and labels that count up likewise."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise
from typing import NamedTuple

LONG_RUN = 20
"""Letters of a run of labels beyond which words that both ends share are said once."""
COUNTED = re.compile(r"((?:.*[^0-9])?)([1-9][0-9]{0,3}|0)([A-Za-z]?)\Z", re.ASCII)
NUMBERED = re.compile(r"(.*?)([0-9]{1,6})([A-Za-z]?)\Z", re.ASCII)
"""The same with noughts before the number."""
NUMBER = re.compile(r"([0-9]+)", re.ASCII)
MOST_NAMED = 3
"""Labels of a run that leaves numbers out are all named up to this many."""

LETTERED = re.compile(r"[0-9]([A-Za-z])–[0-9]{1,4}\1\b", re.ASCII)


class Counted(NamedTuple):
    """A label taken apart: what stands before its last number, the number, a letter behind it."""

    stem: str
    number: int
    tail: str


def number_runs(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """First and last of each run of numbers that follow one another."""
    for _, run in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        members = [number for _, number in run]
        yield members[0], members[-1]


def number_ranges(numbers: Iterable[int]) -> str:
    """Numbers in rising order, three or more in a row as first–last."""
    return compressed([str(number) for number in sorted(numbers)])


def called_sheets(numbers: Sequence[int]) -> str:
    """Sheets by their numbers: sheet 5, sheets 5, 6."""
    return f"{'sheet' if len(numbers) == 1 else 'sheets'} {number_ranges(numbers)}"


def compressed(labels: Sequence[str]) -> str:
    """Labels in their order; three or more that count up behind one stem as first–last.

    Where a letter follows the number, both ends bear it: 5L–10L has no 5R.
    """
    parts: list[str] = []
    at = 0
    while at < len(labels):
        end = at + 1
        while end < len(labels) and follows(labels[end - 1], labels[end]):
            end += 1
        if end - at > 2:
            parts.append(first_to_last(labels[at], labels[end - 1]))
        else:
            parts += labels[at:end]
        at = end
    return ", ".join(parts)


def compressed_sides(labels: Sequence[str]) -> str:
    """Labels in runs; those of two sides in turn, 1L, 1R, 2L, 2R …, side by side where that is
    shorter: 1L–6L, 1R–6R."""
    sorted_out: list[str] = []
    for _, stretch in groupby(labels, key=_sided_stem):
        sides: dict[str, list[str]] = {}
        for label in stretch:
            sides.setdefault(found.tail if (found := counted(label)) else "", []).append(label)
        sorted_out += [label for side in sides.values() for label in side]
    return min(compressed(labels), compressed(sorted_out), key=len)


def _sided_stem(label: str) -> str | None:
    """What stands before the number of a label with a letter behind it; None of others."""
    found = counted(label)
    return found.stem if found and found.tail else None


def lettered_run(words: str) -> bool:
    """Whether words hold a run of labels with letters behind their numbers."""
    return LETTERED.search(words) is not None


def follows(one: str, other: str) -> bool:
    """Whether a label counts up by one from another, all else alike."""
    first, second = counted(one), counted(other)
    if first is None or second is None:
        return False
    return second == Counted(first.stem, first.number + 1, first.tail)


def counts_on(one: str, other: str, steps: int = 1) -> bool:
    """Whether a label is another but for one number in it, wherever it stands, that is so many
    more."""
    first, second = NUMBER.split(one), NUMBER.split(other)
    if len(first) != len(second):
        return False
    changed = [pair for pair in zip(first, second, strict=True) if pair[0] != pair[1]]
    if len(changed) != 1 or not all(map(str.isdecimal, changed[0])):
        return False
    before, after = map(int, changed[0])
    return after == before + steps


def first_to_last(first: str, last: str) -> str:
    """A run of labels by its ends, the stem said once: ``MIC 1–8``, ``WALL 1 OUT … WALL 8 OUT``."""
    found, begun = counted(last), counted(first)
    if found and begun and (found.stem, found.tail) == (begun.stem, begun.tail):
        return f"{first}–{found.number}{found.tail}"
    return f"{first} … {last}"


def counted(label: str) -> Counted | None:
    """A label taken apart; None where it does not end in a number, or a number and a letter."""
    found = COUNTED.match(label)
    return Counted(found[1], int(found[2]), found[3]) if found else None


def run_of_titles(titles: Sequence[str]) -> str:
    """Titles that count up, by their ends: ``PB1 1–8``, ``PB1 1/49–8/56``, ``PB1 T1–8``."""
    return f"{titles[0]}–{titles[-1].rpartition(' ')[2].lstrip('TB')}"


def run_of_labels(labels: Sequence[str]) -> str:
    """Labels by their ends: ``MIC 1 … MIC 8``; what they share said once where that is long, and
    of two labels: ``PLAYOUT AL … BR``, ``DISC 1 L, R``; one where all are the same. Where the
    numbers between the ends are not all there, that is to be seen: ``TL1, 3 … 15``."""
    first, last = labels[0], labels[-1]
    if len(set(labels)) == 1:
        return first
    if gapped := _with_gaps(labels):
        return gapped
    stem, space, _ = first.rpartition(" ")
    shared = bool(space) and last.startswith(stem + space)
    rest = last[len(stem) + 1 :] if shared else last
    if len(labels) == 2:
        return f"{first}, {rest}" if shared else ", ".join(filter(None, labels))
    whole = f"{first} … {last}"
    return whole if len(whole) <= LONG_RUN else f"{first} … {rest}"


def _with_gaps(labels: Sequence[str]) -> str:
    """Labels with numbers behind one stem that leave numbers out: in even steps by the first two
    and the last, ``TL043, 045 … 057``; few by all; else by their ends and how many they are. Empty
    for all others."""
    found = [NUMBERED.match(label) for label in labels]
    taken = [match.groups() for match in found if match]
    if len(labels) < MOST_NAMED or len(taken) < len(labels):
        return ""
    if len({(stem, tail) for stem, _, tail in taken}) > 1:
        return ""
    steps = {int(b) - int(a) for (_, a, _), (_, b, _) in pairwise(taken)}
    if steps <= {0, 1}:
        return ""
    first, *rest = (f"{number}{tail}" for _, number, tail in taken)
    stem = taken[0][0]
    if len(labels) == MOST_NAMED:
        return f"{stem}{first}, {', '.join(rest)}"
    if len(steps) == 1:
        return f"{stem}{first}, {rest[0]} … {rest[-1]}"
    return f"{len(labels)} of {stem}{first} … {rest[-1]}"
