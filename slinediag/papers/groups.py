"""Channel groups of a bay: a letter and a bar each, the letter so that colour is never alone.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise, product
from string import ascii_uppercase

from slinediag.drawing import styles
from slinediag.drawing.marks import Mark, Rect, Ref, Style
from slinediag.geometry import Box
from slinediag.model.bay import Bay

# Okabe and Ito's colours that reach 3 : 1 on white (WCAG 2 SC 1.4.11), and the grey that does.
COLOURS = (styles.BLUE, styles.VERMILION, styles.GREEN, styles.PURPLE, styles.LINE_GREY)


LOOKS = tuple((colour, striped) for striped, colour in product((False, True), COLOURS))
"""What bars look like, colour and stripe, first those that are seen best."""
STRIPE = 3
"""A white stripe along the middle of a bar takes one part of so many."""


@dataclass(frozen=True, slots=True)
class ChannelGroup:
    """A group as strips show it; ``striped``: with white along the middle of its colour."""

    name: str
    letter: str
    colour: str
    striped: bool = False

    def bar(self, box: Box, ref: Ref | None = None) -> Iterator[Mark]:
        """Its colour over a box."""
        yield Rect(box, Style(stroke=None, fill=self.colour), ref=ref)
        if self.striped:
            high = box.height // STRIPE
            stripe = Box(box.x, box.y + (box.height - high) // 2, box.width, high)
            yield Rect(stripe, Style(stroke=None, fill=styles.PAPER))


def groups_of(bay: Bay) -> dict[str, ChannelGroup]:
    """The groups of a bay by name, in the order of its positions.

    A group's letter is the first of its name that is free, else the first free of the alphabet;
    of more than 26 groups the last have two letters. No two groups of ten look alike, and of more
    than ten none that follow each other.
    """
    runs = [name for name, _, _ in group_runs(bay)]
    beside: dict[str, set[str]] = {name: set() for name in runs}
    for one, other in pairwise(runs):
        beside[one].add(other)
        beside[other].add(one)
    found: dict[str, ChannelGroup] = {}
    for number, name in enumerate(beside):
        taken = {group.letter for group in found.values()}
        letter = next(c for c in _letters(name) if c not in taken)
        near = {(g.colour, g.striped) for g in found.values() if g.name in beside[name]}
        start = number % len(LOOKS)
        turn = (*LOOKS[start:], *LOOKS[:start])
        look = next((look for look in turn if look not in near), LOOKS[start])
        found[name] = ChannelGroup(name, letter, *look)
    return found


def _letters(name: str) -> Iterator[str]:
    yield from (c for c in name.upper() if c in ascii_uppercase)
    yield from ascii_uppercase
    yield from (a + b for a in ascii_uppercase for b in ascii_uppercase)


def group_runs(bay: Bay) -> Iterator[tuple[str, int, int]]:
    """Runs of positions of one group: its name, first and last position."""
    positions = range(1, bay.width + 1)
    for name, run in groupby(positions, key=lambda n: bay.point(n).group):
        members = list(run)
        if name:
            yield name, members[0], members[-1]
