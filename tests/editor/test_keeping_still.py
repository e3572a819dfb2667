"""After an edit the chart keeps its order; opening and drawing again arrange it afresh."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.editor.charting import chart_stages
from slinediag.file.read import load, parse
from slinediag.model.facility import Facility
from tests.builders import jack
from tests.chart.rules import check_all
from tests.editor.plant import PLANT

LARKFEN = Path(__file__).resolve().parents[2] / "samples" / "larkfen.yaml"


def neighbours(chart):
    """By node what stands above and below it in its column."""
    found = {}
    for island in chart.standing.islands:
        for row in island.layout.layers:
            padded = (None, *row, None)
            for (above, name), below in zip(pairwise(padded), padded[2:], strict=False):
                found[name] = above, below
    return found


def strangers(before, after, touched):
    """Nodes that the change does not touch, nor stand beside what it does, with other neighbours."""
    old, new = neighbours(before), neighbours(after)
    moved = {n for n in old if n not in new or n in touched}
    moved |= {n for n in new if n not in old}
    beside = {other for known in (old, new) for n in moved for other in known.get(n, ())}
    return [n for n in old if n in new and n not in moved | beside and old[n] != new[n]]


def with_points(facility: Facility, bay: str, **points) -> Facility:
    """The facility with positions n1, n2 … of a bay changed; None takes one out."""
    known = dict(facility.bays[bay].points)
    for name, point in points.items():
        number = int(name[1:])
        known.pop(number, None)
        if point is not None:
            known[number] = point
    changed = replace(facility.bays[bay], points=dict(sorted(known.items())))
    return replace(facility, bays={**facility.bays, bay: changed})


FACILITY = load(LARKFEN).facility
LA = FACILITY.bays["LA"].points
CHANGES = {
    "a point is added": (with_points(FACILITY, "LA", n8=None), FACILITY, {"LA:8", "CON"}),
    "a point is taken out": (FACILITY, with_points(FACILITY, "LA", n9=None), {"LA:9", "CON"}),
    "a wire is moved": (
        FACILITY,
        with_points(
            FACILITY, "LA", n3=replace(LA[3], top=LA[5].top), n5=replace(LA[5], top=LA[3].top)
        ),
        {"LA:3", "LA:5", "BASS", "OHR"},
    ),
    "a label is another": (
        FACILITY,
        with_points(FACILITY, "LA", n2=replace(LA[2], label_top="GUITAR")),
        set(),
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_small_change_leaves_the_rest_where_it_was(change):
    before, after, touched = CHANGES[change]
    *_, first = chart_stages(before)
    *_, second = chart_stages(after, None, first.standing)
    assert strangers(first, second, touched) == []
    old, new = neighbours(first), neighbours(second)
    # What the change is of may come to stand elsewhere, and so has other neighbours.
    rest = [n for n in old if not touched & {n, *old[n], *new.get(n, ())}]
    assert sum(old[n] == new.get(n) for n in rest) >= 0.95 * len(rest)
    assert sum(old[n] == new.get(n) for n in old) >= 0.9 * len(old)
    check_all(after, second.drawing)


def chart_of(window, qtbot):
    qtbot.waitUntil(lambda: not window.draughting.busy, timeout=60_000)
    return window.canvas.chart


def test_an_edit_in_the_window_keeps_the_order_and_drawing_again_need_not(window, qtbot):
    assert window.workplace.open(LARKFEN)
    opened = chart_of(window, qtbot)
    assert opened.drawing == list(chart_stages(window.workplace.facility))[-1].drawing
    changed = with_points(window.workplace.facility, "LA", n13=None)
    *_, afresh = chart_stages(changed)
    window.workplace.change("Take out LA 13", changed)
    kept = chart_of(window, qtbot)
    assert kept is not opened
    assert strangers(opened, kept, {"LA:B13", "LA:T13", "COMP"}) == []
    assert kept.drawing != afresh.drawing
    window.workplace.undo()
    back = chart_of(window, qtbot)
    assert strangers(opened, back, {"LA:B13", "LA:T13", "COMP"}) == []
    window.workplace.redo()
    chart_of(window, qtbot)
    with qtbot.waitActive(window):
        window.activateWindow()
    QTest.keyClick(window, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    assert chart_of(window, qtbot).drawing == afresh.drawing


def test_another_file_is_arranged_afresh_and_a_new_name_is_not(window, qtbot, tmp_path):
    assert window.workplace.open(LARKFEN)
    opened = chart_of(window, qtbot)
    assert window.workplace.save(tmp_path / "copy.yaml")
    changed = with_points(window.workplace.facility, "LA", n13=None)
    window.workplace.change("Take out LA 13", changed)
    kept = chart_of(window, qtbot)
    expected = list(chart_stages(changed, None, opened.standing))[-1]
    assert kept.drawing == expected.drawing
    other = tmp_path / "plant.yaml"
    assert window.workplace.open(other)
    printed = list(chart_stages(parse(PLANT.encode(), str(other)).facility))[-1]
    assert chart_of(window, qtbot).drawing == printed.drawing


@pytest.mark.parametrize("selected", [jack("LA.B9"), None])
def test_what_one_looks_at_stays_in_its_place_on_the_screen(window, qtbot, selected):
    """A longer label widens its column: all that is to the right of it moves on the sheet."""
    assert window.workplace.open(LARKFEN)
    opened = chart_of(window, qtbot)
    window.workplace.select(selected)
    window.canvas.show_thing(jack("LA.B9"))
    seen = window.canvas.screen_place(jack("LA.B9"))
    long = replace(LA[2], label_top="GUITAR AMPLIFIER")
    window.workplace.change("Label", with_points(window.workplace.facility, "LA", n2=long))
    kept = chart_of(window, qtbot)
    assert kept.jacks[jack("LA.B9")] != opened.jacks[jack("LA.B9")]
    assert (window.canvas.screen_place(jack("LA.B9")) - seen).manhattanLength() < 1
