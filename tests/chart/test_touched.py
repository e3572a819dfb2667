"""What a trial touches: the part that is drawn before and after where a sheet has no room for all.

Which inputs hear something else is worked out by ``tests.oracle`` too, with networkx.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

import slinediag
from slinediag.chart.before_after import done_words
from slinediag.chart.chart import draw
from slinediag.chart.touched import both_on_sheet, touched
from slinediag.cli.main import main
from slinediag.drawing.query import ink_box, walk
from slinediag.problems import BothTooLarge
from slinediag.progress import silent
from slinediag.tracing.naming import read_trial
from slinediag.tracing.outage.failure import damaged, read_failure
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests import oracle
from tests.builders import plant
from tests.chart import rules
from tests.chart.plants import sample
from tests.chart.test_before_after import half, points

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def quillmoor():
    return slinediag.load(SAMPLES / "quillmoor.yaml")


def tried(cords=(), pulls=(), plugs=(), failed=()):
    """A trial's answer."""
    facility = quillmoor()
    return ask(facility, read_trial(facility, cords, pulls, plugs, failed))


def spelled(part):
    positions = {f"{place.bay}.{place.number}" for place in part.positions}
    return positions, set(map(quillmoor().spelled, part.ports))


def test_a_cord_to_an_input_touches_both_its_positions_and_what_fed_it():
    part, least = touched(quillmoor(), tried([("DISC 1 L", "LINK L")]))
    positions, _ = spelled(part)
    # The limiter's normal goes on to the meter, which hears what it heard.
    assert positions == {"PB1.9", "PB2.15", "PB3.25"}
    boxes = {quillmoor().equipment[port.equipment].printed for port in part.ports}
    assert boxes == {"DISC 1", "DESK", "LIMITER", "LINK", "METER"}
    assert part.beyond == 0
    assert part.name == "what the trial changes"
    assert "METER" not in {quillmoor().equipment[port.equipment].printed for port in least.ports}


def test_where_much_hears_something_else_there_is_a_part_without_what_is_farther_on():
    answer = tried([("MIC 1", "DESK MIC 2")])
    every, near = touched(quillmoor(), answer)
    changed = {outcome.input for outcome in answer.inputs if outcome.change != "unchanged"}
    assert changed <= every.ports
    assert near.ports < every.ports
    assert near.positions < every.positions
    assert near.beyond == len(changed - near.ports) > 20
    assert spelled(near)[0] == {"PB1.1", "PB1.2"}


@pytest.mark.parametrize(
    "asked",
    [
        {"cords": [("MIC 1", "DESK MIC 2")]},
        {"cords": [("DISC 1 L", "LINK L")], "plugs": ["DESK MIC 2"]},
        {"pulls": [("PB3.T15", "PB2.B5")]},
        {"failed": ["PGM DA"]},
    ],
)
def test_all_that_changes_is_in_the_larger_part_all_that_is_fed_by_else_in_each(asked):
    answer = tried(**asked)
    every, *near = touched(quillmoor(), answer)
    for port, (change, fed, fed_after, *_) in oracle.changes(quillmoor(), answer.trial).items():
        assert port in every.ports or change == "unchanged"
        assert all(port in part.ports or fed == fed_after for part in (every, *near))
        for source in (*fed, *fed_after) if change != "unchanged" else ():
            assert source in every.ports


def test_what_is_wired_to_the_other_jack_of_a_plugged_position_is_touched_too():
    """Neither feeds or hears anything, nor would with the cord in; a tie line has no port."""
    facility = plant(
        """
        equipment:
          S: {name: Source, outputs: [O]}
          U: {name: Unheard, outputs: [O]}
          D: {name: Deaf, inputs: [I]}
          E: {name: Monitor, inputs: [I]}
          F: {name: Far, inputs: [I], outputs: [O]}
        bays:
          PB:
            name: Bay
            positions: 4
            points:
              1: {top: S.O, bottom: D.I, normal: none}
              2: {top: U.O, bottom: E.I, normal: none}
              3: {top: F.O, bottom: F.I, normal: none}
          PC: {name: Other bay, positions: 1}
        lines:
          TL: {from: PB.T4, to: PC.T1}
        """
    )
    answer = ask(facility, read_trial(facility, [("PB.T1", "PB.B2")], [], ["PB.T4"], []))
    part, *_ = touched(facility, answer)
    assert {port.equipment for port in part.ports} == {"S", "U", "D", "E"}
    wired = {(port.equipment, port.port) for port in part.ports}
    assert wired == {("S", "O"), ("U", "O"), ("D", "I"), ("E", "I")}


def test_dead_equipment_is_touched_with_what_feeds_it_and_what_it_feeds():
    part, *_ = touched(quillmoor(), tried(failed=["LIMITER"]))
    boxes = {quillmoor().equipment[port.equipment].printed for port in part.ports}
    assert boxes == {"PGM DA", "LIMITER", "LINK", "METER"}
    assert part.name == "what the failure changes"


def test_what_a_failed_bay_leaves_silent_is_touched():
    facility = quillmoor()
    failure = read_failure(facility, (), ["PB2"], (), ())
    every = touched(facility, ask(damaged(facility, failure), Trial()))[0]
    assert {"XMIT.L", "XMIT.R"} <= {name.partition(":")[0] for name in spelled(every)[1]}
    bays = {place.bay for place in every.positions}
    assert "PB2" in bays


