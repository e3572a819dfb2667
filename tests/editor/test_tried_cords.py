"""Cords that are tried hang plainly at once, then as carefully as on paper."""

from __future__ import annotations

import pickle
from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.drawing.marks import Curve, Rect, Text
from slinediag.drawing.query import walk
from slinediag.editor.charting import chart_stages
from slinediag.editor.cord_ground import hung_on, ways_of
from slinediag.editor.overlay import laid_over
from slinediag.editor.trials import Item
from slinediag.editor.tried_cords import TriedCords
from slinediag.file.read import load
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack
from tests.chart.rules import check_cords_clear, covered

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
LARKFEN = load(SAMPLES / "larkfen.yaml").facility
CORDS = ((jack("LA.T1"), jack("LB.B1")), (jack("LA.T3"), jack("LB.B21")))
PULLED = (jack("LA.T7"), jack("LA.B13"))


@pytest.fixture(scope="module")
def chart():
    return list(chart_stages(LARKFEN))[-1]


def laid(chart, **trial):
    return laid_over(chart, ask(LARKFEN, Trial(**trial)))


def hung(chart, over):
    return {each.cord: each for each in ways_of(chart.ground, over.cords, over.signs(), ())}


def with_cords(chart, over, ways):
    """The chart as filed with the cords of a trial on it, and nothing else of the trial."""
    cords = replace(over, anew=(), below=(), above=()).marks(ways)
    return replace(chart.drawing, marks=(*chart.drawing.marks, *cords))


def test_they_keep_clear_as_on_paper(chart):
    over = laid(chart, cords=CORDS, pulled_cords=(PULLED,))
    ways = hung(chart, over)
    assert {cord.ends for cord in ways} == set(CORDS)
    check_cords_clear(with_cords(chart, over, ways))
    # Hung in one curve, the very same cords lie over words: what the care is for.
    assert covered(with_cords(chart, over, {}))


def test_they_stay_within_the_frame_and_off_the_lists(chart):
    ground = pickle.loads(chart.ground)
    placed = list(walk(chart.drawing))
    (frame,) = [p.box for p in placed if p.refs and "frame" in p.refs[-1].classes]
    assert frame.contains(ground.area)
    lists = [
        p.box
        for p in placed
        if isinstance(p.mark, Text) and not any("chart" in ref.classes for ref in p.refs)
    ]
    below = [box for box in lists if box.y > max(at.y for at in chart.jacks.values())]
    assert len(below) > 20
    inside = [box for box in below if frame.contains(box)]
    assert inside
    assert not [box for box in inside if box.meets(ground.area)]


def test_they_start_and_end_in_the_middles_of_their_jacks(chart):
    for cord, way in hung(chart, laid(chart, cords=CORDS)).items():
        ends = way.way[0], way.way[1][-1][2]
        assert ends == tuple(chart.jacks[end] for end in cord.ends)


def test_a_cord_that_is_pulled_is_dotted_where_it_hung(chart):
    over = laid(chart, pulled_cords=(PULLED,))
    (pulled,) = [
        group
        for group in over.marks()
        for mark in getattr(group, "marks", ())
        if isinstance(mark, Curve) and mark.ref and "pulled" in mark.ref.classes
    ]
    (filed,) = [
        each
        for each in hung_on(chart.drawing, chart.plan.subject.plugs.cords)
        if set(each.cord.ends) == set(PULLED)
    ]
    (curve,) = [m for m in pulled.marks if isinstance(m, Curve)]
    (tag,) = [m for m in pulled.marks if isinstance(m, Rect)]
    assert (curve.start, curve.pieces) == filed.way
    assert tag.box == filed.tag


def ways_on(window):
    return {cord.ends: hung for cord, hung in window.canvas.cords.ways.items()}


def test_on_screen_the_plain_cord_gives_way_to_the_careful_one(window, qtbot):
    cord = jack("PB1.T3"), jack("PB2.B1")
    window.workplace.put_cord(*cord)
    assert ways_on(window) == {}
    plain = window.canvas.drawn_with_trial()
    qtbot.waitUntil(lambda: not window.canvas.cords.busy, timeout=30_000)
    assert set(ways_on(window)) == {cord}
    careful = window.canvas.drawn_with_trial()
    assert careful != plain
    way = ways_on(window)[cord].way
    assert way in [
        (p.mark.start, p.mark.pieces) for p in walk(careful) if isinstance(p.mark, Curve)
    ]


def test_a_cord_that_hangs_stays_while_another_comes_and_goes(window, qtbot):
    one, other = (jack("PB1.T3"), jack("PB2.B1")), (jack("PB1.T1"), jack("PB2.B2"))
    window.workplace.put_cord(*one)
    qtbot.waitUntil(lambda: not window.canvas.cords.busy, timeout=30_000)
    first = ways_on(window)[one]
    window.workplace.put_cord(*other)
    assert ways_on(window) == {one: first}
    qtbot.waitUntil(lambda: not window.canvas.cords.busy, timeout=30_000)
    assert set(ways_on(window)) == {one, other}
    window.workplace.take_out(Item("cord", other))
    assert ways_on(window) == {one: first}
    assert not window.canvas.cords.busy
    window.workplace.clear_trial()
    assert ways_on(window) == {}
    assert not window.canvas.cords.busy


def test_a_trial_that_is_over_before_its_cords_hang_is_forgotten(window, qtbot):
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.clear_trial()
    assert not window.canvas.cords.busy
    filed = window.canvas.drawn_with_trial()
    qtbot.wait(150)
    assert window.canvas.drawn_with_trial() == filed


@pytest.mark.usefixtures("other_processes")
def test_ways_are_found_in_a_process_of_its_own(qtbot, chart):
    over = laid(chart, cords=CORDS)
    cords = TriedCords()
    cords.want(chart, over.cords, over.signs())
    with qtbot.waitSignal(cords.found, timeout=60_000):
        pass
    assert cords.ways == hung(chart, over)
    cords.room.stop()
