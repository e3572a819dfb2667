"""Channel groups of a bay: a letter and a colour each, the letter so that colour is never alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from string import ascii_uppercase

from slinediag.drawing import styles
from slinediag.model.bay import Bay

# Okabe and Ito's colours that reach 3 : 1 on white (WCAG 2 SC 1.4.11), and the grey that does.
COLOURS = (styles.BLUE, styles.VERMILION, styles.GREEN, styles.PURPLE, styles.LINE_GREY)


@dataclass(frozen=True, slots=True)
class ChannelGroup:
    """A group as strips show it."""

    name: str
    letter: str
    colour: str


def groups_of(bay: Bay) -> dict[str, ChannelGroup]:
    """The groups of a bay by name, in the order of its positions.

    A group's letter is the first of its name that is free, else the first free of the alphabet;
    of more than 26 groups the last have two letters.
    """
    names = dict.fromkeys(g for n in range(1, bay.width + 1) if (g := bay.point(n).group))
    found: dict[str, ChannelGroup] = {}
    for number, name in enumerate(names):
        taken = {group.letter for group in found.values()}
        letter = next(c for c in _letters(name) if c not in taken)
        found[name] = ChannelGroup(name, letter, COLOURS[number % len(COLOURS)])
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
