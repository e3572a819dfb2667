"""The best of several ways to put patches side by side: jacks that many want, shared by mults.

Taken input by input, the first takes the jack that others want too, and these are left with a
second best: a microphone alone, another mix, or nothing. So where an input comes off worse than by
itself, the patch that holds the jack it wants is tried through a mult, which makes two jacks more
of it, and what all then comes to is compared.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slinediag.address import Jack
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.together import SideBySide, Spread, Terms

MOST_TRIED = 8
"""Jacks that are tried through a mult in each turn."""

Worth = tuple[object, ...]
"""What patches side by side fall short of, priority by priority; how many moves they take."""


def best_side_by_side(
    situation: Situation,
    proof: Proof,
    keep: bool,
    moves: int,
    listed: Mapping[int, Sequence[Candidate]],
) -> SideBySide:
    """The patches side by side that bring most back, and of those the fewest cords.

    ``listed`` are the best patches of each silenced input by itself.
    """
    terms = Terms(situation, proof, keep, moves)
    plain = _chosen(terms, listed)
    spread = _best_spread(terms, listed, plain)
    if not spread:
        return plain
    shared = _chosen(terms, listed, spread)
    return min(plain, shared, key=_worth)


def _chosen(
    terms: Terms,
    listed: Mapping[int, Sequence[Candidate]],
    spread: Spread = frozenset(),
    searching: bool = True,
) -> SideBySide:
    found = SideBySide(terms, spread, searching=searching)
    found.choose(listed)
    return found


def _best_spread(
    terms: Terms, listed: Mapping[int, Sequence[Candidate]], plain: SideBySide
) -> Spread:
    """Which jacks are best shared: one more as long as that is better than without.

    Judged by what is listed alone, without the searches that fill gaps.
    """
    wanted = list(_contended(plain, listed))[:MOST_TRIED]
    if not wanted:
        return frozenset()
    spread: Spread = frozenset()
    best = _chosen(terms, listed, searching=False)
    while wanted:
        tried = [(_chosen(terms, listed, spread | {each}, False), each) for each in wanted]
        found, more = min(tried, key=lambda one: _worth(one[0]))
        if _worth(found) >= _worth(best):
            break
        best, spread = found, spread | {more}
        wanted.remove(more)
    return spread


def _contended(
    plain: SideBySide, listed: Mapping[int, Sequence[Candidate]]
) -> Iterator[tuple[int, Jack]]:
    """Single cords that hold a jack by which another input would come off better, each once."""
    if plain.terms.moves < 2:
        return
    holders = {
        jack: taken.number
        for taken in plain.taken
        if len(taken.moved.cords) == 1 and not taken.moved.pulls
        for jack in taken.moved.cords[0]
    }
    seen = set()
    for number in plain.terms.wanted:
        now = _shortfall(plain, number)
        for candidate in listed.get(number, ()):
            effect = plain.situation.effect(candidate.moves)
            if (False, *plain.terms.quality(number, effect))[:-1] >= now[:-1]:
                continue
            for jack in (jack for cord in candidate.cords for jack in cord):
                holder = holders.get(jack)
                if holder is not None and holder != number and (holder, jack) not in seen:
                    seen.add((holder, jack))
                    yield holder, jack


def _shortfall(chosen: SideBySide, number: int) -> tuple[bool, bool, bool, bool, int]:
    """Whether an input stays silent, else what it falls short of."""
    situation = chosen.situation
    effect = situation.effect(chosen.moves)
    silent = not situation.restored(number, effect)
    return silent, *chosen.terms.quality(number, effect)


def _worth(chosen: SideBySide) -> Worth:
    """How good patches side by side are, less being better."""
    situation = chosen.situation
    ranks: list[list[int]] = [[0] * 6 for _ in situation.inputs_by_rank]
    for number in chosen.terms.wanted:
        silent, misfit, part, mixed, missing = _shortfall(chosen, number)
        rank = ranks[situation.rank(number)]
        if silent:
            rank[0] += 1
        else:
            for place, value in enumerate((misfit, part, mixed, missing), 2):
                rank[place] += value
    for number in bits(chosen.harmed):
        ranks[situation.rank(number)][1] += 1
    counts = [taken.moved.size for taken in chosen.taken]
    return *map(tuple, ranks), sum(counts), counts
