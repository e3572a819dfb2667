"""A set under a trial: everything where the set without it has it, and its sheets marked."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from slinediag import text
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Remedy, Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Drawing, Group, Rect, Text
from slinediag.drawing.query import ink_box
from slinediag.model.facility import Facility
from slinediag.output import chart_drawings
from slinediag.tracing.naming import read_trial
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import plant
from tests.chart import rules
from tests.chart.set_rules import check_set, jack_zones

CHAINS = 8


def plant_of_chains(*, ranked: bool = False) -> Facility:
    """Chains of three boxes, of which an A4 has room for few; bay PC has positions without lines.

    ``ranked``: the last boxes have inputs of priority.
    """
    numbers = range(1, CHAINS + 1)
    rank = ", priority: 1" if ranked else ""
    boxes = "".join(
        f"  S{n}: {{name: Source {n}, outputs: [O]}}\n"
        f"  M{n}: {{name: Processor {n}, inputs: [I], outputs: [O], paths: straight}}\n"
        f"  D{n}: {{name: Destination {n}, inputs: [I]{rank}}}\n"
        for n in numbers
    )
    first = ", ".join(f"{n}: {{top: S{n}.O, bottom: M{n}.I}}" for n in numbers)
    second = ", ".join(f"{n}: {{top: M{n}.O, bottom: D{n}.I}}" for n in numbers)
    return plant(
        f"equipment:\n{boxes}bays:\n"
        f"  PA: {{name: In, positions: {CHAINS}, points: {{{first}}}}}\n"
        f"  PB: {{name: Out, positions: {CHAINS}, points: {{{second}}}}}\n"
        "  PC: {name: Spare, positions: 4}\n"
    )


CORDS = [("PA.T1", "PB.B8"), ("PA.T2", "PC.B3")]
WORDS = tuple(f"Sentence {n} says what the cords of the trial do to all others." for n in range(9))


def drawn(facility: Facility, cords=()) -> tuple[Drawing, ...]:
    answer = ask(facility, read_trial(facility, cords, [], [], [])) if cords else None
    plan = plan_chart(facility, answer)
    said = Said(WORDS if cords else ())
    return draw_set(Request(facility, answer, plan, sheet_named("A4"), "quick", said, Fraction(1)))


@pytest.fixture(scope="module")
def sets():
    facility = plant_of_chains()
    return facility, drawn(facility), drawn(facility, CORDS)


def test_every_jack_stays_on_its_sheet(sets):
    facility, rest, trial = sets
    check_set(facility, trial)
    before, after = jack_zones(rest), jack_zones(trial)
    assert len({number for number, _ in before.values()}) >= 3
    assert {jack: after[jack][0] for jack in before} == {j: before[j][0] for j in before}
    # A jack that bears nothing at rest has to be drawn for its cord.
    assert set(after) - set(before) == {"PC.B3", "PC.T3"}


def test_the_title_block_of_every_sheet_says_trial_in_bold(sets):
    _, rest, trial = sets
    for drawing in trial:
        (block,) = rules.groups(drawing.marks, "title-block")
        (word,) = [m for m in block.marks if isinstance(m, Text)]
        assert (word.text, word.weight) == ("TRIAL", "bold")
        rules.check_lettering(drawing)
    for drawing in rest:
        (block,) = rules.groups(drawing.marks, "title-block")
        assert not any(isinstance(m, Text) and m.text == "TRIAL" for m in block.marks)


def test_index_and_overview_mark_the_sheets_with_a_cord_of_the_trial(sets):
    _, _, trial = sets
    bearing = {
        number
        for number, drawing in enumerate(trial, 1)
        if any("trial" in cord.ref.classes for cord in rules.marked(drawing, "cord"))
    }
    assert {number for number, words in indexed(trial) if "; TRIAL." in words} == bearing
    cards = {
        int(rules.data_of(card)["sheet"])
        for drawing in trial
        for card in rules.groups(drawing.marks, "sheet-card")
        if tag_of(card) == "TRIAL"
    }
    assert cards == bearing
    assert 1 < len(bearing) < len(trial)


def test_what_the_cords_do_stands_in_one_column(sets):
    _, _, trial = sets
    found = [g for d in trial for g in rules.groups(d.marks, "words")]
    (block,) = found
    texts = [m for m in block.marks if isinstance(m, Text)]
    assert not any(text.ELLIPSIS in m.text for m in texts)
    assert len({m.at.x for m in texts if m.text != "•"}) <= 2  # the heading, and all sentences


@pytest.mark.parametrize("count", [4, 8, 20])
def test_what_to_do_begins_on_the_first_page_however_long_it_is(count):
    facility = plant_of_chains()
    answer = ask(facility, Trial(failed=("M4",)))
    long = "a plug goes into a jack, and this is what that comes to for all inputs beyond it"
    steps = tuple(f"Step {n}: {long}." for n in range(1, count + 1))
    said = Said(WORDS, remedy=Remedy(steps, (f"Beside: {long}.",)))
    plan = plan_chart(facility, answer)
    a4 = sheet_named("A4")
    pages = draw_set(Request(facility, answer, plan, a4, "quick", said, Fraction(1)))
    told = [rules.block_words(page, "remedy") for page in pages]
    assert "Step 1:" in told[0]
    assert re.findall(r"Step (\d+):", " ".join(told)) == [str(n) for n in range(1, count + 1)]


def test_the_first_page_tells_what_feeds_priority_inputs_under_the_trial():
    facility = plant_of_chains(ranked=True)
    filed, tried = (ways(drawn(facility, cords)) for cords in ((), CORDS))
    assert re.search(r"D8 \(\d+\), Destination 8: S8 → M8 \(\d+\)", filed)
    assert re.search(r"D8 \(\d+\), Destination 8: S1 O, by cord \(\d+\)", tried)
    assert "M8" not in tried
    assert "by cord" not in filed


def test_with_a_bay_dead_the_first_page_tells_what_is_silent():
    failure = Failure(bays=("PB",))
    facility = plant_of_chains(ranked=True)
    pages = chart_drawings(facility, sheet="A4", effort="quick", failure=failure)
    assert ways(pages).count("nothing: SILENT") == CHAINS


def ways(pages: tuple[Drawing, ...]) -> str:
    """What a set says of what feeds priority inputs."""
    (told,) = [words for d in pages if (words := rules.block_words(d, "priority-ways"))]
    return told


def indexed(pages: tuple[Drawing, ...]) -> list[tuple[int, str]]:
    """The sheets in the index, and what it says of each."""
    return [
        (
            int(rules.data_of(row)["sheet"]),
            " ".join(m.text for m in row.marks if isinstance(m, Text)),
        )
        for page in pages
        for block in rules.groups(page.marks, "sheet-index")
        for row in rules.groups(block.marks, "to-sheet")
    ]


def tag_of(card: Group) -> str:
    """The word in the frame in a card's upper right corner, which no name is in."""
    frames = [m for m in card.marks if isinstance(m, Rect) and m.ref and "tag" in m.ref.classes]
    if not frames:
        return ""
    (frame,) = frames
    box = next(m.box for m in card.marks if isinstance(m, Rect))
    assert (frame.box.right, frame.box.y) == (box.right, box.y)
    inside = [m for m in card.marks if isinstance(m, Text) and frame.box.meets(ink_box(m))]
    (word,) = inside
    assert frame.box.x < word.at.x
    assert word.colour == "#ffffff"
    return word.text


