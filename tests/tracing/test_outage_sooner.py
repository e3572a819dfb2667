"""What is worked out late, all at once or not at all, against the plain way of working it out."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from slinediag.model.facility import Cord
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.board import Board, put
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.outage.first_cords import FirstCords
from slinediag.tracing.outage.hops import Hops
from slinediag.tracing.outage.jacks import JackChoice
from slinediag.tracing.outage.proof import Proof
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import View
from slinediag.tracing.reach import Reach
from slinediag.tracing.request import refuse_impossible
from slinediag.tracing.tracer import tracer_of
from slinediag.tracing.trial import ask, glance
from slinediag.tracing.values import Trial
from tests.tracing.dense import a_failure, dense_facility

SEEDS = (31, 59, 99, 141, 167, 182, 204, 381)


def situation_of(seed, positions=6):
    facility = dense_facility(seed, positions)
    boxes, bays, cables = a_failure(facility, seed)
    failure = Failure(tuple(boxes), tuple(bays), (), tuple(cables))
    now = damaged(facility, failure)
    return Situation(facility, now, failure.dead_boxes(facility), failure.dead_bays(facility))


def tasks(seed):
    situation = situation_of(seed)
    choice = JackChoice(situation)
    base, proof = View(situation), Proof(situation, choice)
    for number in situation.silenced:
        yield Task(base, choice, proof, number, keep=False), base


@pytest.mark.parametrize("seed", SEEDS)
def test_first_cords_come_in_the_order_of_all_of_them(seed):
    for task, view in tasks(seed):
        sources = view.kinds_that_carry(task.situation.wanted[task.number])
        hops = Hops(task, view)
        taken = task.choice.shortest_of_all
        found = {}
        for source, hop in itertools.product(sources, hops.kinds):
            length = task.choice.shortest(source, hop)
            if length is not None:
                found[put(source, hop)] = hops.outlook(source, hop, taken + length)
        told = list(FirstCords(task, view, sources))
        assert told == sorted(told)
        assert {move: outlook for outlook, move in told}.items() <= found.items()
        left_out = found.keys() - {move for _, move in told}
        untouched = FirstCords(task, view, sources)._touching
        assert all(untouched.isdisjoint(move[1:]) for move in left_out)


def test_cords_left_out_could_not_be_listed():
    left_out = 0
    for task, view in itertools.chain.from_iterable(map(tasks, SEEDS)):
        every = task.carrying(view, every=True)
        assert task.carrying(view) == every
        if not every:
            continue
        worst = every[len(every) // 3].alone
        task.best.beaten = lambda outlook, worst=worst: outlook > worst
        kept = {carrier.move for carrier in task.carrying(view, last=True)}
        assert kept == {c.move for c in every if not c.alone.grade[0] and c.alone <= worst}
        left_out += len(every) - len(kept)
    assert left_out


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_the_shortest_of_all_cords_between_two_kinds(seed):
    situation = situation_of(seed)
    choice, reach = JackChoice(situation), Reach(situation.filed)
    kinds = range(len(situation.board.kinds))
    for one, other in itertools.product(kinds, kinds):
        pairs = itertools.product(choice.free(one), choice.free(other))
        lengths = [reach.length(a, b) for a, b in pairs if a != b]
        plain = [round(1000 * length) for length in lengths if length is not None]
        assert choice.shortest(one, other) == min(plain, default=None)
        by_length = [n for n, reached in choice.by_length(one) if other in reached]
        assert by_length == ([] if not plain else [min(plain)])


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_a_glance_says_what_ask_says(seed):
    facility = dense_facility(seed, 6)
    boxes, _, _ = a_failure(facility, seed)
    held = {jack for cord in facility.cords for jack in (cord.source, cord.target)}
    held |= {plug.jack for plug in facility.plugs}
    free = [jack for jack in facility.jacks if jack not in held]
    for cord in list(itertools.combinations(free, 2))[::3]:
        trial = Trial(cords=(cord,), failed=tuple(boxes))
        refuse_impossible(facility, trial)
        answer = ask(facility, trial, every_input=True)
        numbers, named = tracer_of(facility).circuit.input_number, tracer_of(facility).named
        for outcome in answer.inputs:
            seen = glance(facility, trial, numbers[outcome.input])
            assert named(seen.fed) == outcome.feeds_after
            assert named(seen.hears) == outcome.hears_after
            assert seen.feedback == any(cord.feedback for cord in answer.cords)
            assert seen.phantom == answer.phantom


@pytest.mark.parametrize("seed", SEEDS)
def test_a_board_with_other_cords_is_that_of_the_facility_with_them(seed):
    facility = dense_facility(seed, 6)
    board = Board(facility)
    one, other = [jack for jack in facility.jacks if jack not in board.occupied][:2]
    then = replace(facility, cords=(*facility.cords[1:], Cord(one, other)))
    quick, plain = board.with_cords(then), Board(then)
    assert vars(quick) == vars(plain) | {"kinds": quick.kinds}
    assert [(k.springs, k.behind, k.jacks) for k in quick.kinds] == [
        (k.springs, k.behind, k.jacks) for k in plain.kinds
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_outputs_far_beyond_an_input_are_those_that_change_with_it(seed):
    hearing = situation_of(seed).hearing
    for number in range(len(hearing.feeds)):
        _, outputs = hearing._downstream({number: 0}, frozenset())
        assert set(bits(hearing.outputs_far_beyond(number))) == outputs
