"""An edit waits for no tracing and no drawing, however large the plant is."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from slinediag.address import Jack
from slinediag.editor import workplace as workplace_module
from slinediag.editor.lists.drawing_data import with_practice
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial

SAMPLES = Path(__file__).parents[3] / "samples"


@pytest.mark.parametrize("name", ["quillmoor.yaml", "larkfen.yaml"])
def test_with_nothing_tried_the_answer_is_that_of_the_tracer(name):
    workplace = Workplace(load(SAMPLES / name))
    workplace.change("Another owner", with_practice(workplace.facility, owner="Somebody"))
    assert workplace.answer == ask(workplace.facility, Trial())


def test_an_edit_is_not_traced(lists, monkeypatch):
    hand = lists("Positions")

    def traced(*_):
        raise AssertionError("an edit was traced")

    monkeypatch.setattr(workplace_module, "ask", traced)
    hand.go("PB1 5", "Top label")
    hand.enter("X")
    assert hand.facility.bays["PB1"].points[5].label_top == "X"
    hand.workplace.undo()
    assert hand.workplace.answer.facility is hand.facility


def test_the_cursor_runs_freely_and_what_it_rests_on_is_selected(lists, qtbot):
    hand = lists("Positions")
    hand.go("PB1 1", "Top")
    chosen = []
    hand.workplace.selection_changed.connect(chosen.append)
    for _ in range(6):
        hand.key(Qt.Key.Key_Down)
    assert chosen == []
    qtbot.waitUntil(lambda: bool(chosen))
    assert [str(jack) for jack in chosen] == ["PB1.T7"]


def test_a_drawing_that_is_not_seen_is_lit_when_it_comes_to_the_front(lists, window, monkeypatch):
    hand = lists("Positions")
    lit = []
    for canvas in (window.canvas, window.sheets, window.bays):
        monkeypatch.setattr(canvas, "light", lambda canvas=canvas: lit.append(canvas))
    hand.go("PB1 5", "Top label")
    hand.enter("X")
    hand.workplace.select(Jack("PB1", "T", 1))
    assert lit == []
    window.middle.see_chart()
    assert lit == [window.canvas]
