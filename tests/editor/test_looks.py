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
