"""What feeds the priority inputs under a trial, or with what has failed: as the set stands."""

from __future__ import annotations

import re
from functools import cache

import pytest

from slinediag.address import PortAddress
from slinediag.chart.chains import Chain, chains_of
from slinediag.chart.planning import Plan, plan_chart
from slinediag.chart.priority_ways import priority_ways
from slinediag.drawing.marks import Group, Text
from slinediag.file.read import load
from slinediag.model.facility import Facility
from slinediag.tracing.naming import read_trial
from slinediag.tracing.outage.failure import damaged, read_failure
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, Trial
from tests import oracle
from tests.builders import plant


@cache
def quillmoor() -> Facility:
    return load("samples/quillmoor.yaml").facility


@cache
def planned() -> Plan:
    return plan_chart(quillmoor(), None)


def asked(cords=(), pulls=(), failed=()) -> Answer:
    return ask(quillmoor(), read_trial(quillmoor(), cords, pulls, [], failed))


def chains(answer: Answer) -> tuple[Chain, ...]:
    return chains_of(planned().subject, answer)


def words(facility: Facility, found: tuple[Chain, ...]) -> list[str]:
    """Each line of the block, all things on sheet 1."""
    ports = (PortAddress(b.id, p.id, p.side) for b in facility.equipment.values() for p in b.ports)
    block = priority_ways(facility, found, dict.fromkeys(ports, 1), 300_000)
    return [" ".join(texts(item.marks)) for item in block.items]


def texts(marks):
    for mark in marks:
        if isinstance(mark, Text):
            yield mark.text
        elif isinstance(mark, Group):
            yield from texts(mark.marks)


def test_with_the_limiter_dead_nothing_feeds_the_link():
    answer = asked(failed=["LIMITER"])
    (link,) = (c for c in chains(answer) if c.links[-1].box == "XMIT")
    assert link.silent
    first = words(quillmoor(), chains(answer))[0]
    assert "LINK (1), Link to the transmitter: nothing: SILENT" in first
    assert "LIMITER" not in first


def test_a_cord_is_what_feeds_one_side_and_the_other_stays_as_filed():
    lines = words(quillmoor(), chains(asked(cords=[("DISC 1 L", "LINK L")])))
    left, right = lines[:2]
    assert "LINK L (1), Link to the transmitter: DISC 1 L, by cord (1)" in left
    assert "LIMITER" not in left
    assert "LINK R (1)" in right
    assert right.endswith("→ LIMITER (1)")
    as_filed = words(quillmoor(), chains_of(planned().subject))
    assert lines[2:] == as_filed[1:]


def test_a_cord_farther_up_is_told_where_it_hangs():
    cord = ("DISC 1 L", "LIMITER L")
    first = words(quillmoor(), chains(asked(cords=[cord])))[0]
    told = re.search(r"transmitter: (.*) → LIMITER \(1\)$", first)
    assert told
    assert set(told[1].split(", ")) == {"DISC 1 by cord", "PGM DA"}


def test_of_two_that_are_tied_the_one_by_cord_is_told():
    facility = plant("""
        equipment:
          A: {name: One, outputs: [O]}
          B: {name: Other, outputs: [O]}
          D: {name: Destination, inputs: [I], priority: 1}
        bays:
          PB: {name: Bay, positions: 2, normal: parallel, points: {1: {top: A.O, bottom: D.I},
               2: {top: B.O}}}
    """)
    answer = ask(facility, read_trial(facility, [("PB.T2", "PB.B1")], [], [], []))
    found = chains_of(plan_chart(facility, answer).subject, answer)
    assert "A, B by cord" in words(facility, found)[0]


def test_a_bypass_leads_on_where_the_box_is_dead():
    facility = plant("""
        equipment:
          A: {name: Source, outputs: [O]}
          L: {name: Limiter, inputs: [I, K], outputs: [O], paths: all, bypass: {O: [I]}}
          D: {name: Destination, inputs: [I], priority: 1}
        bays:
          PB: {name: Bay, positions: 2, points: {1: {top: A.O, bottom: L.I},
               2: {top: L.O, bottom: D.I}}}
    """)
    answer = ask(facility, Trial(failed=("L",)))
    (chain,) = chains_of(plan_chart(facility, answer).subject, answer)
    assert [link.box for link in chain.links] == ["A", "L", "D"]
    assert not chain.silent


def test_what_a_failed_bay_leaves_is_told():
    left = damaged(quillmoor(), read_failure(quillmoor(), failed_bays=["PB2"]))
    found = chains(ask(left, Trial()))
    (link,) = (c for c in found if c.links[-1].box == "XMIT")
    assert link.silent


@pytest.mark.parametrize(
    ("cords", "failed"),
    [([], ["LIMITER"]), ([], ["DESK"]), ([("DISC 1 L", "LINK L")], []), ([], ["PGM DA"])],
)
def test_silent_is_what_hears_nothing_by_single_contacts(cords, failed):
    answer = asked(cords=cords, failed=failed)
    fed = oracle.feeds(quillmoor(), oracle.contact_graph(quillmoor(), oracle.at_rest(quillmoor())))
    state = oracle.with_trial(quillmoor(), answer.trial)
    fed_now = oracle.feeds(quillmoor(), oracle.contact_graph(quillmoor(), state))
    rest, now = oracle.hears(quillmoor(), fed), oracle.hears(quillmoor(), fed_now, state.dead)
    told = {p for c in chains(answer) if c.silent for p in c.links[-1].entries}
    every = {p for c in chains(answer) for p in c.links[-1].entries}
    assert told == {p for p in every if rest[p] and not now[p]}
