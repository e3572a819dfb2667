"""What is left out since it cannot part an input from what is wrong with it, tried all the same."""

from __future__ import annotations

import itertools

import pytest

from slinediag.tracing.outage.board import put
from slinediag.tracing.outage.failure import Failure, damaged
from slinediag.tracing.outage.parting import Parting
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.outage.view import View, add
from tests.tracing.dense import a_failure, dense_facility

SEEDS = [31, 59, 141, 167, 182]
"""Of dense facilities in which cords leave something foreign or doubled behind."""


def situation_of(seed):
    facility = dense_facility(seed, 4)
    boxes, bays, cables = a_failure(facility, seed)
    failure = Failure(tuple(boxes), tuple(bays), (), tuple(cables))
    now = damaged(facility, failure)
    return Situation(facility, now, failure.dead_boxes(facility), failure.dead_bays(facility))


@pytest.mark.parametrize("seed", SEEDS)
def test_no_move_that_is_left_out_restores(seed):
    situation = situation_of(seed)
    kinds = range(len(situation.board.kinds))
    cords = [put(one, other) for one, other in itertools.combinations(kinds, 2)]
    left_out = kept = 0
    for number, first in itertools.product(situation.silenced, cords[::9]):
        view = View(situation, (first,))
        parting = Parting(view, number)
        for move in (*cords[::4], *situation.pulls):
            if parting.may_rid(move):
                kept += 1
                continue
            left_out += 1
            assert not situation.restored(number, situation.effect(add(view.moves, move)))
    assert kept
    assert left_out
