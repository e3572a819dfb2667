"""Better linear orders of blocks: each block in turn is taken out and put where it costs least.

Several orders of the same blocks are changed side by side, each on its own, and blocks that have
no say in each other's costs at once: the arrays of one alone are too short to be worth their
calls.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from slinediag.layout.crews import Crews
from slinediag.layout.terms import Terms

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What is sure to be drawn has this weight; what is so unlikely that it has none never is.
SURE = 2**30


class Orders:
    """Orders under change, all kept in one row of numbers, since few long arrays are the fastest.

    ``count`` blocks have ``count`` + 1 slots to go to. Slot k of order r is number
    r * (count + 1) + k of all, and a block at place k has the number of the slot below it. Two
    more numbers of each order stand for places below and above all. A crew has a row of slots for
    each order and block, order by order; per crew: ``lines`` are where the numbers of its rows'
    blocks are kept, ``beyond`` how much further a row's slots begin than its order's. ``meets``
    tells where the numbers of the blocks are that the crew's steps ask after (low, high, step),
    ``further`` how much further a step's row begins, ``rises`` and ``falls`` what each step costs
    the one way round and the other. ``turns``: (block, rank in its crew) of those with arcs.
    """

    def __init__(self, terms: Terms, places: Sequence[Sequence[int]], crews: Crews) -> None:
        self.terms, self.crews = terms, crews
        self.copies, self._width = len(places), terms.count + 1
        self._first = np.arange(self.copies) * self._width
        ends = [[terms.count, -1]] * self.copies
        spots = np.concatenate([np.array(places, np.int64), np.array(ends)], axis=1)
        self._spots = (spots + self._first[:, None] + 1).ravel()
        self._unmoved = np.arange(self.copies * self._width + 1)
        arcs = terms.pairs.arcs.starts
        self._turns = [
            [(block, rank) for rank, block in enumerate(crew) if arcs[block] < arcs[block + 1]]
            for crew in crews.members
        ]
        self._lines: list[Ints] = []
        self._beyond: list[Ints] = []
        self._meets: list[Ints] = []
        self._further: list[Ints] = []
        self._rises: list[Floats] = []
        self._falls: list[Floats] = []
        for crew in crews.members:
            self._add_crew(np.array(crew))

    def _add_crew(self, crew: Ints) -> None:
        terms, copies = self.terms, np.arange(self.copies)[:, None]
        parts = [slice(terms.starts[block], terms.starts[block + 1]) for block in crew.tolist()]
        rank = np.arange(len(crew)).repeat([part.stop - part.start for part in parts])
        asked = (terms.lows, terms.highs, terms.steps)
        table = np.stack([np.concatenate([of[part] for part in parts]) for of in asked])
        jumps = np.concatenate([terms.jumps[part] for part in parts])
        ahead = copies * (len(crew) - 1) * self._width
        self._lines.append((copies * (terms.count + 2) + crew).ravel())
        self._beyond.append((ahead + np.arange(len(crew)) * self._width).ravel())
        self._meets.append((table[:, None] + copies * (terms.count + 2)).reshape(3, -1))
        self._further.append((ahead + rank * self._width).ravel())
        self._rises.append(np.tile(jumps, self.copies))
        self._falls.append(-self._rises[-1])

    @property
    def places(self) -> Ints:
        """Entry [r, x]: where block x stands in order r, 0 on top."""
        spots = self._spots.reshape(self.copies, -1)[:, : self.terms.count]
        found: Ints = spots - self._first[:, None] - 1
        return found

    def crossings(self) -> list[int]:
        """Of each order."""
        return [self.terms.pairs.crossings(places) for places in self.places]

    def costs(self, crew: int) -> Ints:
        """Entry [r, k]: the cost with row r's block just above place k, less the row's least."""
        low, high, step = self._spots.take(self._meets[crew])
        size = len(self._lines[crew]) * self._width
        if size > self.copies * self._width:
            step += self._further[crew]
        # The same as np.where, in less time.
        jumps = self._falls[crew].copy()
        np.putmask(jumps, low > high, self._rises[crew])
        found = np.bincount(step, jumps, size).astype(np.int64)
        for block, rank in self._turns[crew]:
            self._add_turns(found, block, self._beyond[crew][rank :: len(self.crews.members[crew])])
        # Whole numbers add up faster; what one row adds to the next goes with its least.
        costs: Ints = found.cumsum().reshape(-1, self._width)
        costs -= np.minimum.reduce(costs, axis=1, keepdims=True)
        return costs

    def _add_turns(self, found: Ints, block: int, beyond: Ints) -> None:
        steps, turns = self.terms.pairs.arcs.jumps(block, self._spots.reshape(self.copies, -1))
        steps = steps + beyond[:, None]
        found += np.bincount(steps.ravel(), turns.ravel(), len(found)).astype(np.int64)

    def move(self, crew: int, slots: Ints) -> None:
        """Put the block of row r just above what now stands at place ``slots[r]``."""
        first = self._first.repeat(len(self.crews.members[crew]))
        lines = self._lines[crew]
        self._move(lines, self._spots.take(lines), first + slots)

    def _move(self, lines: Ints, here: Ints, there: Ints) -> None:
        """Put blocks from their numbers ``here`` into the slots ``there``."""
        moves = ((there > here) | (there < here - 1)).nonzero()[0]
        if len(moves) > 1:
            self._move_many(lines[moves], here[moves], there[moves])
        elif len(moves):
            old, new = int(here[moves[0]]), int(there[moves[0]])
            moved = self._unmoved.copy()
            if new > old:
                moved[old + 1 : new + 1] -= 1
                moved[old] = new
            else:
                moved[new + 1 : old] += 1
                moved[old] = new + 1
            self._spots = moved.take(self._spots)

    def _move_many(self, lines: Ints, here: Ints, there: Ints) -> None:
        by_slot = there.argsort(kind="stable")
        there = there[by_slot]
        here.sort()
        # What stands below a place that is left moves up, what stands below a slot taken, down.
        change = np.bincount(there + 1, minlength=len(self._unmoved) + 1)
        change[: here[-1] + 2] -= np.bincount(here + 1)
        self._spots += change.cumsum().take(self._spots)
        before = np.arange(1, len(there) + 1) - here.searchsorted(there, "right")
        self._spots[lines[by_slot]] = there + before

    def sift(self, crew: int) -> list[int]:
        """Put each block where it costs least; the blocks for which that saves in any order."""
        costs = self.costs(crew)
        lines, beyond = self._lines[crew], self._beyond[crew]
        here = self._spots.take(lines)
        saves = costs.ravel().take(here - 1 + beyond) > 0
        if not saves.any():
            return []
        best = costs.argmin(axis=1) + np.arange(len(lines)) * self._width - beyond
        self._move(lines, here, np.where(saves, best, here))
        members = self.crews.members[crew]
        saved: list[int] = (saves.nonzero()[0] % len(members)).tolist()
        return [members[rank] for rank in saved]

    def shake(self, crew: int, odds: Ints, chances: Floats) -> None:
        """Put each block by chance, cheaper places more likely (heat bath)."""
        drawn = odds.take(self.costs(crew).ravel(), mode="clip").cumsum()
        ends = drawn[self._width - 1 :: self._width]
        begins = np.concatenate(([0], ends[:-1]))
        limits = begins + (chances * (ends - begins)).astype(np.int64)
        lines = self._lines[crew]
        there = drawn.searchsorted(limits, "right") - self._beyond[crew]
        self._move(lines, self._spots.take(lines), there)


def odds_at(heat: float) -> Ints:
    """How likely a place is drawn, by what it costs more than the cheapest; the last is 0.

    Whole numbers, so that the last bits of exp on another machine cannot matter.
    """
    most = int(heat * np.log(SURE)) + 2
    found: Ints = (np.exp(np.arange(most) * (-1 / heat)) * SURE).astype(np.int64)
    return found


def sift(orders: Orders, chance: random.Random, sweeps: int) -> None:
    """Sift all crews until nothing is saved, at most ``sweeps`` times."""
    members, near = orders.crews.members, orders.crews.near
    own = [sum(1 << block for block in crew) for crew in members]
    numbers = list(range(len(members)))
    # A block that costs least where it stands does so until one that it meets moves.
    stale = every = sum(own)
    for _ in range(sweeps):
        chance.shuffle(numbers)
        for crew in numbers:
            if stale & own[crew]:
                stale &= ~own[crew]
                for block in orders.sift(crew):
                    stale |= near[block] & every
        if not stale:
            break


def anneal(orders: Orders, chance: random.Random, sweeps: int, heats: tuple[float, float]) -> None:
    """Shake all crews with falling heat, then sift, at most as often again."""
    hot, cold = heats
    numbers = list(range(len(orders.crews.members)))
    sizes = [orders.copies * len(crew) for crew in orders.crews.members]
    for sweep in range(sweeps):
        odds = odds_at(hot * (cold / hot) ** (sweep / max(1, sweeps - 1)))
        chance.shuffle(numbers)
        chances = np.array([chance.random() for _ in range(sum(sizes))])
        done = 0
        for crew in numbers:
            orders.shake(crew, odds, chances[done : done + sizes[crew]])
            done += sizes[crew]
    sift(orders, chance, sweeps)
