"""Cords keep off everything they must not cover, where a free way exists."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from slinediag.address import Jack
from slinediag.chart import cords, inking
from slinediag.chart.chart import draw
from slinediag.chart.cords import hang_cords
from slinediag.chart.hanging import along, plain_ways
from slinediag.chart.plugs import HungCord
from slinediag.drawing.curves import flattened
from slinediag.drawing.marks import Text
from slinediag.drawing.query import ink_box, walk_marks
from slinediag.file.read import load
from slinediag.geometry import Box, Point
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart.plants import drawn_set, stood
from tests.chart.rules import (
    check_bends_seen,
    check_cords_clear,
    covered,
    equipment_boxes,
    groups,
    marked,
    texts,
)

SAMPLES = Path(__file__).parents[2] / "samples"
TRIALS = {
    "the emergency player on the link": (
        "quillmoor",
        Trial(cords=((jack("PB2.T17"), jack("PB2.B15")), (jack("PB2.T18"), jack("PB2.B16")))),
    ),
    "past a failed limiter": (
        "quillmoor",
        Trial(
            cords=((jack("PB2.T13"), jack("PB2.B15")), (jack("PB2.T14"), jack("PB2.B16"))),
            failed=("LIM",),
        ),
    ),
    "a mult on four": (
        "larkfen",
        Trial(
            cords=(
                (jack("LA.T23"), jack("LB.T9")),
                (jack("LA.B23"), jack("LB.B21")),
                (jack("LA.T24"), jack("LB.B22")),
                (jack("LA.B24"), jack("LB.B20")),
            )
        ),
    ),
    "a cord pulled": ("larkfen", Trial(pulled_cords=((jack("LA.T7"), jack("LA.B13")),))),
}


@pytest.mark.parametrize("name", sorted(TRIALS))
def test_cords_of_a_trial_keep_clear(name):
    sample, trial = TRIALS[name]
    filed = load(SAMPLES / f"{sample}.yaml").facility
    (drawing,) = draw(filed, ask(filed, trial), sheet="one")
    check_cords_clear(drawing)
    check_bends_seen(drawing)


def test_cords_of_a_trial_keep_clear_on_the_sheets_of_a_set(quillmoor_set):
    filed, at_rest = quillmoor_set
    _, trial = TRIALS["past a failed limiter"]
    drawn = drawn_set(filed, "A3", ask(filed, trial), keep=stood(at_rest))
    sheets = [sheet for sheet in drawn if marked(sheet, "cord")]
    assert sheets
    for sheet in sheets:
        check_cords_clear(sheet)
        check_bends_seen(sheet)


SHORT = {
    "on one position, in the last row": "{from: B2.T5, to: B2.B5}",
    "on one position, between rows": "{from: B2.T2, to: B2.B2}",
    "from row to row, straight down": "{from: B2.T2, to: B2.T3}",
    "from row to row, across": "{from: B2.T2, to: B2.B3}",
}


@pytest.mark.parametrize("name", sorted(SHORT))
def test_of_a_short_cord_every_bend_is_seen(name):
    """A cord between neighbouring jacks is shorter than its tag is wide."""
    bays = "\n".join(f"  B{n}: {{name: Bay {n}, positions: 8}}" for n in (1, 2))
    ties = "\n".join(f"  T{n}: {{from: B1.B{n}, to: B2.T{n}}}" for n in range(1, 6))
    filed = plant(f"bays:\n{bays}\nlines:\n{ties}\ncords:\n  - {SHORT[name]}\n")
    (drawing,) = draw(filed, sheet="one")
    check_cords_clear(drawing)
    check_bends_seen(drawing)


def test_a_short_cord_hangs_in_a_round_bend():
    """Jacks 26 mm apart: the bend is as wide as they are, and no deeper than it must be."""
    (hung,) = _hung_alone(Point(50_000, 50_000), Point(76_000, 50_000))
    way = along(hung.way)
    lowest = way[way[:, 1].argmax()]
    assert abs(int(lowest[0]) - 63_000) < 1_000
    assert 6_000 < lowest[1] - 50_000 < 12_000
    half_way = way[way[:, 1] > (50_000 + lowest[1]) // 2]
    assert half_way[:, 0].max() - half_way[:, 0].min() > 14_000


def _hung_alone(*ends):
    """A cord between two jacks with nothing about."""
    cord = HungCord((Jack("A", "T", 1), Jack("A", "B", 1)), "trial", "cord 1")
    jacks = dict(zip(cord.ends, ends, strict=True))
    return hang_cords([cord], jacks, [], [], [], Box(0, 0, 200_000, 120_000))


def test_the_corners_of_what_is_silent_are_drawn_in_full():
    """A gap of a dashed line may fall on a corner, which then seems to lead nowhere."""
    filed = load(SAMPLES / "quillmoor.yaml").facility
    (drawing,) = draw(filed, ask(filed, Trial(failed=("LIM",))), sheet="one")
    lines = [mark for mark in marked(drawing, "line") if "silent" in mark.ref.classes]
    corners = {corner for line in lines for run in line.runs for corner in run[1:-1]}
    drawn = [run for mark in marked(drawing, "silent-bend") for run in mark.runs]
    assert corners
    assert corners == {run[1] for run in drawn}
    assert {mark.style.dash for mark in marked(drawing, "silent-bend")} == {"solid"}


def test_a_way_is_looked_for_no_farther_than_a_lighter_one_might_lead(monkeypatch):
    """The very ways that a search over the whole area finds, and most of them sooner."""
    filed = load(SAMPLES / "quillmoor.yaml").facility
    tried = [("PB2.T10", "PB1.B10"), ("PB2.T13", "PB2.B15"), ("PB4.T3", "PB1.B3")]
    answer = ask(filed, Trial(cords=tuple((jack(a), jack(b)) for a, b in tried)))
    bounded, areas = draw(filed, answer, sheet="one"), []

    def everywhere(best, ends, free, room, seen):
        areas.append(seen.level.nodes.size)
        seen = room.seen_by(ends, room.covered.area)
        found = cords._search(ends, free, room, seen)
        return (found if best is None or found.weight < best.weight else best), seen

    monkeypatch.setattr(cords, "_wider", everywhere)
    assert draw(filed, answer, sheet="one") == bounded
    assert areas, "no way was looked for farther off"


LABEL_WIDE, LABEL_HIGH = 20_000, 4_000


@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 5)), max_size=30, unique=True))
@settings(
    deadline=None,
    max_examples=25,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
def test_a_cord_finds_the_way_between_labels(places):
    # Labels on a grid with 10 mm between them: gaps wide enough for a cord lead everywhere, and
    # below the lowest row there is room for its tag.
    labels = [Box(30_000 * x, 14_000 * y + 20_000, LABEL_WIDE, LABEL_HIGH) for x, y in places]
    ends = (Point(25_000, 10_000), Point(205_000, 70_000))
    cord = HungCord((Jack("A", "T", 1), Jack("A", "B", 1)), "trial", "cord 1")
    jacks = dict(zip(cord.ends, ends, strict=True))
    (hung,) = hang_cords([cord], jacks, labels, [], [], Box(-30_000, 0, 300_000, 160_000))
    way = along(hung.way)
    for label in labels:
        near = label.grown(900)
        inside = (way > (near.x, near.y)).all(axis=1) & (way < (near.right, near.bottom)).all(
            axis=1
        )
        assert not inside.any(), f"a cord over the label at {label}"
        assert not hung.tag.meets(label)
    assert tuple(way[0]) == ends[0]
    assert tuple(way[-1]) == ends[1]


def test_many_cords_on_one_bay_keep_their_tags_apart():
    count = 24
    names = ", ".join(f'"{n}"' for n in range(1, count + 1))
    tops = ", ".join(f"SRC.{n}" for n in range(1, count + 1))
    bottoms = ", ".join(f"DST.{n}" for n in range(1, count + 1))
    cords = "".join(f"  - {{from: PA.T{n}, to: PA.B{(7 * n) % 24 + 1}}}\n" for n in range(1, 13))
    crowded = plant(
        f"equipment:\n  SRC: {{name: Source, outputs: [{names}]}}\n"
        f"  DST: {{name: Sink, inputs: [{names}]}}\n"
        f"bays:\n  PA:\n    name: Main\n    positions: {count}\n    points:\n"
        f"      1-{count}: {{top: [{tops}], bottom: [{bottoms}]}}\ncords:\n{cords}"
    )
    drawing = draw(crowded, sheet="one")[0]
    tags = [mark.box for mark in marked(drawing, "tag")]
    assert len(tags) == 12
    lettering = [box for _, box, classes in texts(drawing) if "cord-name" not in classes]
    circles = [ink_box(circle) for circle in marked(drawing, "jack")]
    for number, tag in enumerate(tags):
        others = [*tags[:number], *tags[number + 1 :], *lettering, *circles]
        assert not any(tag.meets(other) for other in others)
    assert covered(drawing) == []


def test_no_curve_overshoots_its_jack_and_returns():
    """Bent to less than a cord's own width, a curve is a point that sticks out beyond its jack."""
    dice = Random(20)
    for _ in range(60):
        one = Point(dice.randrange(0, 200_000, 500), dice.randrange(0, 100_000, 500))
        other = Point(dice.randrange(0, 200_000, 500), dice.randrange(0, 100_000, 500))
        if abs(one.x - other.x) + abs(one.y - other.y) < 20_000:
            continue
        for way in plain_ways(one, other):
            assert turned_within(way[0], 2_000) < 150, (one, other, way)


