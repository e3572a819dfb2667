"""What the sheets of a drawing look like, as digests that their files bear: so that a person who
draws them again is told which have to be printed again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from slinediag.chart.borne import of_whole, picture_borne
from slinediag.chart.ranges import number_ranges
from slinediag.drawing.marks import Drawing, Group, Mark

INKED = 1
"""Raised when painters come to ink the same marks otherwise: then every sheet counts as changed."""


def picture_of(drawing: Drawing) -> str:
    """A digest of all that is inked on a sheet; not of what its marks stand for, which is unseen.

    Sheets with the same digest are the same picture.
    """
    inked = (INKED, drawing.width, drawing.height, *_inked(drawing.marks))
    return hashlib.blake2b(repr(inked).encode("utf-8", "replace"), digest_size=16).hexdigest()


def _inked(marks: Iterable[Mark]) -> Iterator[Mark]:
    """Marks in painting order without what they stand for."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from _inked(mark.marks)
        else:
            yield replace(mark, ref=None)


def pictures_of(drawings: Sequence[Drawing]) -> dict[int, str]:
    """By number, what sheets look like."""
    return {number: picture_of(drawing) for number, drawing in numbered(drawings)}


def with_pictures(drawings: Sequence[Drawing], pictures: Mapping[int, str]) -> tuple[Drawing, ...]:
    """The sheets, each bearing what it looks like, and of which drawing it is."""
    whole = next((found for each in drawings if (found := of_whole(each.bears))), ())
    return tuple(
        replace(
            drawing,
            bears=(
                *(() if of_whole(drawing.bears) else whole),
                *drawing.bears,
                *picture_borne(number, pictures[number]),
            ),
        )
        for number, drawing in numbered(drawings)
    )


def numbered(drawings: Sequence[Drawing]) -> Iterator[tuple[int, Drawing]]:
    """The sheets, each with the number by which others of its set call it."""
    for place, drawing in enumerate(drawings, 1):
        yield drawing.number or place, drawing


def to_print(before: Mapping[int, str], now: Mapping[int, str]) -> str:
    """Which sheets have to be printed again, in words, by what those of the earlier drawing and of
    this one look like; nothing where that is not known of the earlier."""
    if not before:
        return ""
    changed = [number for number, picture in now.items() if before.get(number) != picture]
    if len(now) == 1 == len(before):
        return "the sheet has changed: print it again" if changed else "the sheet is as it was"
    gone = sorted(before.keys() - now.keys())
    left = f"; no longer of the set: {number_ranges(gone)}" if gone else ""
    if not changed:
        return f"no sheet to print again: all {len(now)} are as they were{left}"
    if len(changed) == len(now):
        return f"sheets to print again: all {len(now)}{left}"
    sheets = f"{number_ranges(changed)} (of {len(now)}); the others are as they were"
    return f"sheets to print again: {sheets}{left}"
