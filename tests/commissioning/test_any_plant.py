"""Whatever the plant: the plan is made, each reading is asked once, and sound readings are sound."""

from __future__ import annotations

from collections import Counter

from hypothesis import HealthCheck, Phase, given, settings

from slinediag.commissioning.filled import read_filled
from slinediag.commissioning.plan import plan_tests
from slinediag.commissioning.report import result_lines
from slinediag.commissioning.results import judge
from slinediag.papers.tests import commissioning_pages
from tests.builders import plant
from tests.commissioning.wired_plant import Measured, Plant
from tests.file.strategies import facilities

SETTINGS = settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    derandomize=True,
    phases=[Phase.generate],
)


@SETTINGS
@given(facilities())
def test_a_sheet_filled_in_as_planned_finds_nothing(facility):
    plan = plan_tests(facility)
    counts = Counter((row.point, row.code) for row in plan.rows)
    assert not counts or max(counts.values()) == 1
    sheet = [["Point", "Code", "Value"], *([row.point, row.code, "OK"] for row in plan.rows)]
    results = judge(plan, read_filled(plan, [sheet], "t.csv"))
    assert {point.diagnosis.verdict for point in results.points} <= {"as filed"}
    assert results.proposals == ()
    assert result_lines(results)


@SETTINGS
@given(facilities())
def test_a_sound_plant_of_any_wiring_reads_as_planned(facility):
    """Normals measured contact by contact, with mults, ties and normals across round about them."""
    plan, wired = plan_tests(facility), Plant(facility)
    for point in plan.points:
        if point.b is None:
            continue
        a, b = tuple(point.a), tuple(point.b)
        measured = Measured(wired, wired.around(a, b), a, b, (), {})
        for row in plan.rows:
            if row.point == point.name and row.code.startswith("N"):
                assert (measured.read(row.code) == "OL") == (not row.joined), row


def test_a_plant_of_nothing_has_a_sheet():
    facility = plant("equipment: {}")
    assert plan_tests(facility).rows == ()
    assert commissioning_pages(facility)
