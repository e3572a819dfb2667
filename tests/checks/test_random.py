"""Findings on random facilities: held against networkx, the same in any order, never a crash."""

from __future__ import annotations

import datetime
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from slinediag.checks import check
from slinediag.checks.words import finding_lines
from slinediag.model.equipment import PortKeys
from tests import oracle
from tests.checks.checking import found
from tests.strategies import facilities
from tests.tracing.test_shields import shielded

ROOT = Path(__file__).parent.parent.parent
DAY = datetime.date(2026, 5, 20)


@st.composite
def electrified(draw):
    """A random facility with phantom power, odd levels, unbalanced ports, priorities, states."""
    facility = draw(shielded())
    pick = st.sampled_from
    boxes = {}
    for box in facility.equipment.values():
        defaults = PortKeys(
            phantom=draw(pick([None, None, "gives", "takes", "harmed", "passes"])),
            balanced=draw(pick([None, None, False])),
            level=draw(pick([None, -50.0, -7.8, 12.0])),
            max=draw(pick([None, 5.0, 24.0])),
            impedance=draw(pick([None, 60.0, 600.0])),
        )
        boxes[box.id] = replace(box, defaults=defaults, priority=draw(pick([None, 1, 9])))
    bays = {}
    for bay in facility.bays.values():
        points = {
            n: replace(
                point,
                state=draw(pick([None, None, "spare", "reserved"])),
                label_top=draw(pick([None, "MIC 1", "MIC I", "A LONG WORD"])),
            )
            for n, point in bay.points.items()
        }
        bays[bay.id] = replace(bay, points=points)
    return replace(facility, equipment=boxes, bays=bays)


@settings(max_examples=150, deadline=None)
@given(electrified())
def test_every_finding_names_what_is_there_and_can_be_written(facility):
    findings = check(facility, DAY)
    things = {str(jack) for jack in facility.jacks} | set(facility.bays) | set(facility.equipment)
    things |= {facility.spelled(port) for port in (*facility.outputs(), *facility.inputs())}
    for finding in findings:
        assert finding.where
        assert set(finding.where) <= things, finding
        assert finding.message.endswith(".")
        assert "None" not in finding.message
        assert "  " not in finding.message
        assert ".." not in finding.message
    json.dumps([finding.to_dict() for finding in findings])
    finding_lines(facility, findings)


@settings(max_examples=60, deadline=None)
@given(electrified())
def test_the_order_of_the_file_changes_no_finding(facility):
    turned = replace(
        facility,
        equipment=dict(reversed(facility.equipment.items())),
        bays=dict(reversed(facility.bays.items())),
        lines=dict(reversed(facility.lines.items())),
    )
    assert told(facility) == told(turned)


def told(facility):
    return sorted((f.rule, f.severity, sorted(f.where)) for f in check(facility, DAY))


@settings(max_examples=100, deadline=None)
@given(facilities())
def test_doubled_shorted_and_reversed_as_networkx_has_them(facility):
    graph = oracle.contact_graph(facility, oracle.at_rest(facility))
    component = {c: n for n, part in enumerate(nx.connected_components(graph)) for c in part}
    outputs = list(facility.outputs())
    legs = {o: {component[(*o, sign)] for sign in "+-"} for o in (*outputs, *facility.inputs())}
    doubled = {
        frozenset(map(facility.spelled, (one, other)))
        for one in outputs
        for other in outputs
        if one != other and legs[one] & legs[other]
    }
    groups = [set(f.where) for f in found("doubled", facility)]
    assert {p for p in doubled if not any(p <= group for group in groups)} == set()
    assert bool(doubled) == bool(groups)
    shorted = {facility.spelled(o) for o in outputs if len(legs[o]) == 1}
    assert {f.where[0] for f in found("legs-shorted", facility)} == shorted
    turned = {
        (facility.spelled(i), facility.spelled(o))
        for i in facility.inputs()
        for o in outputs
        if component[(*i, "+")] == component[(*o, "-")] != component[(*o, "+")]
    }
    told_turned = set()
    for finding in found("polarity", facility):
        source = next(w for w in finding.where if w in {o for _, o in turned})
        told_turned |= {(w, source) for w in finding.where if (w, source) in turned}
    assert told_turned == turned
    assert found("one-leg", facility) == []


def test_the_same_bytes_whatever_the_hash_seed():
    def said(seed):
        command = [sys.executable, "-m", "slinediag", "check",
                   str(ROOT / "samples" / "quillmoor.yaml"), "--json", "--today", "2026-05-20"]  # fmt: skip
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": "UTC"}
        return subprocess.run(command, capture_output=True, check=True, env=env, cwd=ROOT).stdout

    assert said("1") == said("2")