def test_the_card_of_the_sheet_with_a_dead_box_says_so_in_its_corner():
    facility = plant_of_chains()
    answer = ask(facility, Trial(failed=("M4",)))
    pages = draw_set(
        Request(
            facility,
            answer,
            plan_chart(facility, answer),
            sheet_named("A4"),
            "quick",
            Said(),
            Fraction(1),
        )
    )
    tagged = {
        int(rules.data_of(card)["sheet"]): tag_of(card)
        for page in pages
        for card in rules.groups(page.marks, "sheet-card")
    }
    (dead,) = [
        number
        for number, page in enumerate(pages, 1)
        if any("failed" in g.ref.classes for g in rules.groups(page.marks, "equipment"))
    ]
    assert {number for number, tag in tagged.items() if tag} == {dead}
    assert tagged[dead] == "FAILED"
    assert {number for number, words in indexed(pages) if "; M4 failed." in words} == {dead}


@pytest.mark.parametrize(
    ("failure", "said"),
    [
        (Failure(bays=("PD",)), "bay PD failed"),
        (Failure(cables=("K",)), "cable K cut"),
        (Failure(cables=("L/1",)), "cable L/1 cut"),
    ],
)
def test_the_card_of_a_sheet_with_a_dead_bay_or_a_cut_cable_says_so_too(failure, said):
    """One chain ends on a bay of its own, in a cable; and a line runs straight from box to box."""
    numbers = range(1, CHAINS + 1)
    boxes = "".join(
        f"  S{n}: {{name: Source {n}, outputs: [O]}}\n"
        f"  M{n}: {{name: Processor {n}, inputs: [I], outputs: [O], paths: straight}}\n"
        f"  D{n}: {{name: Destination {n}, inputs: [I]}}\n"
        for n in numbers
    )
    first = ", ".join(f"{n}: {{top: S{n}.O, bottom: M{n}.I}}" for n in numbers)
    second = ", ".join(f"{n}: {{top: M{n}.O, bottom: D{n}.I}}" for n in numbers if n != 5)
    own = "top: {to: M5.O, cable: K}, bottom: D5.I"
    facility = plant(
        f"equipment:\n{boxes}"
        "  P: {name: Player, outputs: [O]}\n  R: {name: Recorder, inputs: [I]}\n"
        f"bays:\n  PA: {{name: In, positions: {CHAINS}, points: {{{first}}}}}\n"
        f"  PB: {{name: Out, positions: {CHAINS}, points: {{{second}}}}}\n"
        f"  PD: {{name: Own, positions: 1, points: {{1: {{{own}}}}}}}\n"
        "lines: {N: {from: P.O, to: R.I, cable: L/1}}\n"
    )
    pages = chart_drawings(facility, sheet="A4", effort="quick", failure=failure)
    cards = {
        int(rules.data_of(card)["sheet"]): tag_of(card)
        for page in pages
        for card in rules.groups(page.marks, "sheet-card")
    }
    mark = "R" if failure.cables == ("L/1",) else "D5"
    there = {
        number
        for number, page in enumerate(pages, 1)
        if any(rules.data_of(g)["id"] == mark for g in rules.groups(page.marks, "equipment"))
    }
    assert len(there) == 1 < len(cards)
    assert {number for number, tag in cards.items() if tag} == there
    assert {cards[number] for number in there} == {"FAILED"}
    assert {number for number, words in indexed(pages) if f"; {said}." in words} == there
