"""How long the search for the least shortening takes: full rows, and against trying everything.

``python -m tests.bench.bench_strips`` prints the seconds for bays of twice 48 hard labels, and for
small rows how many times longer it takes to try every choice of words, with the same result.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from itertools import product

from slinediag.papers.glossary import bundled
from slinediag.papers.plant_words import plant_words
from slinediag.papers.shortening import Need, shorten
from tests.builders import plant

WORDS = sorted(word for word, forms in bundled().forms.items() if len(forms) > 1)
BAYS, ROWS, ROW = 8, 6, 10


def main() -> None:
    """Print both comparisons."""
    print("seed  words  pitch  seconds  proven  shortened  do not fit")
    for seed in range(BAYS):
        print(full_bay(seed))
    print("seed  words  every choice / search (times)  same")
    for seed in range(ROWS):
        print(small_row(seed))


def full_bay(seed: int) -> str:
    """One bay of 96 labels of two or three words that seldom fit."""
    draw = random.Random(seed)
    words = draw.sample(WORDS, draw.choice((8, 15, 25, 40)))
    pitch = draw.choice((9.13, 12, 15, 18))

    def label() -> str:
        return f"{' '.join(draw.sample(words, draw.choice((2, 3))))} {draw.randint(1, 99)}"

    points = "\n".join(
        f"      {n}: {{label_top: {label()}, label_bottom: {label()}}}" for n in range(1, 49)
    )
    facility = plant(f"bays:\n  PB:\n    name: Bay\n    pitch: {pitch}\n    points:\n{points}\n")
    start = time.perf_counter()
    short = plant_words(facility).bays["PB"].short
    seconds = time.perf_counter() - start
    shortened = sum(word != form for word, form in short.printed.items())
    return (
        f"{seed:4}  {len(words):5}  {pitch:5}  {seconds:7.3f}  {short.proven!s:6}  "
        f"{shortened:9}  {len(short.unfit):10}"
    )


def room_for(letters: int) -> Callable[[tuple[str, ...]], bool]:
    """Whether a label has no more than so many letters and gaps."""
    return lambda shown: len(" ".join(shown)) <= letters


def small_row(seed: int) -> str:
    """A row of few labels, searched and tried through."""
    draw = random.Random(seed)
    words = draw.sample(WORDS, 9)
    needs = [Need(tuple(draw.sample(words, 2)), room_for(draw.randint(7, 12))) for _ in range(ROW)]
    start = time.perf_counter()
    found = shorten(needs, bundled())
    searched = time.perf_counter() - start
    start = time.perf_counter()
    best = tried(needs, sorted({word for need in needs for word in need.words}))
    every = time.perf_counter() - start
    shortened = sum(word != form for word, form in found.printed.items())
    same = (len(found.unfit), shortened) == best
    return f"{seed:4}  {len(words):5}  {every / searched:29.0f}  {same}"


def tried(needs: list[Need], words: list[str]) -> tuple[int, int]:
    """The fewest labels that do not fit, then words shortened, over every choice of words.

    Forms that are taken for each other are let be: the words drawn have none in common.
    """
    ways = [bundled().ways(word) for word in words]
    best = (len(needs) + 1, 0)
    for choice in product(*ways):
        shown = dict(zip(words, choice, strict=True))
        unfit = sum(not need.fits(tuple(shown[word] for word in need.words)) for need in needs)
        short = sum(shown[word] != word for word in words)
        best = min(best, (unfit, short))
    return best


if __name__ == "__main__":
    main()
