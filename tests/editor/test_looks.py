"""Contrast of the editor's colours, worked out from WCAG 2's own formula."""

from __future__ import annotations

import re

import pytest
from PySide6.QtSvg import QSvgRenderer

from slinediag.drawing import styles
from slinediag.editor import looks
from slinediag.papers import face
from slinediag.resources import resource

MODES = {"light": looks.LIGHT, "dark": looks.DARK}


def luminance(colour):
    # WCAG 2, relative luminance: sRGB linearised, weighted 0.2126, 0.7152, 0.0722.
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_figures():
    # Black on white 21; Okabe and Ito's blue on white 5.19 (from WCAG's formula).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#0072b2", "#ffffff") == pytest.approx(5.19, abs=0.01)


@pytest.mark.parametrize("mode", MODES)
def test_text_reaches_4_5_to_1(mode):
    ink = MODES[mode]
    for ground in (ink.ground, ink.field):
        for text in (ink.text, ink.quiet, ink.danger, ink.accent):
            assert contrast(text, ground) >= 4.5, (mode, text, ground)
    assert contrast(ink.on_accent, ink.accent) >= 4.5


@pytest.mark.parametrize("mode", MODES)
def test_edges_of_controls_and_focus_reach_3_to_1(mode):
    ink = MODES[mode]
    for ground in (ink.ground, ink.field):
        assert contrast(ink.edge, ground) >= 3
        assert contrast(ink.accent, ground) >= 3
    # The ring about a drawing lies on the table, and so does the paper's edge in the dark.
    assert contrast(ink.accent, ink.table) >= 3


def test_what_lies_over_the_paper_reaches_3_to_1_and_names_4_5():
    # Rings, cords and lit names on white paper, in either mode: paper stays paper.
    for colour in (styles.BLUE, styles.VERMILION, styles.BLACK):
        assert contrast(colour, styles.PAPER) >= 3
    assert contrast(styles.BLACK, styles.PAPER) >= 4.5
    assert contrast(styles.TEXT_GREY, styles.PAPER) >= 4.5


@pytest.mark.parametrize("mode", MODES)
def test_the_style_sheet_paints_words_in_the_colours_that_are_measured(mode):
    ink = MODES[mode]
    sheet = looks.style_sheet(ink)
    measured = {getattr(ink, name) for name in ink.__dataclass_fields__}
    assert set(re.findall(r"#[0-9a-fA-F]{6}", sheet)) <= measured
    # What cannot be used is the one thing that WCAG 2 SC 1.4.3 lets be fainter.
    for block in re.findall(r"([^{}]+)\{([^{}]*)\}", sheet):
        words = re.search(r"(?<![-\w])color: (#[0-9a-fA-F]{6})", block[1])
        if words and ":disabled" not in block[0]:
            grounds = re.search(r"background: (#[0-9a-fA-F]{6})", block[1])
            ground = grounds[1] if grounds else ink.ground
            assert contrast(words[1], ground) >= 4.5, block


def test_on_the_bays_cords_and_marks_reach_3_to_1_on_metal():
    for colour in (styles.BLACK, styles.BLUE, styles.VERMILION):
        assert contrast(colour, face.PANEL.fill) >= 3


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(
    "name", ["open", "save", "undo", "redo", "whole", "width", "chart", "bay", "sheets"]
)
def test_symbols_are_drawings_in_one_ink(name):
    text = resource(f"icons/{name}.svg").read_text(encoding="utf-8")
    assert QSvgRenderer(text.encode()).isValid()
    assert set(re.findall(r"#[0-9a-fA-F]{3,6}", text)) == {"#000"}
    assert not looks.icon(name).isNull()