def turned_within(bezier, far):
    """By how many degrees a curve turns at most along so little of its length, sampled densely."""
    t = np.linspace(0, 1, 1201)[:, np.newaxis]
    a, b, c, d = bezier
    at = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    steps = np.diff(at, axis=0)
    length = np.hypot(*steps.T)
    run, turn = np.cumsum(length), np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    ends = np.searchsorted(run, run + far) - 1
    return float(np.degrees(np.abs(turn[np.minimum(ends, len(turn) - 1)] - turn)).max())


def test_many_standing_cords_are_hung_on_the_sheets_that_are_drawn_only(monkeypatch):
    """However often it is tried what fits a sheet."""
    dice, sizes = Random(7), []
    names = [f'"{n}"' for n in range(1, 41)]
    made = "\n".join(
        f"  S{n}: {{name: Source {n}, outputs: [L, R]}}\n  D{n}: {{name: Sink {n}, inputs: [L, R]}}"
        for n in range(1, len(names) // 2 + 1)
    )
    ports = [f"{n}.{side}" for n in range(1, len(names) // 2 + 1) for side in "LR"]
    tops = ", ".join(f"S{port}" for port in ports)
    bottoms = ", ".join(f"D{port}" for port in ports)
    free = [f"PA.{row}{n}" for n in range(1, len(names) + 1) for row in "TB"]
    dice.shuffle(free)
    cords = "".join(f"  - {{from: {free[n]}, to: {free[n + 1]}}}\n" for n in range(0, 32, 2))
    crowded = plant(
        f"equipment:\n{made}\nbays:\n  PA:\n    name: Main\n    positions: {len(names)}\n"
        f"    points:\n      1-{len(names)}: {{top: [{tops}], bottom: [{bottoms}]}}\ncords:\n{cords}"
    )
    hang = inking.hang_cords

    def counted(cords, *rest):
        sizes.append(len(cords))
        return hang(cords, *rest)

    monkeypatch.setattr(inking, "hang_cords", counted)
    drawn = draw(crowded, sheet="A3")
    sheets = [sheet for sheet in drawn if marked(sheet, "cord")]
    assert len(sheets) > 1
    for sheet in sheets:
        check_cords_clear(sheet)
    assert len(sizes) <= 2 * len(sheets)


def test_a_tag_does_not_read_on_from_a_text_beside_it(quillmoor_set):
    """Half a letter to either side is free, for there is room; a letter is 2.5 mm high."""
    seen = 0
    for drawing in quillmoor_set[1]:
        charts = list(groups(drawing.marks, "chart"))
        texts = [p.box for p in walk_marks(charts) if isinstance(p.mark, Text)]
        for tag in (
            p.box for p in walk_marks(charts) if p.mark.ref and "tag" in p.mark.ref.classes
        ):
            beside = Box(tag.x - 1_250, tag.y, tag.width + 2_500, tag.height)
            assert [box for box in texts if box.meets(beside)] == [
                box for box in texts if box.meets(tag)
            ]
            seen += 1
    assert seen > 4


@pytest.mark.parametrize(
    ("lines", "row", "other", "count"), [(12, "T", "B", 10), (12, "B", "T", 10), (12, "T", "T", 12)]
)
def test_many_cords_out_of_one_column_run_over_no_equipment(lines, row, other, count):
    """Jacks shut in between two boxes: there is room for as many cords as leave there."""
    ports = ", ".join(f'"{n}"' for n in range(lines))

    def to(box: str) -> str:
        return ", ".join(f"{box}.{n}" for n in range(lines))

    def bay(name: str, top: str, bottom: str) -> str:
        points = f"1-{lines}: {{top: [{to(top)}], bottom: [{to(bottom)}]}}"
        return f"  {name}: {{name: {name}, positions: {lines}, points: {{{points}}}}}\n"

    facility = plant(
        "equipment:\n"
        + "".join(
            f"  {box}: {{name: Box {box}, drawn: whole, {side}: [{ports}]}}\n"
            for box, side in (("A", "outputs"), ("B", "inputs"), ("C", "outputs"), ("D", "inputs"))
        )
        + "bays:\n"
        + bay("PA", "A", "B")
        + bay("PB", "C", "D")
    )
    pairs = [(f"PA.{row}{n + 1}", f"PB.{other}{n * 7 % lines + 1}") for n in range(count)]
    answer = ask(facility, read_trial(facility, pairs, [], [], []))
    (drawing,) = draw(facility, answer, sheet="one")
    boxes = [box for _, box in equipment_boxes(drawing)]
    hung = marked(drawing, "cord")
    assert len(hung) == count
    for cord in hung:
        assert not any(box.holds(point) for point in flattened(cord) for box in boxes)
