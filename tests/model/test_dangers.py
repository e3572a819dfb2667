"""Notes that warn of what can hurt or harm, by their words: common practice, no source."""

from __future__ import annotations

import pytest

from slinediag.model.dangers import is_marked, warns


@pytest.mark.parametrize(
    "words",
    [
        "phantom power: off at the desk, wait, then patch",
        "48\N{NO-BREAK SPACE}V on pin 2",
        "+48 VDC",
        "48 volts on the line",
        "P48 always on",
        "230 V AC inside",
        "High voltages",
        "Risk of electric shocks",
        "live wires behind the cover",
        "loud enough to harm hearing",
        "Deafening when patched",
        "Protect your ears",
        "Turn the gain\ndown first",
        "Damages ribbon microphones",
        "destroys ribbons",
        "Hazard: laser",
        "Fire alarm loop",
        "Never plug while on air",
        "ribbon, never near phantom power",
        "no mains here, phantom on",
        "on air: say so before you plug",
        "On-air circuit, ask the control room",
    ],
)
def test_what_can_hurt_or_harm_is_known_by_its_words(words):
    assert warns(words)


@pytest.mark.parametrize(
    "words",
    [
        "no phantom",
        "without any phantom",
        "No 48 V here",
        "No mains nearby",
        "Not loud",
        "no danger",
        "Shock mount in drawer 3",
        "Feeds the hearing loop",
        "Mains-synchronised clock output",
        "harmless",
        "1.55 V",
        "12 V logic",
        "Return comes down at position 4",
        "on air",
    ],
)
def test_what_is_plainly_no_danger_is_not_called_one(words):
    assert not warns(words)


@pytest.mark.parametrize("words", ["DANGER mains inside", "Warning: 48 V", "caution: hot"])
def test_a_note_that_begins_as_a_caution_is_left_as_it_is(words):
    assert is_marked(words)
    assert not is_marked("mains inside: danger")
