"""Failed bays, places and cut cables on a chart: crossed out, and what they silence hollow."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

import slinediag
from slinediag.address import Jack
from slinediag.chart.said import heading_of
from slinediag.cli.main import main
from slinediag.drawing.marks import Text
from slinediag.drawing.query import text_boxes, walk
from slinediag.file.read import load
from slinediag.output import chart_drawings
from slinediag.tracing.naming import read_trial
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.values import Trial
from tests.builders import plant
from tests.chart.rules import block_words

LARKFEN = Path(__file__).parents[1] / "samples" / "larkfen.yaml"
FACILITY = slinediag.load(LARKFEN)
SMALL = plant(
    """
    equipment:
      A: {name: Player, outputs: [L, R]}
      B: {name: Amplifier, inputs: [L, R], priority: 1}
      C: {name: Camera feed, outputs: [O]}
      D: {name: Recorder, inputs: [I]}
    bays:
      P: {name: Bay, positions: 2, points: {1: {top: {to: A.L, cable: S/1}, bottom: B.L},
        2: {top: {to: A.R, cable: S/2}, bottom: B.R}}}
    lines:
      DIRECT: {from: C.O, to: D.I, cable: K}
    """
)


def drawn(tmp_path, facility=FACILITY, **failed):
    """Every element of the one sheet with a class, by class; and all its text."""
    path = tmp_path / "chart.svg"
    slinediag.draw(facility, path, effort="quick", sheet="one", fold=None, **failed)
    tree = ElementTree.parse(path)
    found = [(set(e.get("class", "").split()), e) for e in tree.iter() if e.get("class")]
    return found, " ".join("".join(e.itertext()) for e in tree.iter() if e.tag.endswith("text"))


def lines(found):
    """Each line's ends, and whether it is silent."""
    return {
        (e.get("data-from"), e.get("data-to")): "silent" in kinds
        for kinds, e in found
        if "line" in kinds
    }


def test_what_a_cut_pair_silences_is_hollow_and_nothing_else(tmp_path):
    found, text = drawn(tmp_path, SMALL, cut=["S/2"])
    # By hand from the file: pair 2 carries the right channel alone.
    silent = lines(found)
    assert silent == {
        ("A.L", "P.T1"): False,
        ("A.R", "P.T2"): True,
        ("P.B1", "B.L"): False,
        ("P.B2", "B.R"): True,
        ("C.O", "D.I"): False,
    }
    assert sum("hollow" in kinds for kinds, _ in found) == 3, "two lines and the normal between"
    assert "Cable S/2 cut: silent now B R." in text
    assert "Crossed out: failed or cut. Hollow and dashed: silent." in text


def crosses(facility, failure):
    """Where crosses stand on the chart, and the jacks by their addresses."""
    (drawing,) = chart_drawings(facility, sheet="one", effort="quick", failure=failure)
    marks = list(walk(drawing))
    jacks = {
        dict(p.refs[-1].data)["jack"]: p.mark.centre
        for p in marks
        if p.refs and "jack" in p.refs[-1].classes and dict(p.refs[-1].data).get("jack")
    }
    # The legend shows one too, outside of the chart's own group.
    found = [
        p.box.centre
        for p in marks
        if p.refs
        and "break-cross" in p.refs[-1].classes
        and any("chart" in ref.classes for ref in p.refs)
    ]
    return found, jacks


def test_a_cut_wire_is_crossed_just_behind_its_jack():
    (at,), jacks = crosses(SMALL, Failure(cables=("S/2",)))
    assert at.y == jacks["P.T2"].y
    assert 1_400 < jacks["P.T2"].x - at.x < 4_000


def test_a_cut_direct_line_is_crossed_before_its_input(tmp_path):
    (at,), _ = crosses(SMALL, Failure(cables=("K",)))
    found, _ = drawn(tmp_path, SMALL, cut=["K"])
    assert lines(found)["C.O", "D.I"]
    (drawing,) = chart_drawings(SMALL, sheet="one", effort="quick")
    (line,) = [
        p.mark for p in walk(drawing)
        if p.refs and dict(p.refs[-1].data).get("to") == "D.I" and "line" in p.refs[-1].classes
    ]  # fmt: skip
    end = max(point for run in line.runs for point in (run[0], run[-1]))
    assert 0 < end.x - at.x < 4_000
    assert end.y == at.y


@pytest.mark.parametrize(
    "asked", [{"failed_bays": ["LB"]}, {"failed_bays": ["LB"], "failed": ["COMP"]}, {}]
)
def test_the_title_block_tells_it_from_the_chart_as_filed(tmp_path, asked):
    found, _ = drawn(tmp_path, **asked)
    said = [e for kinds, e in found if "trial" in kinds]
    assert ["".join(e.itertext()).startswith("TRIAL") for e in said] == [True] * bool(asked)


