"""Patches that can stand side by side: input by input, the best that keeps restored what is.

A patch may not harm an input of a higher priority than the one it restores, nor as many of its own
as it brings back; and those that harm one of its own stand behind those that do not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from slinediag.address import Jack
from slinediag.model.facility import Cord
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Moves, put
from slinediag.tracing.outage.heard import Listener
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.needs import leading_nowhere
from slinediag.tracing.outage.outlets import Moved, Outlets
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import Candidate, Harm, harm_of
from slinediag.tracing.outage.search import EXACT, Search
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.view import View
from slinediag.tracing.values import CordEnds

Spread = frozenset[tuple[int, Jack]]
"""Inputs whose cord goes through a mult, so that others may have the same: with its jack."""

SHORT = 4
"""How much of what an input falls short of is worth another jack: not single origins."""

NOTHING_SPREAD: Spread = frozenset()


class Taken(NamedTuple):
    """A patch that is chosen, and the input for which it is.

    ``shared``: its cords lead through a mult, one after the other.
    """

    number: int
    moved: Moved
    shared: bool = False


class Terms:
    """What holds for all ways to put the patches of one failure side by side."""

    def __init__(self, situation: Situation, proof: Proof, keep: bool, moves: int) -> None:
        self.situation = situation
        self.proof = proof
        self.keep = keep
        self.moves = moves
        self.listener = Listener(situation)

    @cached_property
    def wanted(self) -> tuple[int, ...]:
        """The silenced inputs that somebody misses, those of a high priority first.

        Of those of none, first those whose audio comes to one as filed, the highest first: what
        feeds the transmitter has the choice of jacks before a meter.
        """
        nowhere, rank = leading_nowhere(self.situation), self.situation.rank
        missed = (number for number in self.situation.silenced if number not in nowhere)
        return tuple(sorted(missed, key=lambda number: (rank(number), self._rank_ahead(number))))

    def _rank_ahead(self, number: int) -> int:
        """The highest rank of the inputs that an input's audio comes to as filed, and its own."""
        hearing, rank = self.situation.before.hearing, self.situation.rank
        ahead = {number}
        for output in bits(hearing.outputs_far_beyond(number)):
            ahead |= hearing.fed_by(output)
        return min(map(rank, ahead))

    def as_moves(self, chosen: Moved) -> Moves:
        """Cords and pulls as moves of the board."""
        board = self.situation.board
        kinds = board.kind_of
        moves = [put(kinds[one], kinds[other]) for one, other in chosen.cords]
        pulls = (board.pull(board.cords.index(cord)) for cord in chosen.pulls)
        return tuple(sorted([*moves, *pulls]))

    def quality(self, number: int, effect: Effect) -> tuple[bool, bool, bool, int]:
        """What an input that is restored falls short of: its level does not fit, it does not hear
        just what it heard, or by another mix; how many origins are missing. Less is better."""
        situation = self.situation
        hears, heard = effect.hears.get(number, situation.hears[number]), situation.heard[number]
        change = situation.level_change(number, situation.level(number, effect))
        return (
            not situation.fits(change),
            hears != heard,
            self.listener.heard(number, effect).mix,
            (heard & ~hears).bit_count(),
        )


