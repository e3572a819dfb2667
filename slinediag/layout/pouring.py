"""Saves sheets: what stands on one that is little filled is poured out over others with room.

What holds together moves as one, to the part that it is tied to most. A sheet is saved only where
the ties that this cuts cost less than a sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from slinediag.progress import Tell, stages

PRICE = 4.0
"""What a sheet costs, in the weight of ties."""
NEAR = 4
"""Parts that are tried for what holds together, the most tied first."""
FAR = 8
"""Parts that are tried for all that is left over."""
TIED = 1e-6
"""Ties at all."""
CLOSE = 0.5
"""Ties to a part from which what is poured first goes there; what then is left goes anywhere."""

Ties = Sequence[tuple[float, tuple[int, ...]]]
Part = Sequence[int]


def pour_out(
    parts: Iterable[list[int]],
    ties: Ties,
    sizes: Sequence[float],
    joins: Callable[[Part, Part], bool],
    together: Callable[[Part], list[list[int]]],
    tell: Tell,
) -> list[list[int]]:
    """The parts left when every one that can be is poured out over the others, the smallest first.

    ``ties`` as (weight, members). ``joins``: whether two parts fit one sheet. ``together``: the
    units of a part by what holds together.
    """
    pouring = _Pouring(ties, joins, together)
    now = dict(enumerate(parts))
    size = {number: sum(sizes[unit] for unit in part) for number, part in now.items()}
    smallest = sorted(now, key=lambda n: (size[n], n))
    for least, telling in zip((CLOSE, 0.0), stages(tell, (1, 1)), strict=True):
        for done, number in enumerate(smallest, 1):
            if number in now:
                now = pouring.without(number, now, least) or now
            telling(done / len(smallest), "filling sheets")
    return sorted(now.values())


class _Pouring:
    """The ties of all units, by unit, and what is asked of parts."""

    def __init__(
        self,
        ties: Ties,
        joins: Callable[[Part, Part], bool],
        together: Callable[[Part], list[list[int]]],
    ) -> None:
        self._ties, self._joins, self._together = ties, joins, together
        self._at: dict[int, list[int]] = {}
        for number, (_, members) in enumerate(ties):
            for unit in members:
                self._at.setdefault(unit, []).append(number)

    def without(
        self, number: int, parts: Mapping[int, list[int]], least: float
    ) -> dict[int, list[int]] | None:
        """The other parts with all of this one, where so much ties it at least; None where they
        have no room, or at what cost."""
        now = {n: part for n, part in parts.items() if n != number}
        left: list[int] = []
        for group in self._together(parts[number]):
            if not self._placed(group, now, NEAR, max(least, TIED)):
                left += group
        if left and (least or not self._placed(sorted(left), now, FAR, 0.0)):
            return None
        touched = {tie for unit in parts[number] for tie in self._at.get(unit, ())}
        if self._cost(touched, now) - self._cost(touched, parts) >= PRICE:
            return None
        return now

    def _placed(self, group: list[int], now: dict[int, list[int]], most: int, least: float) -> bool:
        """Whether a group has found room on one of so many parts, which has it from now on."""
        pull = self._pulls(group, now)
        near = [n for n in now if pull.get(n, 0.0) >= least]
        near.sort(key=lambda n: (-pull.get(n, 0.0), len(now[n]), n))
        for number in near[:most]:
            if self._joins(now[number], group):
                now[number] = sorted((*now[number], *group))
                return True
        return False

    def _pulls(self, group: Part, parts: Mapping[int, list[int]]) -> dict[int, float]:
        """By part, how strongly it is tied to a group."""
        part_of = {unit: number for number, part in parts.items() for unit in part}
        found: dict[int, float] = {}
        for tie in sorted({tie for unit in group for tie in self._at.get(unit, ())}):
            weight, members = self._ties[tie]
            for number in {part_of[m] for m in members if m in part_of}:
                found[number] = found.get(number, 0.0) + weight
        return {number: round(weight, 6) for number, weight in found.items()}

    def _cost(self, ties: Iterable[int], parts: Mapping[int, list[int]]) -> float:
        """What these ties cost, each for every sheet but one that its members stand on."""
        part_of = {unit: number for number, part in parts.items() for unit in part}
        return sum(
            self._ties[tie][0] * (len({part_of[m] for m in self._ties[tie][1] if m in part_of}) - 1)
            for tie in sorted(ties)
        )
