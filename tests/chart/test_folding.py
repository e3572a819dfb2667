"""Runs of parallel circuits drawn as one line: what folds, what does not, and that nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from slinediag.address import PortAddress
from slinediag.chart.chart import draw
from slinediag.chart.planning import plan_chart
from slinediag.chart.ranges import run_of_labels
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Text
from slinediag.model.bay import Wire
from slinediag.model.equipment import PortKeys
from slinediag.model.facility import Cord, CrossNormal, Mult, Plug
from slinediag.problems import SheetTooSmall
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack, plant
from tests.chart import rules
from tests.chart.plants import sample, sample_sheet
from tests.chart.set_rules import check_set
from tests.strategies import facilities, trials

# A chart takes its time: what fails is shown as found, not shrunk for minutes.
FEW = settings(
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=list(HealthCheck),
)

EIGHT = """
equipment:
  PANEL: {name: Wall panel, label: MIC, outputs: ["1", "2", "3", "4", "5", "6", "7", "8"]}
  PRE:
    name: Preamplifiers
    label: PREAMP
    inputs: [I1, I2, I3, I4, I5, I6, I7, I8]
    outputs: [O1, O2, O3, O4, O5, O6, O7, O8]
    paths: straight
  REC: {name: Recorder, inputs: ["1", "2", "3", "4", "5", "6", "7", "8"]}
bays:
  PA:
    name: Microphones
    positions: 8
    normal: full
    points:
      1-8:
        top: [PANEL.1, PANEL.2, PANEL.3, PANEL.4, PANEL.5, PANEL.6, PANEL.7, PANEL.8]
        bottom: [PRE.I1, PRE.I2, PRE.I3, PRE.I4, PRE.I5, PRE.I6, PRE.I7, PRE.I8]
  PB:
    name: Recording
    positions: 8
    points:
      1-8:
        top: [PRE.O1, PRE.O2, PRE.O3, PRE.O4, PRE.O5, PRE.O6, PRE.O7, PRE.O8]
        bottom: [REC.1, REC.2, REC.3, REC.4, REC.5, REC.6, REC.7, REC.8]
  PC: {name: Others, positions: 2, normal: none}
"""


def folded(facility, trial=None, **asked):
    """A facility's chart with its runs folded, on one sheet."""
    answer = ask(facility, trial) if trial else None
    return draw(facility, answer, fold=True, sheet="one", **asked)[0]


def runs(drawing) -> list[tuple[str, ...]]:
    """The positions that stand for several, each as its top jacks."""
    return sorted(
        tuple(rules.data_of(group)["members"].split())
        for group in rules.groups(drawing.marks, "folded")
    )


def tops(bay: str, first: int, last: int) -> tuple[str, ...]:
    return tuple(f"{bay}.T{n}" for n in range(first, last + 1))


def test_a_run_is_one_line_from_end_to_end():
    facility = plant(EIGHT)
    drawing = folded(facility)
    rules.check_all(facility, drawing)
    assert runs(drawing) == [tops("PA", 1, 8), tops("PB", 1, 8)]
    lines = rules.marked(drawing, "line")
    assert len(lines) == 4
    members = {rules.data_of(line)["members"] for line in lines}
    assert " ".join(f"PANEL.{n}=PA.T{n}" for n in range(1, 9)) in members
    assert "MIC 1 … MIC 8" in texts(drawing)
    assert texts(drawing).count("PA 1–8") == 1, "above the point, and in no list"
    assert len(rules.marked(drawing, "slash")) == 4 + 1, "one a line, and the legend's"
    paths = rules.marked(drawing, "path")
    assert [len(path.runs) for path in paths] == [1], "eight paths, one to one, are one rule"


def texts(drawing) -> list[str]:
    return [words for words, _, _ in rules.texts(drawing)]


def with_point(facility, bay="PB", number=5, **keys):
    """The facility with one position changed."""
    old = facility.bays[bay]
    points = {**old.points, number: replace(old.points[number], **keys)}
    return replace(facility, bays={**facility.bays, bay: replace(old, points=points)})


def with_priority(facility):
    box = facility.equipment["REC"]
    ports = tuple(
        replace(port, keys=PortKeys(priority=1)) if port.id == "5" else port for port in box.inputs
    )
    return replace(facility, equipment={**facility.equipment, "REC": replace(box, inputs=ports)})


