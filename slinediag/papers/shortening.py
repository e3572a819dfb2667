"""The least shortening that makes a set of labels fit, found exactly.

A word prints alike wherever it stands, so a choice is one number a word: which of its ways to
print, 0 for itself. A label *needs* some words short enough; whether it fits never turns from yes
to no as words get narrower. Best is, in this order: fewest labels that do not fit, fewest words
shortened, fewest letters lost.

The search is branch and bound over the least choices that satisfy one label after another. Labels
that share no word, and whose words cannot be mistaken for each other, are searched apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import NamedTuple

from slinediag.papers.glossary import Glossary

UNFIT = 1_000_000
SHORTENED = 1_000
MOST_STEPS = 60_000
"""Branches tried for one group of labels before the best so far is taken, unproven."""
MOST_CHOICES = 4_096
"""Ways to shorten one label that are looked at one by one."""

LOOK_ALIKE = str.maketrans("IL0S5Z2B8", "11OSSZZBB")
"""Characters that are taken for each other: L-I-1 and O-0, and by common practice S-5, Z-2, B-8."""


class Need(NamedTuple):
    """One label: its words, and whether it fits when they print like this."""

    words: tuple[str, ...]
    fits: Callable[[tuple[str, ...]], bool]


@dataclass(frozen=True, slots=True)
class Shortening:
    """How each word prints, the labels that do not fit (by number), and whether that is proven
    to be the best."""

    printed: Mapping[str, str]
    unfit: frozenset[int]
    proven: bool

    def shown(self, words: Iterable[str]) -> tuple[str, ...]:
        """Words as they print."""
        return tuple(self.printed.get(word, word) for word in words)


def skeleton(form: str) -> str:
    """What a form looks like at a glance; two of one skeleton are look-alikes."""
    return form.translate(LOOK_ALIKE)


def confusable(one: str, other: str, glossary: Glossary) -> bool:
    """Whether two printed forms read alike or are taken for each other."""
    return skeleton(one) == skeleton(other) or frozenset((one, other)) in glossary.apart


def shorten(needs: Sequence[Need], glossary: Glossary) -> Shortening:
    """The best shortening of these labels."""
    words = sorted({word for need in needs for word in need.words})
    ways = {word: glossary.ways(word) for word in words}
    clashes = _clashes(words, ways, glossary)
    tight = {n: found for n, need in enumerate(needs) if (found := _least_choices(need, ways))}
    hopeless = {n for n, choices in tight.items() if choices == [None]}
    chosen = dict.fromkeys(words, 0)
    unfit, proven = set(hopeless), True
    for group in _groups({n: c for n, c in tight.items() if n not in hopeless}, clashes):
        search = _Search({n: _real(tight[n]) for n in group}, ways, clashes)
        search.run()
        chosen.update(search.best)
        unfit |= search.best_unfit
        proven &= search.proven
    printed = {word: ways[word][number] for word, number in chosen.items()}
    return Shortening(printed, frozenset(unfit), proven)


Choice = Mapping[str, int]
Clash = tuple[str, int, str, int]


def _real(choices: Sequence[Choice | None]) -> list[Choice]:
    return [choice for choice in choices if choice is not None]


def _least_choices(need: Need, ways: Mapping[str, tuple[str, ...]]) -> list[Choice | None]:
    """The least choices of words with which a label fits, none of which holds another.

    Empty where it fits as it stands; ``[None]`` where nothing makes it fit.
    """
    words = tuple(dict.fromkeys(need.words))

    def fits(choice: Sequence[int]) -> bool:
        of = dict(zip(words, choice, strict=True))
        return need.fits(tuple(ways[word][of[word]] for word in need.words))

    if fits([0] * len(words)):
        return []
    depths = [len(ways[word]) for word in words]
    if not fits([depth - 1 for depth in depths]):
        return [None]
    found: list[tuple[int, ...]] = []
    for choice in _by_sum(depths):
        beyond = any(all(a >= b for a, b in zip(choice, f, strict=True)) for f in found)
        if not beyond and fits(choice):
            found.append(choice)
    return [{w: i for w, i in zip(words, choice, strict=True) if i} for choice in found]


def _by_sum(depths: Sequence[int]) -> list[tuple[int, ...]]:
    """All choices, least first; of a label of very many words only its shortest."""
    size = 1
    for depth in depths:
        size *= depth
    if size > MOST_CHOICES:
        return [tuple(depth - 1 for depth in depths)]
    return sorted(product(*(range(depth) for depth in depths)), key=lambda c: (sum(c), c))


def _clashes(
    words: Sequence[str], ways: Mapping[str, tuple[str, ...]], glossary: Glossary
) -> dict[str, list[Clash]]:
    """By word, the pairs of prints that may not stand together, at least one of them a short form.

    Two words that are look-alikes as filed cannot be put right by shortening and are let be.
    """
    found: dict[str, list[Clash]] = {word: [] for word in words}
    looks: dict[str, list[tuple[str, int]]] = {}
    for word in words:
        for number, form in enumerate(ways[word]):
            looks.setdefault(skeleton(form), []).append((word, number))
    pairs = [pair for prints in looks.values() for pair in combinations(prints, 2)]
    pairs += _kept_apart(words, ways, glossary)
    for (one, i), (other, j) in pairs:
        if one != other and (i or j) and glossary.meaning(one) != glossary.meaning(other):
            found[one].append((one, i, other, j))
            found[other].append((other, j, one, i))
    return found


def _kept_apart(
    words: Sequence[str], ways: Mapping[str, tuple[str, ...]], glossary: Glossary
) -> Iterator[tuple[tuple[str, int], tuple[str, int]]]:
    places: dict[str, list[tuple[str, int]]] = {}
    for word in words:
        for number, form in enumerate(ways[word]):
            places.setdefault(form, []).append((word, number))
    for pair in sorted(map(sorted, glossary.apart)):
        if len(pair) == 2:
            yield from product(places.get(pair[0], ()), places.get(pair[1], ()))


def _groups(
    tight: Mapping[int, Sequence[Choice | None]], clashes: Mapping[str, list[Clash]]
) -> list[list[int]]:
    """Labels in groups that cannot concern each other, in the order of their first label."""
    group_of: dict[str, int] = {}
    groups: dict[int, set[int]] = {}
    for number, choices in tight.items():
        words = {word for choice in _real(choices) for word in choice}
        near = words | {clash[2] for word in words for clash in clashes[word]}
        joined = {group_of[word] for word in near if word in group_of}
        members = {number}.union(*(groups.pop(g) for g in joined))
        groups[number] = members
        for word in [w for w, g in group_of.items() if g in joined] + sorted(near):
            group_of[word] = number
    return sorted(sorted(members) for members in groups.values())


class _Search:
    """Branch and bound over one group; ``best`` is the choice of its words that are shortened."""

    def __init__(
        self,
        needs: Mapping[int, list[Choice]],
        ways: Mapping[str, tuple[str, ...]],
        clashes: Mapping[str, list[Clash]],
    ) -> None:
        self._needs = needs
        self._ways = ways
        self._clashes = clashes
        self._steps = 0
        self._best_cost = len(needs) * UNFIT + 1
        self.best: dict[str, int] = {}
        self.best_unfit: set[int] = set(needs)
        self.proven = True

    def run(self) -> None:
        """Search until nothing better is left, or the steps are used up."""
        self._branch({}, frozenset(), 0)

    def cost(self, word: str, number: int) -> int:
        """What printing a word this way costs: one more word shortened, and its letters lost."""
        ways = self._ways[word]
        return SHORTENED + len(ways[0]) - len(ways[number]) if number else 0

    def _branch(self, chosen: dict[str, int], given_up: frozenset[int], cost: int) -> None:
        """Decide on one more clash or need, unless what is decided costs too much already."""
        self._steps += 1
        if self._steps > MOST_STEPS:
            self.proven = False
            return
        open_needs = {
            n: [self._raise(choice, chosen) for choice in choices]
            for n, choices in self._needs.items()
            if n not in given_up and not any(_meets(chosen, choice) for choice in choices)
        }
        if cost + self._bound(open_needs) >= self._best_cost:
            return
        clash = self._clash(chosen)
        if clash is not None:
            self._part(clash, chosen, given_up, cost)
        elif open_needs:
            self._satisfy(open_needs, chosen, given_up, cost)
        else:
            self._best_cost, self.best, self.best_unfit = cost, dict(chosen), set(given_up)

    def _satisfy(
        self,
        open_needs: Mapping[int, list[tuple[int, Choice]]],
        chosen: dict[str, int],
        given_up: frozenset[int],
        cost: int,
    ) -> None:
        """Every way to satisfy the label with the fewest ways, cheapest first, or none of them."""
        number = min(open_needs, key=lambda n: (len(open_needs[n]), -_cheapest(open_needs[n]), n))
        for extra, choice in sorted(open_needs[number], key=lambda way: way[0]):
            raised = {**chosen, **{w: max(i, chosen.get(w, 0)) for w, i in choice.items()}}
            self._branch(raised, given_up, cost + extra)
        self._branch(chosen, given_up | {number}, cost + UNFIT)

    def _raise(self, choice: Choice, chosen: Mapping[str, int]) -> tuple[int, Choice]:
        extra = sum(
            self.cost(word, number) - self.cost(word, chosen.get(word, 0))
            for word, number in choice.items()
            if number > chosen.get(word, 0)
        )
        return extra, choice

    def _bound(self, open_needs: Mapping[int, list[tuple[int, Choice]]]) -> int:
        """What satisfying labels that share no word costs at least."""
        taken: set[str] = set()
        bound = 0
        order = sorted(open_needs, key=lambda n: (-_cheapest(open_needs[n]), n))
        for number in order:
            words = {word for _, choice in open_needs[number] for word in choice}
            if not words & taken:
                taken |= words
                bound += min(UNFIT, _cheapest(open_needs[number]))
        return bound

    def _clash(self, chosen: Mapping[str, int]) -> Clash | None:
        """A pair of prints that may not stand together."""
        for word in sorted(chosen):
            for clash in self._clashes[word]:
                if chosen[word] == clash[1] and chosen.get(clash[2], 0) == clash[3]:
                    return clash
        return None

    def _part(
        self, clash: Clash, chosen: dict[str, int], given_up: frozenset[int], cost: int
    ) -> None:
        """Print one of a clashing pair shorter still: whatever is left must do one of the two."""
        for word, number in (clash[:2], clash[2:]):
            if number + 1 < len(self._ways[word]):
                extra = self.cost(word, number + 1) - self.cost(word, number)
                self._branch({**chosen, word: number + 1}, given_up, cost + extra)


def _cheapest(ways: Sequence[tuple[int, Choice]]) -> int:
    return min(extra for extra, _ in ways)


def _meets(chosen: Mapping[str, int], choice: Choice) -> bool:
    return all(chosen.get(word, 0) >= number for word, number in choice.items())
