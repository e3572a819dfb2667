"""The glossary against the rules of ANSI Y1.1 / ASME Y14.38 (from memory): one form, one meaning,
capitals, no stops, nothing but letters."""

from __future__ import annotations

import pytest

from slinediag.papers.glossary import bundled, capitals
from slinediag.papers.panel import figures


def test_about_a_hundred_words_of_the_trade() -> None:
    assert len(bundled().forms) >= 100


@pytest.mark.parametrize("word", sorted(bundled().forms))
def test_forms_are_capitals_without_stops_and_shorter_than_their_word(word: str) -> None:
    for form in bundled().forms[word]:
        assert form.isascii()
        assert form.isalpha()
        assert form.isupper()
        assert len(form) < len(word)
    assert len(bundled().ways(word)) == 1 + len(bundled().forms[word]), (
        "each narrower than the last"
    )


def test_one_form_has_one_meaning() -> None:
    glossary = bundled()
    meanings: dict[str, set[str]] = {}
    for word, forms in glossary.forms.items():
        for form in forms:
            meanings.setdefault(form, set()).add(glossary.same.get(word, word))
    assert {form: words for form, words in meanings.items() if len(words) > 1} == {}


def test_the_traps_are_kept() -> None:
    # Traps of the trade: DA is distribution, digital or directional; MON is monitor, never mono.
    glossary = bundled()
    assert all("DA" not in forms for forms in glossary.forms.values())
    assert glossary.forms["MONO"] == ()
    assert frozenset(("MON", "MONO")) in glossary.apart
    assert frozenset(("REC", "RX")) in glossary.apart


def test_a_file_extends_and_overrules() -> None:
    glossary = bundled().overruled({"Programme": "Prog.", "Quadrille": "QDR"})
    assert glossary.ways("PROGRAMME") == ("PROGRAMME", "PROG")
    assert glossary.ways("QUADRILLE") == ("QUADRILLE", "QDR")


def test_capitals_lose_stops_and_keep_spaces() -> None:
    assert capitals(" Tel.  no. 2.5 ") == "TEL NO 2.5"


def test_every_figure_of_a_panel_has_a_source() -> None:
    for section in figures().values():
        for figure in section.values():
            assert figure.value > 0
            assert figure.source
