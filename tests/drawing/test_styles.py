"""The inks of a sheet against WCAG 2, ISO 128 and ISO 3098."""

from __future__ import annotations

import pytest

from slinediag.drawing import styles
from slinediag.drawing.marks import Style


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2 defines it."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    lighter, darker = sorted((luminance(a), luminance(b)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def every_style() -> dict[str, Style]:
    return {name: value for name, value in vars(styles).items() if isinstance(value, Style)}


# Contrast of Okabe and Ito's colours on white, computed from WCAG's formula.
@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        (styles.BLACK, 21.0),
        (styles.BLUE, 5.19),
        (styles.VERMILION, 3.87),
        (styles.GREEN, 3.42),
        (styles.PURPLE, 3.06),
    ],
)
def test_colours_are_those_of_okabe_and_ito(colour: str, ratio: float) -> None:
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=0.005)


def test_ink_reaches_3_to_1_on_paper() -> None:
    # WCAG 2 SC 1.4.11, non-text contrast.
    assert all(contrast(colour, styles.PAPER) >= 3 for colour in styles.INK_COLOURS)
    for name, style in every_style().items():
        if style.stroke not in (None, styles.PAPER):
            assert style.stroke in styles.INK_COLOURS, name
        assert style.fill in (None, styles.PAPER, *styles.INK_COLOURS), name


def test_text_reaches_4_5_to_1_on_paper() -> None:
    # WCAG 2 SC 1.4.3, text contrast.
    assert all(contrast(colour, styles.PAPER) >= 4.5 for colour in styles.TEXT_COLOURS)


def test_line_widths_are_those_of_iso_128() -> None:
    # ISO 128 (P, from memory), mm; wide is twice narrow.
    assert [w / 1000 for w in styles.LINE_WIDTHS] == [
        0.13,
        0.18,
        0.25,
        0.35,
        0.5,
        0.7,
        1.0,
        1.4,
        2.0,
    ]
    assert styles.FOLDED_LINE.width == 2 * styles.LINE.width
    edge = styles.CORD_EDGE.width  # no line but the light edge that frees a cord from lines below
    assert {style.width for style in every_style().values()} <= {*styles.LINE_WIDTHS, edge}


def test_text_heights_are_those_of_iso_3098() -> None:
    # ISO 3098 (P), mm.
    assert [h / 1000 for h in styles.TEXT_HEIGHTS] == [1.8, 2.5, 3.5, 5, 7, 10, 14, 20]


def test_a_cord_is_never_mistaken_for_a_line() -> None:
    assert styles.CORD.width >= 2 * styles.FOLDED_LINE.width
    assert styles.CORD.end == "round" != styles.LINE.end
    assert styles.CORD_EDGE.width > styles.CORD.width


def test_gaps_are_three_line_widths() -> None:
    # ISO 128 (P, from memory): gaps of dashed and dotted lines are 3 line widths.
    assert styles.dash_lengths(Style(width=350)) == ()
    assert styles.dash_lengths(Style(width=350, dash="dashed"))[1] == 1050
    assert styles.dash_lengths(Style(width=350, dash="dotted")) == (350, 1050)
