"""Channel groups on strips: a letter and a bar each, and none that are taken for each other."""

from __future__ import annotations

from itertools import combinations, pairwise

from slinediag.drawing.marks import Rect
from slinediag.geometry import Box
from slinediag.papers.groups import group_runs, groups_of
from tests.builders import plant
from tests.papers.samples import sample


def bay_of(names: list[str]):
    """A bay whose positions are of these groups in turn."""
    points = ", ".join(f"{n}: {{group: {name}}}" for n, name in enumerate(names, 1))
    facility = plant(f"bays: {{PB: {{name: Bay, positions: {len(names)}, points: {{{points}}}}}}}")
    return facility.bays["PB"]


def look(group):
    """What is inked of a group's bar."""
    return tuple(group.bar(Box(0, 0, 10_000, 3_000)))


def test_groups_of_the_samples_are_told_apart_by_their_bars():
    most = 0
    for bay in sample("quillmoor").bays.values():
        found = groups_of(bay).values()
        most = max(most, len(found))
        assert all(look(one) != look(other) for one, other in combinations(found, 2))
    assert most > 5


def test_of_more_groups_than_looks_those_beside_each_other_differ():
    names = [f"G{n}" for n in range(12)]
    bay = bay_of([*names, "G1", "G11", "G0", "G10"])
    groups = groups_of(bay)
    runs = [name for name, _, _ in group_runs(bay)]
    assert all(look(groups[a]) != look(groups[b]) for a, b in pairwise(runs))


def test_a_striped_bar_keeps_most_of_its_colour():
    striped = list(groups_of(bay_of([f"G{n}" for n in range(7)])).values())[5]
    colour, stripe = (mark for mark in look(striped) if isinstance(mark, Rect))
    assert colour.box.contains(stripe.box)
    assert stripe.box.height * 3 <= colour.box.height