class SideBySide:
    """Cords and pulls chosen so far, and the inputs they restore."""

    def __init__(
        self, terms: Terms, spread: Spread = NOTHING_SPREAD, *, searching: bool = True
    ) -> None:
        """``searching``: whether to search anew where no listed patch stands beside the others."""
        self.terms, self.spread = terms, spread
        self.situation = terms.situation
        self.chosen = Moved((), ())
        self.restored: list[int] = []
        self.taken: list[Taken] = []
        self.ranked = 0
        """How many of these restore an input of a priority: they come first."""
        self._searching = searching

    def choose(self, listed: Mapping[int, Sequence[Candidate]]) -> None:
        """Go through the silenced inputs, those first that stand first in the answer."""
        for number in self.terms.wanted:
            if self._holds(number, self.moves):
                self.restored.append(number)
                continue
            rank = self.situation.rank(number)
            found = sorted(listed.get(number, ()), key=lambda c: bool(c.grade.harm[rank]))
            if not found or self._take_spread(number, found) or self._take_listed(number, found):
                continue
            if self._searching:
                self._search_on(number, listed[number][0])

    @property
    def moves(self) -> Moves:
        """All that is chosen."""
        return self.terms.as_moves(self.chosen)

    @property
    def harmed(self) -> int:
        """The inputs that suffer from all that is chosen."""
        return self._harmed(self.moves)

    # ---- one patch more

    def _take_spread(self, number: int, found: Sequence[Candidate]) -> bool:
        """Take the best single cord at a jack to be shared by way of a mult, if that is asked."""
        shared = [jack for spread, jack in self.spread if spread == number]
        for jack in sorted(shared, key=self.situation.board.place.__getitem__):
            outlets = Outlets(self.situation, self.chosen, self.moves)
            ways = (
                Moved(cords, ())
                for candidate in found
                if not candidate.pulls and len(candidate.cords) == 1
                if jack in candidate.cords[0]
                for cords in outlets.through_mult(jack, _mate(candidate.cords[0], jack))
            )
            for way in ways:
                if way.size <= self.terms.moves and self._stands_beside(number, way):
                    self._add(number, way, shared=True)
                    return True
        return False

    def _take_listed(self, number: int, found: Sequence[Candidate]) -> bool:
        """Take the first listed patch that can stand beside the others, or one as good that brings
        more of the silent inputs back."""
        outlets = Outlets(self.situation, self.chosen, self.moves)
        patches = [Moved(candidate.cords, candidate.pulls) for candidate in found]
        best = None
        for place, patch in enumerate(patches):
            ways = outlets.variants(patch)
            best = next((way for way in ways if self._stands_beside(number, way)), None)
            if best is not None:
                patches = patches[:place]
                break
        best = self._fuller(number, best, patches, outlets)
        if best is None:
            return False
        self._add(number, self._most_back(number, best, found, outlets))
        return True

    def _fuller(
        self, number: int, first: Moved | None, better: Sequence[Moved], outlets: Outlets
    ) -> Moved | None:
        """A patch, or one that stands before it, fed from another jack that shares what is chosen,
        where that leaves the input more of what it heard; none where neither can be done."""
        best, worth = first, None if first is None else self._worth(number, first)[:SHORT]
        for patch in better:
            for way in outlets.from_others(patch):
                known = self._worth(number, way)[:SHORT]
                if (worth is None or known < worth) and self._stands_beside(number, way):
                    best, worth = way, known
        return best

    def _most_back(
        self, number: int, first: Moved, found: Sequence[Candidate], outlets: Outlets
    ) -> Moved:
        """A patch, or another of as many moves and as good that brings more inputs back."""
        if first.size < EXACT or self.terms.keep:
            return first
        best, back = first, self._back(first)
        worth = self._worth(number, first)
        pulls = (self.situation.board.cords[pull.pulled] for pull in self.situation.pulls)
        sources = [jack for candidate in found for cord in candidate.cords for jack in cord]
        kept = [cord for cord in pulls if cord not in self.chosen.pulls]
        for way in outlets.refeeds(sources, kept):
            more = self._back(way)
            if (
                more > back
                and self._worth(number, way) <= worth
                and self._stands_beside(number, way)
            ):
                best, back = way, more
        return best

    def _back(self, patch: Moved) -> Harm:
        """How many of the silent inputs are back with a patch more, by priority."""
        effect = self.situation.effect(self._with(patch))
        back = sum(1 << n for n in self.terms.wanted if self.situation.restored(n, effect))
        return harm_of(self.situation, back)

    def _worth(self, number: int, patch: Moved) -> tuple[object, ...]:
        """What an input falls short of with a patch more, and whom all then harms."""
        moves = self._with(patch)
        effect = self.situation.effect(moves)
        return (
            not self.situation.restored(number, effect),
            *self.terms.quality(number, effect),
            harm_of(self.situation, self._harmed(moves)),
        )

    def _with(self, patch: Moved) -> Moves:
        """What is chosen and a patch, as moves."""
        return self.terms.as_moves(_joined(self.chosen, patch))

    def _stands_beside(self, number: int, patch: Moved) -> bool:
        """Whether a patch can stand beside what is chosen and keeps what that restores."""
        if not self._room_for(patch):
            return False
        moves = self._with(patch)
        if not all(self._holds(n, moves) for n in (*self.restored, number)):
            return False
        if not self._worth_its_harm(number, moves):
            return False
        together = _joined(self.chosen, patch)
        return not self.situation.loops(moves) and self.terms.proof.clear(*together)

    def _worth_its_harm(self, number: int, moves: Moves) -> bool:
        """Whether moves newly harm no input of a higher priority, and of the same one fewer than
        they bring back."""
        rank, ranked = self.situation.rank(number), self.situation.inputs_by_rank
        new = self._harmed(moves) & ~self.harmed
        if any(new & higher for higher in ranked[:rank]):
            return False
        equals = (new & ranked[rank]).bit_count()
        if not equals:
            return True
        silent = (n for n in self.terms.wanted if n not in self.restored)
        back = sum(self.situation.rank(n) == rank and self._holds(n, moves) for n in silent)
        return equals < back

    def _add(self, number: int, patch: Moved, *, shared: bool = False) -> None:
        self.taken.append(Taken(number, patch, shared))
        self.ranked += self.situation.facts[number].priority is not None
        self.chosen = _joined(self.chosen, patch)
        self.restored.append(number)

    def _room_for(self, patch: Moved) -> bool:
        taken = _jacks(self.chosen.cords)
        freed = _jacks((*self.chosen.pulls, *patch.pulls))
        taken |= self.situation.board.occupied - freed
        return not taken & _jacks(patch.cords) and not {*patch.pulls} & {*self.chosen.pulls}

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
                and self._stands_beside(number, Moved(patch.cords, patch.pulls))
            )

        for moves in (1, EXACT):
            search = Search(base, choice, proof, number, self.terms.keep)
            found = search.run(min(self.terms.moves, moves), 1, stands)
            if found and (moves == EXACT or found[0].grade[:3] <= alone.grade[:3]):
                self._add(number, Moved(found[0].cords, found[0].pulls))
                return

    def _to_be_spared(self, number: int) -> int:
        """The inputs of a higher priority that what is chosen neither harms nor restores."""
        rank = self.situation.rank(number)
        higher = self.situation.inputs_by_rank[:rank]
        return sum(higher) & ~self.harmed & ~sum(1 << n for n in self.restored)

    def _on_top(self) -> Situation:
        """The situation with what is chosen done, so that only other cords may be pulled."""
        now = self.situation.now
        cords, pulls = self.chosen
        kept = tuple(c for c in now.cords if (c.source, c.target) not in pulls)
        then = replace(now, cords=(*kept, *(Cord(*ends) for ends in cords)))
        return Situation(
            self.situation.filed,
            then,
            self.situation.dead_boxes,
            self.situation.dead_bays,
            pullable=[(c.source, c.target) for c in kept],
            board=self.situation.board.with_cords(then),
            reach=self.situation.reach,
        )

    def _holds(self, number: int, moves: Moves) -> bool:
        return self.situation.restored(number, self.situation.effect(moves))

    def _harmed(self, moves: Moves) -> int:
        harmed = self.situation.effect(moves).harmed
        return harmed & ~sum(1 << n for n in self.restored)


def _joined(one: Moved, other: Moved) -> Moved:
    return Moved((*one.cords, *other.cords), (*one.pulls, *other.pulls))


def _mate(cord: CordEnds, jack: Jack) -> Jack:
    """The other end of a cord."""
    return cord[1] if cord[0] == jack else cord[0]


def _jacks(cords: Iterable[CordEnds]) -> set[Jack]:
    return {jack for cord in cords for jack in cord}
