"""The search against every set of one and two moves, tried one by one with nothing in common.

Seeds are those of dense facilities in which something that falls silent can be patched at all.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

import slinediag
from slinediag.address import Jack
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.search import Search
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.view import View
from slinediag.tracing.outage.words import outage_lines
from slinediag.tracing.reach import Reach
from slinediag.tracing.values import Trial
from tests import oracle
from tests.tracing.dense import DESKS, a_failure, dense_facility
from tests.tracing.every_patch import Plant

SMALL = [12, 24, 32, 40, 45, 59, 80, 84, 95, 99, 112, 114, 118, 137, 187, 204, 213, 219, 224, 226]
SMALL += [
    496,
    1117,
    2950,
    3004,
    4224,
    6829,
    228,
    241,
    246,
    248,
    253,
    254,
    272,
    313,
    314,
    332,
    375,
    381,
    399,
]
MIDDLE = [1091, 3072]
LARGE = [55, 95, 121, 124]
"""Seeds of facilities of two bays of four, five and six positions."""

SIDED = [112, 114, 228, 574, 589, 591, 940, 978, 1011, 1391]
"""Seeds with which patches differ in the sides of stereo pairs that they join."""

MIXED = [55, 119, 225, 254, 306, 314, 381, 543, 625, 669, 789, 1057, 1297, 1319, 1457]
"""Seeds with which, desks among the processors, patches differ in the mixes that they bring."""

CASES = [
    *((seed, 4) for seed in SMALL),
    *((seed, 5) for seed in MIDDLE),
    *((seed, 6) for seed in LARGE),
]


def situation_of(facility, boxes, bays, cables):
    failure = Failure(tuple(boxes), tuple(bays), (), tuple(cables))
    now = damaged(facility, failure)
    return Situation(facility, now, failure.dead_boxes(facility), failure.dead_bays(facility))


def in_pairs(facility):
    """The facility with inputs I0 and I1, and outputs O0 and O1, taken as left and right."""
    boxes = {
        box.id: replace(box, pairs=(("I0", "I1"), ("O0", "O1"))) if box.inputs else box
        for box in facility.equipment.values()
    }
    return replace(facility, equipment=boxes)


def found_by_search(situation, number, keep=False, moves=2):
    choice = JackChoice(situation)
    return Search(View(situation), choice, Proof(situation, choice), number, keep).run(moves)


@pytest.mark.parametrize(("seed", "positions"), CASES)
def test_nothing_better_than_what_is_listed(seed, positions):
    compare(dense_facility(seed, positions), seed)


@pytest.mark.parametrize("seed", SIDED)
def test_left_and_right_are_kept_where_they_can_be(seed):
    compare(in_pairs(dense_facility(seed, 4)), seed)


@pytest.mark.parametrize("seed", MIXED)
def test_mixes_are_kept_where_they_can_be(seed):
    compare(dense_facility(seed, 4, DESKS), seed)


def compare(facility, seed):
    """What the search lists is the best five of all that there is."""
    boxes, bays, cables = a_failure(facility, seed)
    situation = situation_of(facility, boxes, bays, cables)
    plant = Plant(facility, boxes, bays, cables)
    silenced = [tuple(situation.inputs[n]) for n in situation.silenced]
    assert sorted(silenced) == sorted(plant.silenced())
    lengths = Reach(facility)
    states = plant.all_states(lambda one, other: lengths.length(Jack(*one), Jack(*other)))
    listed = 0
    for number in situation.silenced:
        best = plant.patches(tuple(situation.inputs[number]), None, states=states)[:5]
        found = [tuple(c[:4]) for c in found_by_search(situation, number)]
        assert found == best
        listed += len(found)
    assert listed


@pytest.mark.parametrize("seed", [99, 204, 253, 381])
def test_keeping_cords_leaves_out_just_the_pulls(seed):
    facility = dense_facility(seed, 4)
    boxes, bays, cables = a_failure(facility, seed)
    situation = situation_of(facility, boxes, bays, cables)
    plant = Plant(facility, boxes, bays, cables)
    lengths = Reach(facility)
    states = plant.all_states(
        lambda one, other: lengths.length(Jack(*one), Jack(*other)), keep_cords=True
    )
    for number in situation.silenced:
        best = plant.patches(tuple(situation.inputs[number]), None, states=states)[:5]
        found = found_by_search(situation, number, keep=True)
        assert [tuple(c[:4]) for c in found] == best
        assert not any(c.pulls for c in found)


@pytest.mark.parametrize("seed", [24, 32, 204, 381])
def test_the_plain_count_is_that_of_networkx(seed):
    facility = dense_facility(seed, 4)
    boxes, _, _ = a_failure(facility, seed)
    plant = Plant(facility, boxes)
    dice = random.Random(seed)
    sets = list(plant.sets_of_moves())
    for pulled, new in dice.sample(sets, 12):
        trial = Trial(
            cords=tuple((Jack(*a), Jack(*b)) for a, b in new),
            pulled_cords=tuple((Jack(*a), Jack(*b)) for a, b in pulled),
            failed=tuple(boxes),
        )
        cords = [c for c in plant.cords if c not in pulled] + list(new)
        fed, heard = plant.state(plant.rest, cords, set(), failed=True)
        expected = oracle.changes(facility, trial)
        assert {i: (set(fed[i]), heard[i]) for i in fed} == {
            i: (fed_after, heard_after) for i, (_, _, fed_after, _, heard_after) in expected.items()
        }


@pytest.mark.parametrize("seed", [12, 118, 375])
def test_more_moves_never_list_worse(seed):
    facility = dense_facility(seed, 4)
    situation = situation_of(facility, *a_failure(facility, seed))
    for number in situation.silenced:
        two = [c[:3] for c in found_by_search(situation, number)]
        three = [c[:3] for c in found_by_search(situation, number, moves=3)]
        assert len(three) >= len(two)
        assert all(more <= fewer for more, fewer in zip(three, two, strict=False))


@pytest.mark.parametrize("seed", [24, 204])
def test_a_search_that_is_cut_short_says_so(seed, monkeypatch):
    """What it finds is sound all the same."""
    facility = dense_facility(seed, 4)
    situation = situation_of(facility, *a_failure(facility, seed))
    choice = JackChoice(situation)

    def search(number):
        return Search(View(situation), choice, Proof(situation, choice), number, False)

    for number in situation.silenced:
        whole = search(number)
        whole.run(2)
        assert not whole.cut_short
        hasty = search(number)
        with monkeypatch.context() as bound:
            bound.setattr("slinediag.tracing.outage.search.WORK", 1)
            found = hasty.run(2)
        assert hasty.cut_short
        assert all(situation.restored(number, situation.effect(patch.moves)) for patch in found)


def test_words_say_where_not_all_was_tried(monkeypatch):
    facility = slinediag.load("samples/quillmoor.yaml")
    told = "NOT EVERY PAIR OF CORDS was tried for"
    assert told not in "\n".join(outage_lines(slinediag.outage(facility, ["DA1"])))
    monkeypatch.setattr("slinediag.tracing.outage.search.WORK", 20_000)
    lines = outage_lines(slinediag.outage(facility, ["DA1"]))
    assert told in "\n".join(lines)
