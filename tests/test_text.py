"""Text widths against published metrics and against renderings of the bundled fonts."""

from __future__ import annotations

import unicodedata
from unicodedata import combining

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag import text as texts
from slinediag.resources import resource
from slinediag.text import Weight, font_size, ink, metrics, printable, shorten, width
from tests.make_text_widths import table

# Advance widths in thousandths of an em of Helvetica and Helvetica-Bold in Adobe's metrics files
# for the 14 standard PDF fonts (P, from memory); the family here is metric-compatible with them.
HELVETICA = {
    " ": 278,
    "A": 667,
    "M": 833,
    "W": 944,
    "a": 556,
    "i": 222,
    "l": 222,
    "m": 833,
    "0": 556,
    "-": 333,
    "@": 1015,
    ".": 278,
}
HELVETICA_BOLD = {
    " ": 278,
    "A": 722,
    "M": 833,
    "W": 944,
    "a": 556,
    "i": 278,
    "l": 278,
    "m": 889,
    "0": 556,
    "-": 333,
    "@": 975,
    ".": 278,
}


@pytest.mark.parametrize(
    ("weight", "published"), [("regular", HELVETICA), ("bold", HELVETICA_BOLD)]
)
def test_widths_are_those_of_the_standard_fonts(weight: Weight, published: dict[str, int]) -> None:
    em = 1_000_000
    # The published em at a capital height that makes the em one metre: 1409/2048 of it.
    height = em * 1409 // 2048
    for character, thousandths in published.items():
        assert width(character, height, weight) == pytest.approx(thousandths * 1000, abs=600)


def test_table_is_what_the_bundled_fonts_hold() -> None:
    assert table() == resource("text_widths.json").read_text(encoding="ascii")


@pytest.mark.parametrize(
    "block", [(0x20, 0x7F), (0xA0, 0x180), (0x391, 0x3CA), (0x400, 0x460), (0x2190, 0x2196)]
)
def test_table_covers_the_alphabets_of_europe(block: tuple[int, int]) -> None:
    for face in (metrics().regular, metrics().bold):
        assert [
            c for c in map(chr, range(*block)) if unicodedata.category(c) != "Cn" and c not in face
        ] == []


def test_capital_height_is_that_of_the_family() -> None:
    # 1409/2048 of the em (capital height of the OS/2 table): 10 mm capitals need a 14.535 mm em.
    assert font_size(10_000) == 14535
    assert ink("H", 10_000) == (10_000, 0)


def test_ink_reaches_above_capitals_and_below_the_baseline() -> None:
    assert ink("", 2500) == (0, 0)
    assert ink("xo", 2500)[0] < 2500
    assert ink("Å", 2500)[0] > 3000
    assert ink("g", 2500)[1] > 500
    assert ink("_", 2500)[0] == 0


@given(st.text(max_size=30), st.text(max_size=30), st.integers(1000, 20_000))
def test_a_width_is_never_less_than_its_parts(left: str, right: str, height: int) -> None:
    # Composed first: a mark that joins the letter before it takes no room of its own.
    left, right = printable(left), printable(right)
    whole = printable(left + right)
    if whole == left + right:
        assert 0 <= width(left, height) + width(right, height) - width(whole, height) <= 1


def test_wide_letters_take_an_em_and_joining_marks_nothing() -> None:
    assert width("漢字", 10_000) == pytest.approx(2 * font_size(10_000), abs=1)
    assert width("q\u0323", 10_000) == width("q", 10_000)
    assert width("e\u0301", 10_000) == width("é", 10_000)


@given(st.text(st.characters(exclude_categories=())))
def test_printable_text_is_legal_in_xml(text: str) -> None:
    # XML 1.0, production 2: #x9 | #xA | #xD | [#x20-#xD7FF] | [#xE000-#xFFFD] | [#x10000-#x10FFFF]
    for character in printable(text):
        assert character >= " "
        assert not "\ud800" <= character <= "\udfff"
        assert character not in "\ufffe\uffff"
    assert printable(printable(text)) == printable(text)


def test_shortened_text_fits_or_is_refused() -> None:
    name = "Quillmoor Community Radio"
    assert shorten(name, 3500, width(name, 3500)) == name
    cut = shorten(name, 3500, 30_000)
    assert cut is not None
    assert cut.endswith("…")
    assert width(cut, 3500) <= 30_000
    assert shorten(name, 3500, 1000) is None
    assert shorten("", 3500, 0) == ""


@given(st.text(max_size=40), st.integers(0, 60_000))
def test_shortened_text_never_overflows(text: str, room: int) -> None:
    cut = shorten(text, 2500, room)
    assert cut is None or width(cut, 2500) <= room


@given(st.text(alphabet="abWi  \u0301é図", max_size=40), st.integers(0, 60_000))
def test_as_much_as_fits_is_kept(text: str, room: int) -> None:
    """By trying every beginning, the longest first."""
    cut = shorten(text, 2500, room)
    clean = printable(text)
    tries = [clean] + [
        f"{clean[:end].rstrip()}…"
        for end in range(len(clean) - 1, 0, -1)
        if not combining(clean[end]) and clean[:end].strip()
    ]
    assert cut == next((t for t in tries if width(t, 2500) <= room), None)


def test_a_very_long_text_is_measured_a_few_times_only(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[int] = []

    def counted(text: str, height: int, weight: Weight = "regular") -> int:
        measured.append(len(text))
        return width(text, height, weight)

    monkeypatch.setattr(texts, "width", counted)
    assert shorten("n" * 100_000, 2500, 30_000)
    assert sum(measured) < 110_000


def test_what_turns_words_round_is_left_out() -> None:
    # UAX #9: an override left open would show the 72 that follows a name as 27.
    assert printable("Bay \u202e: 72 positions") == "Bay : 72 positions"
    assert printable("\u2067א\u2069 72") == "א 72"
    assert printable("א\u200f 72") == "א\u200f 72"  # marks that reach no further may stay
