"""Trial cords by hand on the chart; what they do is that of slinediag ask, sentence by sentence."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from slinediag.tracing.words import sentences
from tests.builders import jack

SOURCE, ELSEWHERE, END = jack("PB1.T3"), jack("PB2.T1"), jack("PB2.B1")


def asked(window, *cords):
    return ask(window.workplace.facility, read_trial(window.workplace.facility, cords=cords))


def test_dragging_from_jack_to_jack_puts_a_cord_in(window, hand):
    hand.near(SOURCE)
    window.canvas.fit()
    window.canvas.zoom(2)
    hand.drag(SOURCE, END)
    assert window.workplace.trial.cords == ((SOURCE, END),)
    assert window.trial.words.lines == list(sentences(asked(window, ("PB1.T3", "PB2.B1"))))


def test_while_dragging_the_words_say_what_dropping_here_would_do(window, hand):
    heard = []
    window.canvas.weighed.connect(heard.append)
    window.canvas.fit()
    window.canvas.zoom(2)
    hand.take(SOURCE)
    hand.carry(END)
    assert heard[-1] == asked(window, ("PB1.T3", "PB2.B1"))
    assert window.workplace.trial.empty
    QTest.keyClick(window.canvas, Qt.Key.Key_Escape)
    assert heard[-1] is None
    hand.drop(END)
    assert window.workplace.trial.empty