def test_every_jack_and_normal_of_a_failed_bay_is_crossed_out(tmp_path):
    found, text = drawn(tmp_path, failed_bays=["LB"])
    points = [e for kinds, e in found if "point" in kinds]
    ours = [e for e in points if e.get("data-top").startswith("LB.")]
    others = [e for e in points if not e.get("data-top").startswith("LB.")]
    assert len(ours) == 24

    def count(element, kind):
        return sum(kind in inner.get("class", "").split() for inner in element.iter())

    for point in ours:
        assert count(point, "failed") == count(point, "jack") > 0
        assert count(point, "normal") == count(point, "broken")
    assert not any(count(point, "failed") for point in others)
    assert "Bay LB failed: silent now " in text


@pytest.mark.parametrize(
    "failed", [{"failed_bays": ["LB"]}, {"cut": ["A1/1"]}, {"failed_bays": ["LA"]}]
)
def test_lines_into_inputs_are_silent_where_the_outage_says_so(tmp_path, failed):
    """The outage works from what is heard; the chart from what its nets carry."""
    outage = slinediag.outage(FACILITY, moves=1, **failed).to_dict()
    silenced = {each["input"] for each in outage["silenced"]}
    # Where nothing that is heard is heard no more, but some source sends on, a line is not silent.
    assert silenced
    found, _ = drawn(tmp_path, **failed)
    ends = {to: silent for (_, tos), silent in lines(found).items() for to in tos.split()}
    for port in FACILITY.inputs():
        if (name := FACILITY.spelled(port)) in ends:
            assert ends[name] == (name in silenced), name


def test_boxes_at_a_failed_place_are_failed_too(tmp_path):
    found, _ = drawn(tmp_path, failed_places=["Desk rack"])
    dead = {e.get("data-id") for kinds, e in found if {"equipment", "failed"} <= kinds}
    assert dead == {
        b.id for b in FACILITY.equipment.values() if (b.place or "").startswith("Desk rack")
    }


def test_a_trial_on_what_is_left(tmp_path):
    """A cord round the failed bay brings back what it silenced."""
    found, text = drawn(tmp_path, SMALL, cut=["S/2"], cords=[("P.T1", "P.B2")])
    assert not lines(found)["P.B2", "B.R"]
    assert lines(found)["A.R", "P.T2"]
    assert "Cable S/2 cut: no input is silent." in text
    assert "What follows is of the trial, done to what is left." in text


def test_what_is_said_stands_under_what_it_is_about():
    """No heading speaks of cords where there is none."""
    cord, plug = (Jack("PB1", "T", 1), Jack("PB1", "B", 2)), Jack("PB1", "T", 3)
    about = [
        heading_of(Trial(failed=("LIM",)), fails=False),
        heading_of(Trial(), fails=True),
        heading_of(Trial(cords=(cord,)), fails=False),
        heading_of(Trial(plugs=(plug,)), fails=False),
        heading_of(Trial(pulled_cords=(cord,)), fails=False),
        heading_of(Trial(cords=(cord,), plugs=(plug,)), fails=False),
        heading_of(Trial(cords=(cord,), failed=("LIM",)), fails=False),
        heading_of(Trial(pulled_plugs=(plug,)), fails=True),
    ]
    assert about == [
        "What the failure does",
        "What the failure does",
        "What the cords do",
        "What the plugs do",
        "What pulling does",
        "What the cords and plugs do",
        "What failure and cords do",
        "What failure and plugs do",
    ]
    failure = Failure(bays=("LA",))
    (drawing,) = chart_drawings(FACILITY, sheet="one", effort="quick", failure=failure)
    said = block_words(drawing, "words")
    assert said.startswith("What the failure does")


def test_no_cross_lies_on_a_text():
    failure = Failure(bays=("LA", "LB", "FL"), cables=("A1", "A2"))
    (drawing,) = chart_drawings(FACILITY, sheet="one", effort="quick", failure=failure)
    texts = [box for _, box in text_boxes(drawing)]
    placed = [
        p for p in walk(drawing) if p.refs and {"failed", "break-cross"} & set(p.refs[-1].classes)
    ]
    assert len(placed) > 100
    clear = [p for p in placed if "failed" not in p.refs[-1].classes]
    assert not [p.box for p in clear if any(p.box.meets(box) for box in texts)]


def test_crosses_and_hollow_lines_grow_with_the_lettering():
    failure = Failure(bays=("P",), cables=("S",))
    (small,) = chart_drawings(SMALL, sheet="one", effort="quick", read_at=250, failure=failure)
    (large,) = chart_drawings(SMALL, sheet="one", effort="quick", read_at=1000, failure=failure)

    def widths(drawing, kind):
        return {p.mark.style.width for p in walk(drawing) if p.refs and kind in p.refs[-1].classes}

    for kind in ("failed", "silent"):
        assert widths(large, kind) == {2 * width for width in widths(small, kind)}


