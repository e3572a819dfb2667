"""What a box says of its ways is true of each port, also where one row stands for several."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.address import PortAddress
from slinediag.chart.boxes import draw_box
from slinediag.chart.equipment import plan_part
from slinediag.chart.fars import find_fars, lines_at
from slinediag.chart.onward import Place, Whereabouts, draw_onward
from slinediag.chart.overlay import outcome_of
from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.restacking import restacked
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.drawing.marks import Text
from slinediag.drawing.query import text_box
from slinediag.geometry import Box
from slinediag.model.equipment import Equipment, Port, PortKeys
from slinediag.model.facility import Facility, Practice
from slinediag.problems import SheetTooSmall
from tests.chart import box_sentences as read
from tests.chart import rules
from tests.chart.plants import sample
from tests.chart.test_folding import FEW, doubled
from tests.chart.test_listed_paths import texts_of
from tests.strategies import facilities


def ways_of(box: Equipment) -> set[tuple[str, str]]:
    """The paths of a box as filed, worked out from its own fields."""
    if box.paths is None:
        return set()
    if box.paths == "straight":
        return {(i.id, o.id) for i, o in zip(box.inputs, box.outputs, strict=True)}
    if box.paths == "all":
        return {(i.id, o.id) for i in box.inputs for o in box.outputs}
    return {(entry, leaving) for leaving, entries in box.paths for entry in entries}


def check_part(part: read.Part, shown: set[tuple[str, str]] | None = None) -> int:
    """All that is drawn and said in a box is true; ``shown``: the ways between ports that are drawn
    anywhere. How many sentences stand there."""
    ways = ways_of(part.box)
    shown = ways if shown is None else shown
    drawn = read.drawn(part)
    assert drawn <= ways, f"{part.box.id}: {drawn - ways} are drawn"
    told = read.told_in(part)
    assert told is None or told == ways, f"{part.box.id} is said to have {told}"
    first: dict[str, set[tuple[str, str]]] = {}
    count = 0
    for said in read.at_rows(part):
        count += 1
        where = f"{part.box.id} {said.row.label}"
        assert said.ways <= ways, f"{where}: {said.ways - ways} are said"
        at = 0 if said.row.side == "in" else 1
        for port in said.row.ports:
            own = {way for way in shown - drawn if way[at] == port}
            first[port] = {way for way in said.ways if way[at] == port}
            if said.others:
                assert sum(way[at] == port for way in ways) == len(part.box.outputs), where
            check_more(part, said, own, first[port], where)
    for own, also, outs in read.shared(part):
        count += 1
        for port in own:
            said_of = {(port, out) for pair in outs for out in sides(part.box, port, pair)}
            assert said_of <= ways, f"{part.box.id} {port}: {said_of - ways} are shared"
            mine = {way for way in shown if way[0] == port}
            assert said_of | (first[port] if also else set()) == mine, f"{part.box.id} {port}"
    return count


def sides(box: Equipment, port: str, pair: tuple[str, ...]) -> tuple[str, ...]:
    """The outputs meant by the name of a stereo pair: its own side for a port of one side."""
    own = box.facts[port, "in"].label[-1:]
    labels = {out: box.facts[out, "out"].label[-1:] for out in pair}
    if len(pair) == 2 and (port, pair[0]) in ways_of(box) and (port, pair[1]) in ways_of(box):
        return pair
    meant = tuple(out for out in pair if labels[out] == own)
    return meant if len(pair) == 2 and meant else pair


def check_more(part, said, own, named, where) -> None:
    """The number of others is that of each port."""
    if said.more is None:
        return
    rest = own - named
    near = {way for way in rest if ("out", way[1]) in part.here and ("in", way[0]) in part.here}
    here, away, all_others = said.more.groups()
    if here:
        assert len(near) == int(here), where
        assert len(rest - near) == int(away or 0), where
    elif all_others:
        assert len(rest) == int(all_others), where


LABELS = {
    "numbers": lambda n, _: f"{n + 1}",
    "words and numbers": lambda n, side: f"{'MIC' if side == 'in' else 'DIRECT'} {n + 1}",
    "sides": lambda n, _: f"{n // 2 + 1}{'LR'[n % 2]}",
    "words and sides": lambda n, side: (
        f"{'TAPE' if side == 'in' else 'PGM'} {'ABCDE'[n // 2]} {'LR'[n % 2]}"
    ),
    "words": lambda n, _: ("DOOR", "WEST", "EAST", "STAGE", "PIT", "LOFT", "YARD", "HALL")[n],
}
"""Labels of ports by their numbers; L and R of a pair follow each other."""
PAIRS = {
    "straight": lambda i, o: i == o,
    "sides": lambda i, o: i % 2 == o % 2,
    "all": lambda *_: True,
    "shifted": lambda i, o: i + 2 == o,
    "crossed": lambda i, o: i ^ 1 == o,
    "some": lambda i, _: i < 3,
    "few": lambda i, o: i < 3 and i == o,
}


@st.composite
def desks(draw):
    """A box of up to eight ports a side, its paths a pattern in which a few are changed."""
    names = {side: draw(st.sampled_from(sorted(LABELS))) for side in ("in", "out")}

    def ports(side):
        label = LABELS[names[side]]
        count = draw(st.integers(2, 8))
        return tuple(
            Port(f"{'IO'[side == 'out']}{n}", side, PortKeys(label=label(n, side)))
            for n in range(count)
        )

    ins, outs = ports("in"), ports("out")
    pattern = {
        p
        for name in draw(
            st.lists(st.sampled_from(sorted(PAIRS)), min_size=1, max_size=2, unique=True)
        )
        for p in [(i, o) for i in range(len(ins)) for o in range(len(outs)) if PAIRS[name](i, o)]
    }
    one = st.tuples(st.integers(0, len(ins) - 1), st.integers(0, len(outs) - 1))
    pattern ^= draw(st.sets(one, max_size=2))
    paths = tuple(
        (out.id, tuple(ins[i].id for i in range(len(ins)) if (i, o) in pattern))
        for o, out in enumerate(outs)
        if any((i, o) in pattern for i in range(len(ins)))
    )
    return Equipment("BOX", "Box", outputs=outs, inputs=ins, paths=paths or None)


def runs(draw, ports, side):
    """Ports as rows, some of which stand for several."""
    left = [PortAddress("BOX", port.id, side) for port in ports]
    while left:
        count = draw(st.integers(1, 4))
        yield tuple(left[:count])
        left = left[count:]


@given(st.data())
@settings(FEW, max_examples=150)
def test_what_a_part_says_is_true_of_each_port(data):
    box = data.draw(desks())
    facility = Facility(Practice("Random"), equipment={"BOX": box})
    rows = [*runs(data.draw, box.inputs, "in"), *runs(data.draw, box.outputs, "out")]
    folds = {run[0]: run for run in rows if len(run) > 1}
    wired = frozenset(port for run in rows for port in run)
    fars = find_fars(facility, ["BOX"], wired, folds)
    here = {p for run in rows if data.draw(st.booleans()) for p in run}
    for held in (here, wired - here):
        ins = tuple(p for p in box.inputs if PortAddress("BOX", p.id, "in") in held)
        outs = tuple(p for p in box.outputs if PortAddress("BOX", p.id, "out") in held)
        if not (ins or outs):
            continue
        plan = plan_part(box, ins, outs, wired, None, folds=folds, fars=fars)
        gaps = st.lists(st.integers(1, 4), min_size=8, max_size=8)
        plan = restacked(plan, tuple(data.draw(gaps)), tuple(data.draw(gaps)))
        at = Box(0, 0, plan.width, plan.height)
        where = Whereabouts(
            lambda port: Place(7 if port.port in "O0 O1 I0" else 8, "B2"),
            lambda ports: "16" if list(ports) else "",
        )
        marks = (draw_box(plan, at, outcome_of(None)), *draw_onward(plan, at, where))
        for part in read.parts(facility.equipment, marks):
            check_part(part)
            check_wall(part, marks)


def check_wall(part: read.Part, marks) -> None:
    """A wall stands between inputs and outputs that no way joins, right through the box but for
    words on it, and nowhere else."""
    sides = {side for side, _ in part.here}
    joined = any(("in", i) in part.here and ("out", o) in part.here for i, o in ways_of(part.box))
    lines = [line for group in rules.groups(marks, "nothing") for line in group.marks]
    walls = [rules.span(*ends) for line in lines for ends in rules.segments(line)]
    assert bool(walls) == (len(sides) == 2 and not joined)
    words = [text_box(text) for text in texts_of(marks)]
    assert not any(wall.meets(box) for wall in walls for box in words)
    if walls:
        beside = [box for box in words if box.x < walls[0].x < box.right and part.rect.meets(box)]
        assert sum(wall.height for wall in walls) >= part.rect.height - 9_000 * len(beside)
    for wall in walls:
        assert all(wall.x > text_box(t).right for t in labels(part, "start"))
        assert all(wall.x < text_box(t).x for t in labels(part, "end"))


def labels(part: read.Part, anchor: str):
    found = (m for m in part.group.marks if isinstance(m, Text) and m.ref)
    return [m for m in found if "port" in m.ref.classes and m.anchor == anchor]


def check_drawings(facility, drawings) -> int:
    """Every box of a set, and its lists: true of each port, and the lists whole."""
    found = [p for d in drawings for p in read.parts(facility.equipment, d.marks)]
    drawn: dict[str, set[tuple[str, str]]] = {}
    for part in found:
        drawn.setdefault(part.box.id, set()).update(part.here)
    count = 0
    for part in found:
        ports = drawn[part.box.id]
        shown = {w for w in ways_of(part.box) if ports >= {("in", w[0]), ("out", w[1])}}
        count += check_part(part, shown)
    for name, lines in read.listed(facility.equipment, drawings).items():
        ways = ways_of(facility.equipment[name])
        assert set().union(*lines) == ways, f"the list of {name}"
    return count


def folded_set(facility, sheet, answer=None):
    plan = plan_chart(facility, answer, fold=True)
    request = Request(facility, answer, plan, sheet_named(sheet), "quick", Said(), Fraction(1))
    return draw_set(request)


@pytest.mark.parametrize(("name", "sheet"), [("quillmoor", "A3"), ("larkfen", "A4")])
def test_what_the_samples_folded_say_is_true_of_each_port(name, sheet):
    assert check_drawings(sample(name), folded_set(sample(name), sheet)) > 10


@given(st.data())
@settings(FEW, max_examples=8)
def test_what_sets_of_random_pairs_say_is_true_of_each_port(data):
    facility = doubled(data.draw(facilities(positions=3)))
    try:
        drawings = folded_set(facility, "A4")
    except SheetTooSmall:
        return
    check_drawings(facility, drawings)


def words_at(paths, ins, outs, folds):
    """What stands at each row of a box of which inputs and outputs are in parts of their own."""
    box = Equipment(
        "BOX",
        "Box",
        outputs=tuple(Port(o, "out") for o in outs),
        inputs=tuple(Port(i, "in") for i in ins),
        paths=tuple((o, tuple(i)) for o, i in paths.items()),
    )
    facility = Facility(Practice("Words"), equipment={"BOX": box})
    wired = frozenset(PortAddress("BOX", p.id, p.side) for p in box.ports)
    runs = [tuple(PortAddress("BOX", p, side) for p in run.split()) for side, run in folds]
    fars = find_fars(facility, ["BOX"], wired, {run[0]: run for run in runs})
    found = {}
    for inputs, outputs in ((box.inputs, ()), ((), box.outputs)):
        plan = plan_part(
            box, inputs, outputs, wired, None, folds={r[0]: r for r in runs}, fars=fars
        )
        labels = {slot.port: slot.label for slot in plan.slots}
        for row in plan.onward:
            found[labels[row.port]] = [line.words for line in lines_at(row)]
    return found


def test_rows_that_stand_for_several_say_what_is_true_of_each():
    split = {"1L": "L", "1R": "R", "2L": "L", "2R": "R", "3L": "L", "3R": "R"}
    words = words_at(split, "LR", split, [("out", "1L 1R"), ("in", "L R")])
    assert words["2L"] == ["from L"]
    assert words["2R"] == ["from R"]
    assert words["1L, 1R"] == ["from L, R in turn"]
    assert words["L, R"] == ["to 1L, 1R in turn", "2 more: sheet"]
    words = words_at(split, "LR", split, [("out", "1L 1R"), ("out", "2L 2R 3L 3R")])
    assert words["L"] == ["to 1L", "and 2L, 3L"]
    assert words["R"] == ["to 1R", "and 2R, 3R"]
    assert words["2L … 3R"] == ["2L, 3L from L", "and 2R, 3R from R"]


def test_a_row_says_of_which_of_its_ports_its_words_are_true():
    paths = {"D2": ["M2"], "D3": ["M3"], "G": ["M1", "M2", "M3", "M4"], "H": ["M3", "M4"]}
    ins = ["M1", "M2", "M3", "M4"]
    runs = [("in", "M1 M2 M3 M4"), ("out", "D2 D3"), ("out", "G H")]
    assert words_at(paths, ins, paths, runs)["M1–4"] == ["M2, M3 to D2, D3 in turn", "more: sheet"]
    both = {"G": ins, "H": ins, "X": ["M1"]}
    words = words_at(both, ins, both, [("in", "M1 M2 M3 M4"), ("out", "G H")])
    assert words["M1–4"] == ["each to G, H", "and M1 to X"]
