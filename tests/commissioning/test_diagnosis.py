"""Readings of plants with faults in them lead back to the faults: every single fault on every
position of both samples, two at a time on each, wires exchanged, readings missing or unsteady."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import combinations_with_replacement, product
from pathlib import Path

import pytest

import slinediag
from slinediag.address import Jack
from slinediag.commissioning.diagnosis import diagnose
from slinediag.commissioning.filled import Filled
from slinediag.commissioning.plan import plan_tests
from slinediag.commissioning.points import measuring_points
from slinediag.commissioning.readings import expected, readings_of
from slinediag.commissioning.report import result_lines
from slinediag.commissioning.results import judge
from slinediag.commissioning.values import read_value
from slinediag.file.read import parse
from slinediag.file.write import new_file, settled
from tests.builders import plant as written_plant
from tests.commissioning.wired_plant import SPRINGS, Fault, Measured, Plant, far_pole, faults_at

SAMPLES = Path(__file__).parent.parent.parent / "samples"
NAMES = ("quillmoor", "larkfen")


@cache
def sample(name):
    facility = slinediag.load(SAMPLES / f"{name}.yaml")
    plan = plan_tests(facility)
    rows = {}
    for row in plan.rows:
        rows.setdefault(row.point, {})[row.code] = row
    return facility, plan, rows, Plant(facility)


class Site:
    """One point of a sample, to be measured with faults in it."""

    def __init__(self, name, point):
        self.facility, self.plan, rows, self.plant = sample(name)
        self.point, self.rows = point, rows[point.name]
        self.a = tuple(point.a)
        self.b = tuple(point.b) if point.b is not None else None
        self.around = self.plant.around(self.a, self.b)
        jacks = {"A": self.a, "B": self.b}
        self.shields = {
            (jacks[code[1]], code[-1]): row.joined
            for code, row in self.rows.items()
            if code[0] == "S"
        }

    def faults(self):
        yield from faults_at(self.plant, self.a, self.b, self.point.shape.kind, self.point.across)

    def written(self, *faults):
        measured = Measured(self.plant, self.around, self.a, self.b, faults, self.shields)
        return {code: measured.read(code) for code in self.rows}

    def taken(self, written):
        return {code: read_value(text, self.rows[code]) for code, text in written.items()}

    def diagnosis(self, written):
        return diagnose(self.point, self.taken(written))

    def named(self, explanation):
        """The causes of an explanation as the plant names its faults."""
        return {
            (
                "shield" if cause.kind.startswith("shield") else cause.kind,
                tuple(self.point.jack(cause.place)) if cause.place else None,
                cause.legs or None,
                cause.normal,
            )
            for cause in explanation.causes
        }


def sites(name):
    return [Site(name, point) for point in sample(name)[1].points]


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_plant_reads_as_filed(name):
    for site in sites(name):
        assert site.diagnosis(site.written()).verdict == "as filed", site.point.name


@pytest.mark.parametrize("name", NAMES)
def test_every_single_fault_is_found(name):
    found = unseen = 0
    for site in sites(name):
        sound = site.written()
        for fault in site.faults():
            written = site.written(fault)
            diagnosis = site.diagnosis(written)
            if written == sound:
                # What no reading shows no one can find: normals of jacks that a mult ties, and
                # break contacts that a mult goes round.
                assert site.point.shape.joins
                assert diagnosis.verdict == "as filed"
                unseen += 1
                continue
            tied = [site.named(e) for e in diagnosis.explanations]
            assert {fault.cause} in tied, (site.point.name, fault.cause, tied)
            found += 1
    assert found > 20 * len(sample(name)[1].points)
    assert unseen < found / 50


def can_be_at_once(one, other):
    return one is not other and not one.touches & other.touches


def explained_as_two(site, one, other):
    """Whether a point with both faults in it names both; that it is explained is asserted."""
    written = site.written(one, other)
    if written == site.written():
        return False
    diagnosis = site.diagnosis(written)
    assert diagnosis.verdict == "fault", (site.point.name, one.cause, other.cause)
    tied = [site.named(e) for e in diagnosis.explanations]
    both = {one.cause, other.cause} in tied
    # One cause that explains every reading is told before two.
    assert both or len(tied[0]) == 1, (site.point.name, one.cause, other.cause)
    return both


@pytest.mark.parametrize("name", NAMES)
def test_two_faults_are_explained_on_every_position(name):
    dice = random.Random(11)
    as_two = 0
    for site in sites(name):
        faults = list(site.faults())
        one, other = dice.sample(faults, 2)
        while not can_be_at_once(one, other):
            one, other = dice.sample(faults, 2)
        as_two += explained_as_two(site, one, other)
    assert as_two > len(sample(name)[1].points) / 2


def test_every_two_kinds_of_fault_are_explained_on_every_shape_of_position():
    """Shapes: kind of normal, lines, shields and ties; the samples have sixteen."""
    shapes = {site.point.shape: site for name in NAMES for site in sites(name)}
    assert len(shapes) > 12
    tried, as_two, count = set(), 0, 0
    for site in shapes.values():
        kinds = {}
        for fault in site.faults():
            kinds.setdefault(fault.cause[0], []).append(fault)
        for one, other in combinations_with_replacement(sorted(kinds), 2):
            pairs = list(filter(lambda p: can_be_at_once(*p), product(kinds[one], kinds[other])))
            if pairs:
                as_two += explained_as_two(site, *pairs[count % len(pairs)])
                tried.add((one, other))
                count += 1
    assert len({kind for pair in tried for kind in pair}) == 12
    assert len(tried) > 60
    assert as_two > count * 3 / 4


def test_the_likeliest_of_tied_causes_comes_first():
    site = next(s for s in sites("quillmoor") if s.point.name == "PB1.9")
    written = {**site.written(), "N-T": "7.5", "NA-T": "7.5"}
    first = site.diagnosis(written).explanations[0].causes[0]
    # A dirty break contact of the half-normal's target: the commonest fault of a normalled bay
    # (common practice).
    assert (first.kind, first.place, first.legs) == ("break contact oxidised", "B", "T")


def test_what_comes_and_goes_is_a_contact_and_never_a_wiring_error():
    site = next(s for s in sites("quillmoor") if s.point.name == "PB1.9")
    written = {**site.written(), "N-T": "comes and goes", "NA-T": "0.05 / open"}
    diagnosis = site.diagnosis(written)
    assert diagnosis.verdict == "fault"
    kinds = {cause.kind for e in diagnosis.explanations for cause in e.causes}
    assert kinds <= {"break contact oxidised", "break contact not closing", "normal leg open"}


def test_a_missing_reading_is_not_a_good_one():
    site = next(s for s in sites("quillmoor") if s.point.name == "PB1.9")
    written = {**site.written(), "NB-T": ""}
    diagnosis = site.diagnosis(written)
    assert (diagnosis.verdict, diagnosis.missing) == ("as filed so far", ("NB-T",))
    hidden = {(e.causes[0].kind, e.causes[0].place, e.causes[0].legs) for e in diagnosis.hidden}
    assert hidden == set()  # in both, the contact has to open as well
    written = {**site.written(), "NB-T": "", "NAB-T": ""}
    hidden = site.diagnosis(written).hidden
    assert ("break contact not opening", "B", "T") in {
        (e.causes[0].kind, e.causes[0].place, e.causes[0].legs) for e in hidden
    }


def test_a_point_without_readings_is_not_measured():
    site = next(s for s in sites("larkfen") if s.point.name == "LA.1")
    assert site.diagnosis({}).verdict == "not measured"


def test_readings_that_nothing_explains_are_said_to_be_so():
    site = next(s for s in sites("larkfen") if s.point.name == "LA.1")
    written = {code: "OL" if row.joined else "0.01" for code, row in site.rows.items()}
    assert site.diagnosis(written).verdict == "unexplained"


def exchange(name, *jacks):
    """Readings of a sample in which the wires of two jacks stand in each other's place.

    With units unplugged a wire that is not a jack's own reads open to its far end.
    """
    _, plan, _, plant = sample(name)
    taken = {}
    for site in sites(name):
        faults = []
        for jack in jacks:
            if jack in (site.a, site.b) and not site.point.across:
                wires = [((jack, SPRINGS[leg]), far_pole(plant, jack, leg)) for leg in "TR"]
                faults.append(Fault(("wire elsewhere", jack, None, None), edges=wires))
        taken[site.point.name] = site.taken(site.written(*faults))
    return judge(plan, Filled(taken))


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("quillmoor", ("PB1", "T", 9), ("PB1", "T", 10)),
        ("quillmoor", ("PB1", "T", 9), ("PB2", "B", 13)),
        ("larkfen", ("LA", "T", 7), ("LA", "B", 7)),
    ],
    ids=["neighbours", "far apart", "one position"],
)
def test_exchanged_wires_are_one_mistake_and_not_four_open_legs(name, one, other):
    results = exchange(name, one, other)
    assert [(tuple(e.one), tuple(e.other), e.sole) for e in results.exchanges] == [
        (*sorted((one, other), key=lambda j: (j[0], j[1] != "T", j[2])), True)
    ]
    at_fault = [p for p in results.points if p.diagnosis.verdict == "fault"]
    assert all(point["exchanged"] and point["next"] for point in results.to_dict()["points"])
    said = [line for line in result_lines(results) if "likeliest: wires of" in line]
    assert len(said) == len(at_fault)
    assert all(p.exchange is not None for p in at_fault)
    assert results.proposals[0].text.startswith("file the wires of")


def test_levels_within_half_a_decibel_are_as_planned():
    plan = plan_tests(
        written_plant(
            """
            equipment:
              S: {name: Source, outputs: [O]}
              D: {name: Destination, inputs: [I]}
            bays: {PB: {name: Bay, positions: 1, points: {1: {top: S.O, bottom: D.I}}}}
            """
        )
    )
    row = next(row for row in plan.rows if row.code == "V")
    # 100 ohm into 20 kilohm: 4 dBu - 20 log10(20.1/20) = 3.957 dBu (calculated).
    assert row.target == 3.96
    for written, verdict in (
        ("4,4 dBu", "as planned"),
        ("3.4", "off"),
        ("-2.1", "off"),
        ("", "not measured"),
    ):
        taken = read_value(written, row)
        (line,) = judge(plan, Filled({"D.I": {"V": taken}})).lines
        assert line.verdict == verdict, written
    (line,) = judge(plan, Filled({"D.I": {"V": read_value("-2.06", row)}})).lines
    assert line.hint.startswith("6 dB low: one leg open")


@pytest.mark.parametrize("name", NAMES)
def test_what_is_filed_on_evidence_then_reads_as_filed(name):
    """A proposed edit made, the plan made anew, the same readings taken: nothing is off."""
    kinds = {"another normal", "legs swapped", "shield"}
    tried = set()
    for site in sites(name):
        for fault in site.faults():
            jack = fault.cause[1]
            tie = jack in site.plant.far and isinstance(site.plant.far[jack][0][2], int)
            key = fault.cause[0], fault.cause[2:], jack and jack[1], tie
            if fault.cause[0] not in kinds or key in tried or site.point.across:
                continue
            tried.add(key)
            written = site.written(fault)
            results = judge(site.plan, Filled({site.point.name: site.taken(written)}))
            for proposal in results.proposals:
                edited = results.with_edits([proposal.number], site.facility)
                point = next(p for p in measuring_points(edited) if p.name == site.point.name)
                should = zip(readings_of(point.shape), expected(point.shape), strict=True)
                joined = {reading.code: planned != "open" for reading, planned in should}
                rows = {c: replace(row, joined=joined[c]) for c, row in site.rows.items()}
                # A line crossed by the edit has its far poles the other way about on the new sheet.
                if fault.cause[0] == "legs swapped":
                    place = "A" if fault.cause[1] == site.a else "B"
                    written[f"L{place}-T"] = written[f"L{place}-R"] = "0.01"
                    written[f"P{place}"] = "OL"
                taken = {code: read_value(text, rows[code]) for code, text in written.items()}
                assert diagnose(point, taken).verdict == "as filed", (site.point.name, fault.cause)


def test_a_loop_that_was_not_worked_out_is_told():
    plan = plan_tests(
        written_plant(
            "bays: {PB: {name: Bay, positions: 2}}\ncords: [{from: PB.T1, to: PB.B2}]",
        )
    )
    row = next(row for row in plan.rows if row.code == "G")
    for written, verdict in (("OL", "as planned"), ("0.8", "off"), ("", "not measured")):
        results = judge(plan, Filled({row.point: {"G": read_value(written, row)}}))
        (line,) = (line for line in results.lines if line.row.code == "G")
        assert line.verdict == verdict


def test_the_next_test_tells_every_cause_that_it_divides():
    """Where causes are tied, each outcome of the test named leaves those that would read so."""
    for site in sites("larkfen")[:12]:
        for fault in site.faults():
            results = judge(site.plan, Filled({site.point.name: site.taken(site.written(fault))}))
            for point in results.points:
                if point.next is None:
                    continue
                left = sorted(n for _, numbers in point.next.outcomes for n in numbers)
                assert left == list(range(min(len(point.diagnosis.explanations), 24)))
                assert len(point.next.outcomes) > 1


def test_exchanged_wires_can_be_filed_as_they_are():
    results = exchange("quillmoor", ("PB1", "T", 9), ("PB1", "T", 10))
    edited = results.with_edits([1], results.plan.facility)
    before = {str(j): w.to for j, w in results.plan.facility.wires.items()}
    after = {str(j): w.to for j, w in edited.wires.items()}
    assert (after["PB1.T9"], after["PB1.T10"]) == (before["PB1.T10"], before["PB1.T9"])
    assert {j for j in after if after[j] != before[j]} == {"PB1.T9", "PB1.T10"}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("PB2", "B", 25), ("PB2", "B", 26)),  # two tie lines
        (("PB2", "B", 25), ("PB2", "B", 13)),  # a tie line and a wire to equipment
    ],
    ids=["ties", "tie and wire"],
)
def test_exchanged_tie_lines_can_be_filed_as_they_are(one, other):
    results = exchange("quillmoor", one, other)
    assert results.proposals[0].text.startswith("file the wires of")
    facility = results.plan.facility
    edited = results.with_edits([1], facility)
    a, b = Jack(*one), Jack(*other)

    def runs(facility):
        """Where what ends at each jack comes from."""
        found = {jack: wire.to for jack, wire in facility.wires.items()}
        for line in facility.lines.values():
            found |= {line.source: line.target, line.target: line.source}
        return found

    before, after = runs(facility), runs(edited)
    assert (after[a], after[b]) == (before[b], before[a])
    far = {before[a], before[b], a, b}
    assert {end for end in before if after.get(end) != before[end]} <= far
    assert settled(parse(new_file(edited), "").facility) == settled(edited)


def test_another_normal_across_can_be_filed():
    site = next(s for s in sites("larkfen") if s.point.name == "LB.T1=LB.B5")
    fault = next(f for f in site.faults() if f.cause[3] == "full")
    results = judge(site.plan, Filled({site.point.name: site.taken(site.written(fault))}))
    numbers = [p.number for p in results.proposals if "full-normal" in p.text]
    edited = results.with_edits(numbers, site.facility)
    assert [c.wired for c in edited.cross_normals if str(c.target) == "LB.B5"] == ["full"]


@pytest.mark.parametrize(
    ("written", "hint"),
    [("0", "no phantom on this leg"), ("40", "phantom too low"), ("comes and goes", "move plug")],
)
def test_phantom_that_is_off_says_where_to_look(written, hint):
    plan = sample("larkfen")[1]
    row = next(row for row in plan.rows if row.unit == "V")
    results = judge(plan, Filled({row.point: {row.code: read_value(written, row)}}))
    (line,) = (line for line in results.lines if line.row is row)
    assert line.hint.startswith(hint)
    assert any(hint in said for said in result_lines(results))


def test_what_nothing_explains_is_to_be_measured_again():
    site = next(s for s in sites("larkfen") if s.point.name == "LA.1")
    written = {code: "OL" if row.joined else "0.01" for code, row in site.rows.items()}
    said = "\n".join(result_lines(judge(site.plan, Filled({"LA.1": site.taken(written)}))))
    assert "measure again those that are off" in said
    assert "55 not measured" in said