def test_the_command_and_python_draw_the_same(tmp_path):
    one, other = tmp_path / "one.svg", tmp_path / "other.svg"
    options = ["--failed-bay", "FL", "--cut", "A1/1", "--effort", "quick", "--sheet", "one"]
    assert main(["draw", str(LARKFEN), "-o", str(one), *options]) == 0
    slinediag.draw(FACILITY, other, failed_bays=["FL"], cut=["A1/1"], effort="quick", sheet="one")
    assert one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["-o", "c.gv", "--cut", "A1"], "a bare graph shows no trial"),
        (["--before"], "there is no trial to show. Say what changes with --cord"),
        (["--failed-bay", "TRACKS"], 'this is equipment, not a bay. Say --failed "TRACKS"'),
        (["--cut", ""], "--cut: no name is given"),
    ],
)
def test_what_cannot_be_drawn_is_refused(tmp_path, capsys, monkeypatch, options, said):
    monkeypatch.chdir(tmp_path)
    assert main(["draw", str(LARKFEN), *options]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def halves(facility, failure, trial=None):
    """The halves before and after of a sheet: marks by kind, and the words of both."""
    (drawing,) = chart_drawings(facility, trial, before=True, effort="quick", failure=failure)
    found = {"before": [], "after": []}
    for placed in walk(drawing):
        for half, marks in found.items():
            if any(half in ref.classes for ref in placed.refs):
                marks.append(placed)
    words = {h: [p.mark.text for p in m if isinstance(p.mark, Text)] for h, m in found.items()}
    return found, words


def classes(marks):
    return {name for placed in marks for ref in placed.refs for name in ref.classes}


def jacks_crossed(marks):
    """Jacks that a cross lies over, by their addresses."""
    centres = {
        p.mark.centre: dict(p.refs[-1].data)["jack"]
        for p in marks
        if p.refs and "jack" in p.refs[-1].classes and "jack" in dict(p.refs[-1].data)
    }
    crosses = [p.box.centre for p in marks if p.refs and "failed" in p.refs[-1].classes]
    return {centres.get(at) for at in crosses}


def test_before_and_after_only_the_half_after_is_crossed_out():
    found, words = halves(FACILITY, Failure(bays=("LB",), cables=("A1",)))
    lb = {str(jack) for jack in FACILITY.jacks if jack.bay == "LB"}
    assert not {"failed", "hollow", "silent"} & classes(found["before"])
    assert {"failed", "hollow", "silent", "broken"} <= classes(found["after"])
    crossed = jacks_crossed(found["after"])
    assert crossed <= lb
    assert len(crossed) == len([p for p in found["after"] if p.refs[-1].classes == ("failed",)])
    assert "Before: as filed" in words["before"]
    assert "After: with what has failed" in words["after"]
    # But for the headings both halves say the same: nothing is moved or lost.
    before, after = (set(words[half]) for half in ("before", "after"))
    assert before - after == {"Before: as filed"}
    assert after - before == {"After: with what has failed", "Bay LB failed; Cable A1 cut"}
    assert len(words["before"]) + 1 == len(words["after"])


def test_before_and_after_with_a_place_failed_and_a_cord_tried():
    trial = read_trial(FACILITY, [("LA.T1", "LB.B1")], [], [], [])
    found, words = halves(FACILITY, Failure(places=("Desk rack",)), trial)
    assert "After: with what has failed, and the trial" in words["after"]
    assert "FAILED" in words["after"]
    assert "FAILED" not in words["before"]
    assert "failed" not in classes(found["before"])


def test_the_command_draws_before_and_after_a_cut(tmp_path, capsys):
    path = tmp_path / "c.svg"
    options = ["-o", str(path), "--cut", "A1/1", "--before", "--effort", "quick"]
    assert main(["draw", str(LARKFEN), *options]) == 0
    assert capsys.readouterr().out == f"Chart: {path}\n"
    assert "After: with what has failed" in path.read_text(encoding="utf-8")


def test_as_filed_nothing_is_crossed():
    assert load(LARKFEN).facility == FACILITY
    (plain,) = chart_drawings(SMALL, sheet="one", effort="quick")
    (none,) = chart_drawings(SMALL, sheet="one", effort="quick", failure=Failure())
    assert plain == none


def test_folding_that_is_asked_for_is_said_to_be_left_out_where_something_has_failed():
    said: list[str] = []
    failure = Failure(bays=("P",))
    chart_drawings(SMALL, sheet="one", effort="quick", failure=failure, fold=True, say=said.append)
    assert said == ["Not folded: one line for many circuits cannot say which of them has failed"]
    said.clear()
    chart_drawings(SMALL, sheet="one", effort="quick", failure=failure, say=said.append)
    assert not said
