"""How the words of a whole plant's strips are shortened: bay by bay, one word alike on all of them.

Each bay is shortened by itself, so that a change on one leaves the strips of the others be. Where
two bays come to two short forms of one word, that word keeps the shorter one on all bays, and they
are shortened again: what fitted still fits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.model.kept import Kept
from slinediag.papers.glossary import LEAST_HEIGHT, Glossary, breadth, bundled
from slinediag.papers.labels import Field, Words, fields, jack_words, runs_of, under_heading
from slinediag.papers.panel import Panel, panel_of
from slinediag.papers.setting import fits
from slinediag.papers.shortening import Need, Shortening, shorten
from slinediag.papers.windows import cell_of


@dataclass(frozen=True)
class BayWords:
    """A bay's panel, its jacks' words, its fields, and how they are shortened."""

    panel: Panel
    words: Mapping[Jack, Words]
    fields: tuple[Field, ...]
    short: Shortening


@dataclass(frozen=True)
class PlantWords:
    """The words of every bay, by its id, and the glossary that they are shortened by."""

    glossary: Glossary
    bays: Mapping[str, BayWords]


def _settled(facility: Facility) -> PlantWords:
    """Shorten, and again while a word has two short forms; each round settles one at least."""
    glossary = bundled().overruled(facility.practice.abbreviations)
    while True:
        bays = {bay.id: _bay_words(facility, bay, glossary) for bay in facility.bays.values()}
        uneven = _uneven(bays)
        if not uneven:
            return PlantWords(glossary, bays)
        glossary = glossary.overruled(uneven)


_plants = Kept(_settled)


def plant_words(facility: Facility) -> PlantWords:
    """The words of a facility's strips, made at the first question and kept for the next ones."""
    return _plants.of(facility)


def _uneven(bays: Mapping[str, BayWords]) -> dict[str, str]:
    """Words with several short forms, each with its narrowest."""
    forms: dict[str, set[str]] = {}
    for bay in bays.values():
        for word, form in bay.short.printed.items():
            if form != word:
                forms.setdefault(word, set()).add(form)
    return {
        word: min(found, key=lambda form: (breadth(form), form))
        for word, found in sorted(forms.items())
        if len(found) > 1
    }


def _bay_words(facility: Facility, bay: Bay, glossary: Glossary) -> BayWords:
    panel = panel_of(facility, bay)
    words = jack_words(facility, bay)
    found = _headed(fields(facility, bay, words), words, panel, glossary)
    short = _shortened(found, panel, glossary)
    if short.unfit:
        found = [replace(f, lines=3) if n in short.unfit else f for n, f in enumerate(found)]
        short = _shortened(found, panel, glossary)
    return BayWords(panel, words, tuple(found), short)


def _shortened(found: Sequence[Field], panel: Panel, glossary: Glossary) -> Shortening:
    needs = [
        Need(field.words, fits(field, cell_of(panel, field, LEAST_HEIGHT), LEAST_HEIGHT))
        for field in found
    ]
    return shorten(needs, glossary)


def _headed(
    found: list[Field], words: Mapping[Jack, Words], panel: Panel, glossary: Glossary
) -> list[Field]:
    """The fields, where runs of single ones that cannot fit share a heading if that will do."""
    made = list(found)
    for run in runs_of(found, words):
        joined = under_heading([field.jacks[0] for field in run], words)
        hopeless = any(not _can_fit(field, panel, glossary) for field in run)
        if hopeless and _can_fit(joined, panel, glossary):
            start = made.index(run[0])
            made[start : start + len(run)] = [joined]
    return made


def _can_fit(field: Field, panel: Panel, glossary: Glossary) -> bool:
    cell = cell_of(panel, field, LEAST_HEIGHT)
    shortest = tuple(glossary.ways(word)[-1] for word in field.words)
    return cell.lines > 0 and fits(field, cell, LEAST_HEIGHT)(shortest)
