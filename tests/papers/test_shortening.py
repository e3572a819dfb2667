"""The search for the least shortening against every choice there is, tried one by one."""

from __future__ import annotations

import random
from itertools import combinations, product

import pytest

from slinediag.papers.glossary import Glossary
from slinediag.papers.shortening import Need, confusable, shorten

FULL = (
    "MONITOR",
    "PROGRAMME",
    "RETURN",
    "SEND",
    "STUDIO",
    "LIMITER",
    "DELAY",
    "OSCILLATOR",
    "DESK",
)
TAILS = ("1", "2", "L", "R", "A")


def narrow(room: int):
    """A label fits where its letters and gaps are no more than the room."""
    return lambda words: len(" ".join(words)) <= room


def random_case(seed: int) -> tuple[list[Need], Glossary]:
    """A few labels of few words, and a glossary in which short forms often meet."""
    draw = random.Random(seed)
    words = draw.sample(FULL, draw.randint(2, 5))
    forms = {}
    for word in words:
        cuts = sorted(draw.sample(range(1, 5), draw.randint(0, 3)), reverse=True)
        forms[word] = tuple(
            draw.choice((word[:cut], word[0] + word[-1] * (cut - 1), "OS"[:cut])) for cut in cuts
        )
    needs = []
    for _ in range(draw.randint(1, 6)):
        label = (*draw.sample(words, draw.randint(1, min(3, len(words)))), draw.choice(TAILS))
        needs.append(Need(label, narrow(draw.randint(3, 18))))
    return needs, Glossary(forms)


def cost_of(
    needs: list[Need], ways: dict[str, tuple[str, ...]], choice: dict[str, int], glossary: Glossary
):
    """(labels that do not fit, words shortened, letters lost) of a choice; None where it is
    not allowed: a short form that is taken for what another word prints."""
    for one, other in combinations(sorted(choice), 2):
        if choice[one] or choice[other]:
            forms = ways[one][choice[one]], ways[other][choice[other]]
            if glossary.meaning(one) != glossary.meaning(other) and confusable(*forms, glossary):
                return None
    unfit = sum(not n.fits(tuple(ways[w][choice[w]] for w in n.words)) for n in needs)
    short = [word for word in choice if choice[word]]
    lost = sum(len(ways[word][0]) - len(ways[word][choice[word]]) for word in short)
    return unfit, len(short), lost


@pytest.mark.parametrize("seed", range(250))
def test_nothing_better_exists(seed: int) -> None:
    needs, glossary = random_case(seed)
    words = sorted({word for need in needs for word in need.words})
    ways = {word: glossary.ways(word) for word in words}
    best = min(
        cost
        for numbers in product(*(range(len(ways[word])) for word in words))
        if (cost := cost_of(needs, ways, dict(zip(words, numbers, strict=True)), glossary))
    )
    found = shorten(needs, glossary)
    choice = {word: ways[word].index(found.printed[word]) for word in words}
    assert cost_of(needs, ways, choice, glossary) == best
    assert len(found.unfit) == best[0]
    assert found.proven


def test_one_label_too_many_gives_way() -> None:
    # Two words whose only short forms are the same: one of the two labels cannot fit.
    glossary = Glossary({"MONITOR": ("MR",), "METER": ("MR",)})
    found = shorten([Need(("MONITOR",), narrow(3)), Need(("METER",), narrow(3))], glossary)
    assert len(found.unfit) == 1


def test_what_is_kept_apart_never_stands_together() -> None:
    # MON is for monitor; where MONO stands too it is taken for it.
    glossary = Glossary({"MONITOR": ("MNTR", "MON")}, apart=frozenset({frozenset(("MON", "MONO"))}))
    needs = [Need(("MONITOR", "L"), narrow(5)), Need(("MONO", "OUT"), narrow(9))]
    assert shorten(needs, glossary).unfit == frozenset({0})
    assert shorten(needs[:1], glossary).shown(("MONITOR", "L")) == ("MON", "L")


def test_a_word_in_many_labels_is_shortened_once() -> None:
    # Shortening DESK once serves all; shortening each partner would take three words.
    glossary = Glossary(
        {"DESK": ("DSK",), "SEND": ("SND",), "STUDIO": ("STUDI",), "DELAY": ("DELY",)}
    )
    needs = [
        Need(("DESK", other), narrow(len(f"DESK {other}") - 1))
        for other in ("SEND", "STUDIO", "DELAY")
    ]
    found = shorten(needs, glossary)
    assert {word for word, form in found.printed.items() if word != form} == {"DESK"}