def test_what_is_done_is_said_with_the_labels_of_the_jacks():
    facility = quillmoor()
    trial = read_trial(facility, [("DISC 1 L", "LINK L")], [], ["DESK MIC 2"], ["LIMITER"])
    assert done_words(facility, trial) == (
        "Cord PB1 T9 (DISC 1 L) to PB2 B15 (LINK L)",
        "Dummy plug in PB1 B2 (DESK MIC 2)",
        "LIMITER failed",
    )


@cache
def page(sheet="A3"):
    """What the command draws of a cord."""
    return drawn_on(sheet)


def drawn_on(sheet):
    answer = tried([("DISC 1 L", "LINK L")])

    def draw_part(**part):
        done = done_words(quillmoor(), answer.trial)
        return draw(quillmoor(), answer, before=True, done=done, **part)

    said = []
    given = quillmoor(), answer, None, silent, said.append
    (drawing,) = both_on_sheet(draw_part, sheet, *given)
    assert not said
    return drawing


def test_a_named_sheet_shows_both_halves_of_what_is_touched():
    drawing = page()
    assert (drawing.width, drawing.height) == (420_000, 297_000)
    before, after = half(drawing, "before"), half(drawing, "after")
    assert points(before).keys() == points(after).keys() == {"PB1.T9", "PB2.T15", "PB3.T25"}
    one, other = ink_box(before), ink_box(after)
    assert one.bottom < other.y or one.right < other.x
    shifts = set()
    for name, group in points(before).items():
        first, second = ink_box(group.marks[0]), ink_box(points(after)[name].marks[0])
        shifts.add((second.x - first.x, second.y - first.y))
    assert len(shifts) == 1
    assert 0 in next(iter(shifts))
    texts = [p.mark.text for p in walk(drawing) if hasattr(p.mark, "text")]
    assert "Cord PB1 T9 (DISC 1 L) to PB2 B15 (LINK L)" in texts
    assert "TRIAL" in texts
    assert {"Cautions", "Legend"} <= set(texts)


def test_its_lettering_is_clear_and_no_smaller_than_a_quarter_centimetre():
    drawing = page()
    rules.check_lettering(drawing)
    rules.check_cords_clear(drawing)
    assert min(p.mark.height for p in walk(drawing) if hasattr(p.mark, "text")) >= 2_500


def test_where_not_even_that_has_room_the_smallest_sheet_is_named():
    with pytest.raises(BothTooLarge) as refused:
        page("A4")
    assert "not even for what the trial touches" in str(refused.value)
    # With --sheet one the whole plant would be drawn twice.
    assert "Use --sheet auto" in str(BothTooLarge("A4", None, touched=True))
    assert refused.value.smallest == "A3"


def test_what_nobody_can_hang_whole_is_what_is_touched_on_the_smallest_sheet():
    drawing = page("auto")
    assert (drawing.width, drawing.height) == (420_000, 297_000)
    assert points(half(drawing, "before")).keys() == {"PB1.T9", "PB2.T15", "PB3.T25"}


def test_a_large_plant_is_not_laid_out_whole_for_that(monkeypatch):
    from slinediag.chart import chart

    usual, laid_out = page("auto"), []
    draw_whole = chart.draw_whole

    def noted(plan, *given, **named):
        laid_out.append(plan.excerpt)
        return draw_whole(plan, *given, **named)

    monkeypatch.setattr(chart, "draw_whole", noted)
    monkeypatch.setattr(chart, "FOLDED_FROM", 10)
    assert drawn_on("auto") == usual
    assert None not in laid_out
    assert laid_out


def test_drawn_again_by_the_command_it_stays_and_is_the_same(tmp_path, capsys):
    file, path = str(SAMPLES / "quillmoor.yaml"), tmp_path / "c.svg"
    command = ["draw", file, "-o", str(path), "--sheet", "A3", "--effort", "quick"]
    command += ["--cord", "DISC 1 L=LINK L", "--before"]
    assert main(command) == 0
    first = path.read_bytes()
    assert b"what the trial changes" in first
    capsys.readouterr()
    assert main(command) == 0
    assert "things stay where they were" in capsys.readouterr().err
    assert path.read_bytes() == first


def test_a_part_that_is_named_is_refused_rather_than_narrowed(tmp_path, capsys):
    file, path = str(SAMPLES / "quillmoor.yaml"), tmp_path / "c.svg"
    command = ["draw", file, "-o", str(path), "--sheet", "A4", "--effort", "quick"]
    assert main([*command, "--cord", "DISC 1 L=LINK L", "--before", "--bay", "PB2"]) == 2
    said = capsys.readouterr().err
    assert "The smallest that has is" in said
    assert "what the trial touches" not in said
    assert not path.exists()


def test_the_least_is_without_inputs_for_which_nothing_changes():
    facility = sample("larkfen")
    cords = [("LA.T1", "LB.B1"), ("LA.T2", "LB.B2")]
    answer = ask(facility, read_trial(facility, cords, [], [], []))
    *_, near, least = touched(facility, answer)
    beside = {port.port for port in near.ports - least.ports}
    # Tracks 5 and 6 are normaled from the jacks at the groups, and hear what they heard.
    assert beside == {"5", "6"}
