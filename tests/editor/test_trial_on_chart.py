"""Trial cords by hand on the chart; what they do is that of slinediag ask, sentence by sentence."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from slinediag.address import Jack
from slinediag.chart.chart import draw
from slinediag.chart.overlay import outcome_of
from slinediag.chart.symbols import HOLLOW
from slinediag.drawing.marks import Line, Rect
from slinediag.editor.charting import chart_stages
from slinediag.editor.in_hand import weighed_words
from slinediag.editor.overlay import BLANK, overlay
from slinediag.file.read import load, parse
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from slinediag.tracing.words import sentences
from tests.builders import jack
from tests.chart.plants import station
from tests.editor.plant import PLANT

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
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


def test_a_cord_to_a_spare_jack_gets_room_on_the_chart_while_it_is_tried(window, qtbot):
    spare = jack("PB2.B9")
    filed = window.canvas.chart
    assert spare not in filed.jacks
    window.workplace.put_cord(SOURCE, spare)
    qtbot.waitUntil(lambda: spare in window.canvas.chart.jacks, timeout=30_000)
    qtbot.waitUntil(lambda: not window.draughting.busy, timeout=30_000)
    window.workplace.clear_trial()
    assert window.canvas.chart.drawing == filed.drawing


def test_what_a_trial_changes_lies_over_the_very_drawing(window):
    window.workplace.put_cord(SOURCE, END)
    classes = {
        kind
        for mark in window.canvas.tried(window.workplace.answer)
        for ref in refs_within(mark)
        for kind in ref.classes
    }
    # By hand from the contact rules: a plug in PB1 T3 taps its half-normal, one in PB2 B1 breaks
    # the full-normal there; LINK L then hears DISC 2 L, which is no loss and no doubling.
    assert {"cord", "trial", "tapped", "broken", "lifted", "plugged"} <= classes
    assert "warning" not in classes


def refs_within(mark):
    if mark.ref is not None:
        yield mark.ref
    for inner in getattr(mark, "marks", ()):
        yield from refs_within(inner)


def test_what_falls_silent_is_hollow_on_screen_as_on_paper():
    facility = parse(PLANT.encode(), "plant.yaml").facility
    answer = ask(facility, read_trial(facility, failed=["LIM"]))
    *_, chart = chart_stages(facility)
    marks = overlay(chart, answer)
    printed = draw(facility, answer)[0].marks
    assert silent_normals(marks) == silent_normals(printed) != set()
    lines = {name for a in outcome_of(answer).silent if (name := chart.net_of.get(a))}
    hollow = [mark for mark in marks if isinstance(mark, Line) and mark.style == HOLLOW]
    assert len(hollow) == len(lines & set(chart.nets))


def test_cords_that_fall_silent_are_hollow_on_screen_as_on_paper():
    """A standing one, and one of the trial."""
    facility = station()
    cord = (jack("PB1.T3"), jack("PB1.B2"))
    answer = ask(facility, Trial(cords=(cord,), failed=("PLY2",)))
    *_, chart = chart_stages(facility)
    marks = overlay(chart, answer)
    printed = draw(facility, answer)[0].marks
    assert silent_cords(marks) == silent_cords(printed) == {"PB1.T3=PB1.B2", "PB1.T4=PB2.T10"}
    assert not silent_cords(overlay(chart, ask(facility, Trial(cords=(cord,)))))


def silent_cords(marks):
    """The cords drawn as silent, by their ends."""
    refs = [ref for mark in marks for ref in refs_within(mark)]
    return {dict(ref.data)["cord"] for ref in refs if {"cord", "silent"} <= set(ref.classes)}


def test_a_standing_cord_still_hangs_in_front_of_positions_that_a_trial_draws_anew():
    facility = load(SAMPLES / "quillmoor.yaml").facility
    *_, chart = chart_stages(facility)
    held = {jack for ends in chart.cords for jack in ends}
    # The position that most of a standing cord's way leads over; found by the places alone.
    cord, position = next(
        (ends, plan.position)
        for ends, run in chart.cords.items()
        for plan in chart.plan.points
        if Jack(plan.position.bay, "T", plan.position.number) not in held
        and any(body(chart, plan).holds(corner) for corner in run[1:-1])
    )
    plug = Jack(position.bay, facility.bays[position.bay].jack_rows[0], position.number)
    marks = overlay(chart, ask(facility, Trial(plugs=(plug,))))
    blank = max(n for n, m in enumerate(marks) if isinstance(m, Rect) and m.style == BLANK)
    hung = [
        n
        for n, mark in enumerate(marks)
        for ref in refs_within(mark)
        if "cord" in ref.classes and frozenset(dict(ref.data)["cord"].split("=")) == names(cord)
    ]
    assert hung
    assert min(hung) > blank


def body(chart, plan):
    return chart.there.nodes[plan.id].moved(*chart.shift)


def names(cord):
    return frozenset(map(str, cord))


def test_the_slip_at_a_cord_in_hand_says_the_caution_that_its_verdict_points_to():
    facility = load(SAMPLES / "quillmoor.yaml").facility
    answer = ask(facility, read_trial(facility, cords=[("PB2.T13", "PB2.B15")]))
    verdict, caution, *plugs = weighed_words(answer)
    assert verdict.endswith("But mind the caution below.")
    assert caution.startswith("CAUTION: LINK L goes round LIMITER")
    assert len(plugs) == 2


def silent_normals(marks):
    return {
        dict(ref.data)["normal"]
        for mark in marks
        for ref in refs_within(mark)
        if {"normal", "silent"} <= set(ref.classes)
    }
