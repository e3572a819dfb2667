"""Following a change no further than something differs, against settling all that lies behind."""

from __future__ import annotations

import random

import pytest

from slinediag.circuit.circuit import Circuit
from slinediag.tracing.hearing import Hearing, bits
from slinediag.tracing.order import order_of
from tests.tracing.dense import dense_facility


def settled(hearing, changed):
    """What every input hears and every output carries, the slow way."""
    inputs, outputs = range(len(hearing.feeds)), range(len(hearing._audio))
    return hearing._settle(changed, frozenset(), inputs, outputs)


@pytest.mark.parametrize("seed", range(60))
def test_a_change_is_followed_to_its_end(seed):
    """Any feeds taken away and put in, loops among them."""
    hearing = Hearing(Circuit(dense_facility(seed, 6)))
    dice = random.Random(seed)
    for _ in range(20):
        numbers = dice.sample(range(len(hearing.feeds)), min(3, len(hearing.feeds)))
        changed = {n: dice.getrandbits(len(hearing._audio)) for n in numbers}
        changed = {n: mask & dice.getrandbits(len(hearing._audio)) for n, mask in changed.items()}
        hears, audio = hearing.spread(changed)
        all_hear, all_carry = settled(hearing, changed)
        assert set(changed) <= set(hears)
        assert all_hear == {n: hears.get(n, hearing.hears[n]) for n in all_hear}
        assert all_carry == {o: audio.get(o, hearing.audio(o)) for o in all_carry}


def test_both_ways_of_working_it_out_are_taken():
    """Of the changes above some go round and some do not."""
    round_, straight = 0, 0
    for seed in range(60):
        hearing = Hearing(Circuit(dense_facility(seed, 6)))
        order = hearing._order
        if order is None:
            continue
        dice = random.Random(seed)
        for _ in range(20):
            number = dice.randrange(len(hearing.feeds))
            new = dice.getrandbits(len(hearing._audio)) & ~hearing.feeds[number]
            goes_round = order.goes_round({number: new})
            # One new feed goes round just where its output lies behind its input.
            assert goes_round == any(hearing.closes_cycle(o, number, {}) for o in bits(new))
            round_ += goes_round
            straight += not goes_round
    assert min(round_, straight) > 50


def test_what_goes_round_has_no_order():
    assert order_of([[0]], [[0]], [{0}]) is None
    assert order_of([[0]], [[0]], [set()]).beyond == (1,)


def test_two_new_feeds_go_round_together():
    """Each alone does not: out of one box into the other, and back."""
    order = order_of([[0], [1]], [[0], [1]], [set(), set()])
    assert not order.goes_round({0: 0b10})
    assert not order.goes_round({1: 0b01})
    assert order.goes_round({0: 0b10, 1: 0b01})
