"""Patches that can stand side by side: input by input, the best that keeps restored what is.

A patch may not harm an input of a higher priority than the one it restores.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from slinediag.address import Jack
from slinediag.model.facility import Cord
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Moves, put
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.search import EXACT, Search
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.view import View
from slinediag.tracing.values import CordEnds


class SideBySide:
    """Cords and pulls chosen so far, and the inputs they restore."""

    def __init__(self, situation: Situation, proof: Proof, keep: bool, moves: int) -> None:
        self.situation = situation
        self.cords: tuple[CordEnds, ...] = ()
        self.pulls: tuple[CordEnds, ...] = ()
        self.restored: list[int] = []
        self.taken: list[tuple[tuple[CordEnds, ...], tuple[CordEnds, ...]]] = []
        self.ranked = 0
        """How many of these restore an input of a priority: they come first."""
        self._proof = proof
        self._keep = keep
        self._moves = moves

    def choose(self, listed: Mapping[int, Sequence[Candidate]]) -> None:
        """Go through the silenced inputs, those first that stand first in the answer."""
        for number in self.situation.silenced:
            if self._holds(number, self.moves):
                self.restored.append(number)
                continue
            candidates = listed.get(number, ())
            if not any(self._take(number, c.cords, c.pulls) for c in candidates) and candidates:
                self._search_on(number, candidates[0])

    @property
    def moves(self) -> Moves:
        """All that is chosen."""
        return self._as_moves(self.cords, self.pulls)

    @property
    def harmed(self) -> int:
        """The inputs that suffer from all that is chosen."""
        return self._harmed(self.moves)

    def _take(self, number: int, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> bool:
        """Add a patch where it can stand beside the others and keeps what they restore."""
        if not self._stands_beside(number, cords, pulls):
            return False
        self._add(number, cords, pulls)
        return True

    def _stands_beside(
        self, number: int, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]
    ) -> bool:
        """Whether a patch can stand beside what is chosen and keeps what that restores."""
        if not self._room_for(cords, pulls):
            return False
        moves = self._as_moves((*self.cords, *cords), (*self.pulls, *pulls))
        if not all(self._holds(n, moves) for n in (*self.restored, number)):
            return False
        new = self._harmed(moves) & ~self.harmed
        if any(self.situation.rank(n) < self.situation.rank(number) for n in bits(new)):
            return False
        return not self.situation.loops(moves) and self._proof.clear(
            (*self.cords, *cords), (*self.pulls, *pulls)
        )

    def _add(self, number: int, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> None:
        self.taken.append((cords, pulls))
        self.ranked += self.situation.facts[number].priority is not None
        self.cords, self.pulls = (*self.cords, *cords), (*self.pulls, *pulls)
        self.restored.append(number)

    def _room_for(self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]) -> bool:
        taken = {jack for cord in self.cords for jack in cord}
        freed = _jacks((*self.pulls, *pulls))
        taken |= self.situation.board.occupied - freed
        return not taken & _jacks(cords) and not set(pulls) & set(self.pulls)

    def _search_on(self, number: int, alone: Candidate) -> None:
        """Search anew on top of what is chosen, where no listed patch stands beside it.

        One move is enough where it comes up to the best that there is for the input alone.
        """
        top = self._on_top()
        choice = JackChoice(top)
        base, proof = View(top), Proof(top, choice)
        spared = self._to_be_spared(number)

        def stands(patch: Candidate) -> bool:
            effect = top.effect(patch.moves)
            return (
                all(top.restored(n, effect) for n in self.restored)
                and not any(
                    self.situation.suffers(n, effect.feeds.get(n, top.feeds[n]), hears)
                    for n, hears in effect.hears.items()
                    if spared >> n & 1
                )
                and self._stands_beside(number, patch.cords, patch.pulls)
            )

        for moves in (1, EXACT):
            search = Search(base, choice, proof, number, self._keep)
            found = search.run(min(self._moves, moves), 1, stands)
            if found and (moves == EXACT or found[0].grade[:3] <= alone.grade[:3]):
                self._add(number, found[0].cords, found[0].pulls)
                return

    def _to_be_spared(self, number: int) -> int:
        """The inputs of a higher priority that what is chosen neither harms nor restores."""
        rank = self.situation.rank(number)
        higher = self.situation.inputs_by_rank[:rank]
        return sum(higher) & ~self.harmed & ~sum(1 << n for n in self.restored)

    def _on_top(self) -> Situation:
        """The situation with what is chosen done, so that only other cords may be pulled."""
        now = self.situation.now
        kept = tuple(c for c in now.cords if (c.source, c.target) not in self.pulls)
        return Situation(
            self.situation.filed,
            replace(now, cords=(*kept, *(Cord(*ends) for ends in self.cords))),
            self.situation.dead_boxes,
            self.situation.dead_bays,
            pullable=[(c.source, c.target) for c in kept],
            reach=self.situation.reach,
        )

    def _holds(self, number: int, moves: Moves) -> bool:
        return self.situation.restored(number, self.situation.effect(moves))

    def _harmed(self, moves: Moves) -> int:
        harmed = self.situation.effect(moves).harmed
        return harmed & ~sum(1 << n for n in self.restored)

    def _as_moves(self, cords: Iterable[CordEnds], pulls: Iterable[CordEnds]) -> Moves:
        board = self.situation.board
        kinds = board.kind_of
        moves = [put(kinds[one], kinds[other]) for one, other in cords]
        return tuple(sorted([*moves, *(board.pull(board.cords.index(cord)) for cord in pulls)]))


def _jacks(cords: Iterable[CordEnds]) -> set[Jack]:
    return {jack for cord in cords for jack in cord}
