"""One word is shortened one way on all bays of a plant."""

from __future__ import annotations

import pytest

from slinediag.papers.plant_words import plant_words
from slinediag.papers.wording import word_bay
from tests.builders import plant
from tests.papers.samples import sample

UNEVEN = """
bays:
  WIDE: {name: Wide, positions: 4, pitch: 14, points: {1: {label_top: PROGRAMME}}}
  NARROW: {name: Narrow, positions: 4, pitch: 9, points: {1: {label_top: PROGRAMME}}}
"""


def forms_by_word(facility) -> dict[str, set[str]]:
    forms: dict[str, set[str]] = {}
    for bay in facility.bays.values():
        for word, form in word_bay(facility, bay).key.items():
            forms.setdefault(word, set()).add(form)
    return forms


def test_a_word_that_two_bays_would_shorten_in_two_ways_has_the_shorter_form_on_both() -> None:
    wide = plant(UNEVEN.split("  NARROW")[0])
    assert forms_by_word(wide) == {"PROGRAMME": {"PROGM"}}
    both = plant(UNEVEN)
    assert forms_by_word(both) == {"PROGRAMME": {"PGM"}}
    assert not any(word_bay(both, bay).misfits for bay in both.bays.values())


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_the_samples_have_one_form_a_word(name: str) -> None:
    for word, forms in forms_by_word(sample(name)).items():
        assert len(forms) == 1, word


def test_it_is_worked_out_once_a_facility() -> None:
    facility = sample("larkfen")
    assert plant_words(facility) is plant_words(facility)
    assert plant_words(plant(UNEVEN)) is not plant_words(plant(UNEVEN))
