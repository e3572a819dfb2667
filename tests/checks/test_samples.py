"""The samples: what they are known to have, and nothing else above a note."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

import slinediag
from slinediag.checks import check

SAMPLES = Path(__file__).parent.parent.parent / "samples"
DAY = datetime.date(2026, 3, 20)
"""A day on which no cord of the samples is over age."""


def load(name):
    return slinediag.load(SAMPLES / name)


@pytest.mark.parametrize("name", ["quillmoor.yaml", "larkfen.yaml"])
def test_the_samples_have_nothing_above_a_note_that_is_not_accepted(name):
    graver = [f for f in check(load(name), DAY) if f.severity != "note" and f.accepted is None]
    assert graver == []


@pytest.mark.parametrize("name", ["quillmoor.yaml", "larkfen.yaml"])
def test_every_entry_of_accept_is_needed(name):
    assert [f for f in check(load(name), DAY) if f.rule.startswith("accept-")] == []


def test_what_is_known_of_quillmoor():
    found = {(f.rule, f.where[0]) for f in check(load("quillmoor.yaml"), DAY)}
    known = {
        ("polarity", "DESK.11"),  # the hybrid's transformer inverts; put right on the wire
        ("nothing-feeds", "HPA.TB"),  # a dummy plug keeps talkback out, with a note
        ("port-nowhere", "LOG"),  # its sixth input is not used
        ("unbalanced", "CAS"),  # a cassette deck with its matching amplifier beside it
        ("shield-loop", "PB2.T45"),  # mults on a bus that ties their sleeves anyway
    }
    assert known <= found


def test_the_order_of_the_file_changes_nothing():
    from dataclasses import replace

    facility = load("quillmoor.yaml")
    turned = replace(
        facility,
        equipment=dict(reversed(facility.equipment.items())),
        bays=dict(reversed(facility.bays.items())),
        lines=dict(reversed(facility.lines.items())),
        mults=dict(reversed(facility.mults.items())),
    )
    one = {(f.rule, f.severity, frozenset(f.where)) for f in check(facility, DAY)}
    other = {(f.rule, f.severity, frozenset(f.where)) for f in check(turned, DAY)}
    assert one == other