CHANGES = {
    "another normal": lambda f: with_point(f, normal="parallel"),
    "a note": lambda f: with_point(f, note="hums"),
    "another group": lambda f: with_point(f, group="TALK"),
    "reserved": lambda f: with_point(f, state="reserved"),
    "another end": lambda f: with_point(f, bottom=None),
    "swapped": lambda f: with_point(f, bottom=Wire(PortAddress("REC", "5", "in"), swapped=True)),
    "a priority": with_priority,
    "a cord": lambda f: replace(f, cords=(Cord(jack("PB.T5"), jack("PC.T1")),)),
    "a dummy plug": lambda f: replace(f, plugs=(Plug(jack("PB.B5")),)),
    "a mult": lambda f: replace(f, mults={"M": Mult("M", (jack("PB.T5"), jack("PC.T1")))}),
    "a normal from it": lambda f: replace(
        f, cross_normals=(CrossNormal(jack("PB.T5"), jack("PC.B1")),)
    ),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_what_differs_stands_by_itself(change):
    facility = change(plant(EIGHT))
    drawing = folded(facility)
    rules.check_all(facility, drawing)
    found = [run for run in runs(drawing) if run[0].startswith("PB.")]
    assert found == [tops("PB", 1, 4), tops("PB", 6, 8)]


TRIALS = {
    "plug": Trial(plugs=(jack("PB.T5"),)),
    "cord": Trial(cords=((jack("PB.B5"), jack("PC.T1")),)),
}


@pytest.mark.parametrize("trial", TRIALS.values(), ids=TRIALS)
def test_a_trial_unfolds_what_it_touches(trial):
    facility = plant(EIGHT)
    drawing = folded(facility, trial)
    rules.check_all(facility, drawing)
    found = [run for run in runs(drawing) if run[0].startswith("PB.")]
    assert found == [tops("PB", 1, 4), tops("PB", 6, 8)]


def test_what_falls_silent_together_stays_together():
    facility = plant(EIGHT)
    drawing = folded(facility, Trial(failed=("PRE",)))
    rules.check_all(facility, drawing)
    assert tops("PB", 1, 8) in runs(drawing)
    silent = [line for line in rules.marked(drawing, "line") if "silent" in line.ref.classes]
    assert {rules.data_of(line)["members"].split()[4] for line in silent} == {
        "PRE.O5=PB.T5",
        "PB.B5=REC.5",
    }


def test_a_crossed_run_does_not_fold():
    text = EIGHT.replace("bottom: [REC.1, REC.2,", "bottom: [REC.2, REC.1,")
    drawing = folded(plant(text))
    assert [run for run in runs(drawing) if run[0].startswith("PB.")] == [tops("PB", 3, 8)]


def test_paths_that_are_not_one_to_one_are_listed_where_ports_fold():
    facility = plant(EIGHT.replace("paths: straight", "paths: all"))
    drawing = folded(facility)
    assert rules.marked(drawing, "path") == []
    assert rules.block_words(drawing, "paths") == ""
    words = [
        m.text
        for g in rules.groups(drawing.marks, "equipment")
        for m in g.marks
        if isinstance(m, Text)
    ]
    assert " ".join(words).count("all inputs to all outputs") == 1


def test_positions_of_a_run_are_told_in_a_list_where_its_ends_do_not_tell_them():
    drawing = folded(plant(EIGHT))
    assert "drawn as one line" in rules.block_words(drawing, "legend")
    # MIC 1 … MIC 8 stands at the node.
    assert rules.block_words(drawing, "folded-lines") == ""
    places = ("DOOR", "WEST", "EAST", "DESK", "STAGE", "PIT", "LOFT", "YARD")
    outputs = ", ".join(f'"{n}": {{label: {place}}}' for n, place in enumerate(places, 1))
    listed = '"1", "2", "3", "4", "5", "6", "7", "8"'
    assert f"outputs: [{listed}]" in EIGHT
    words = rules.block_words(
        folded(plant(EIGHT.replace(f"outputs: [{listed}]", f"outputs: {{{outputs}}}"))),
        "folded-lines",
    )
    for n, place in enumerate(places, 1):
        assert f"{n} MIC {place} / PREAMP I{n}" in words


@pytest.mark.parametrize(
    ("labels", "told"),
    [
        (["MIC 1", "MIC 2", "MIC 3"], "MIC 1 … MIC 3"),
        (["DISC 1 L", "DISC 1 R"], "DISC 1 L, R"),
        (["L", "R"], "L, R"),
        (["SND 1", "RTN 1"], "SND 1, RTN 1"),
        (["PLAYOUT AL", "PLAYOUT AR", "PLAYOUT BL"], "PLAYOUT AL … BL"),
        (["spare", "spare", "spare"], "spare"),
        (["", ""], ""),
    ],
)
def test_runs_of_labels(labels, told):
    assert run_of_labels(labels) == told


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_the_samples_folded_keep_every_rule(name):
    drawing = sample_sheet(name, fold=True)
    rules.check_all(sample(name), drawing)
    assert len(rules.marked(drawing, "line")) < 0.75 * len(rules.marked(sample_sheet(name), "line"))


def test_a_folded_set_keeps_every_rule():
    facility = sample("quillmoor")
    plan = plan_chart(facility, None, fold=True)
    a3 = sheet_named("A3")
    request = Request(facility, None, plan, a3, "quick", Said(), Fraction(1))
    check_set(facility, draw_set(request))


def test_what_does_not_fit_is_folded_unasked():
    text = EIGHT
    facility = plant(text)
    # Unfolded, eight rows of 10 mm and their heads leave an A4 no room for the legend.
    (drawing,) = draw(facility, sheet="A3")
    assert runs(drawing) == []
    small = draw(facility, sheet="A4", fold=False)
    assert len(small) > 1


def doubled(facility):
    """The facility with every port, wire, tie, mult and normal twice, side by side, plugs once."""

    def jacks(one):
        return tuple(replace_jack(one, 2 * one.position - 1 + n) for n in (0, 1))

    def replace_jack(one, position):
        return one._replace(position=position)

    def ends(one):
        if isinstance(one, PortAddress):
            return tuple(one._replace(port=f"{one.port}{side}") for side in "LR")
        return jacks(one)

    equipment = {box.id: twice(box) for box in facility.equipment.values()}
    bays = {}
    for bay in facility.bays.values():
        points = {}
        for number, point in bay.points.items():
            for n, side in enumerate("LR"):
                wires = {
                    row: replace(w, to=w.to._replace(port=f"{w.to.port}{side}"))
                    for row, w in (("top", point.top), ("bottom", point.bottom))
                    if w
                }
                points[2 * number - 1 + n] = replace(point, **wires)
        bays[bay.id] = replace(bay, positions=2 * bay.width, points=points)
    return replace(
        facility,
        equipment=equipment,
        bays=bays,
        cross_normals=tuple(
            replace(c, source=a, target=b)
            for c in facility.cross_normals
            for a, b in zip(jacks(c.source), jacks(c.target), strict=True)
        ),
        mults={
            f"{m.id}{n}": Mult(f"{m.id}{n}", tuple(jacks(j)[n] for j in m.jacks))
            for m in facility.mults.values()
            for n in (0, 1)
        },
        lines={
            f"{x.id}{n}": replace(
                x, id=f"{x.id}{n}", source=ends(x.source)[n], target=ends(x.target)[n]
            )
            for x in facility.lines.values()
            for n in (0, 1)
        },
        cords=tuple(
            replace(c, source=jacks(c.source)[0], target=jacks(c.target)[0]) for c in facility.cords
        ),
        plugs=tuple(replace(p, jack=jacks(p.jack)[1]) for p in facility.plugs),
    )


def twice(box):
    """A box with every port twice, paths side by side."""

    def ways(paths):
        return paths and tuple(
            (f"{out}{side}", tuple(f"{entry}{side}" for entry in entries))
            for out, entries in paths
            for side in "LR"
        )

    def ports(found):
        return tuple(replace(p, id=f"{p.id}{side}") for p in found for side in "LR")

    return replace(
        box,
        outputs=ports(box.outputs),
        inputs=ports(box.inputs),
        paths=ways(box.paths),
        bypass=ways(box.bypass),
    )


def check_folding(facility, drawing):
    """The rules but for the ways of cords, which the charts of other plants are held to."""
    rules.check_lettering(drawing)
    rules.check_lines_clear(drawing)
    rules.check_nets_apart(drawing)
    rules.check_straight_normals(drawing)
    rules.check_complete(facility, drawing)
    rules.check_wiring(facility, drawing)
    rules.check_no_loose_ends(drawing)


@given(st.data())
@settings(FEW, max_examples=20)
def test_random_pairs_and_trials_keep_every_rule(data):
    facility = doubled(data.draw(facilities(positions=3)))
    trial = data.draw(trials(facility))
    drawing = folded(facility, trial)
    check_folding(facility, drawing)
    whole = draw(facility, ask(facility, trial), sheet="one", fold=False)[0]
    assert len(rules.marked(drawing, "line")) <= len(rules.marked(whole, "line"))


@given(st.data())
@settings(FEW, max_examples=10)
def test_random_pairs_keep_every_rule_in_a_set(data):
    facility = doubled(data.draw(facilities(positions=3)))
    plan = plan_chart(facility, None, fold=True)
    a3 = sheet_named("A3")
    try:
        drawings = draw_set(Request(facility, None, plan, a3, "quick", Said(), Fraction(1)))
    except SheetTooSmall:
        return
    check_set(facility, drawings)
