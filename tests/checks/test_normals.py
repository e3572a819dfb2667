"""A box normaled to itself, microphones on a tapped normal, normals that nothing tells of."""

from __future__ import annotations

import pytest

from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def outboard(kind, paths="straight"):
    return plant(
        f"""
        equipment:
          EQ: {{name: Equaliser, inputs: [A, B], outputs: [A, B], paths: {paths}}}
        bays:
          PB: {{name: Bay, positions: 1, points: {{1: {{top: EQ.A, bottom: EQ.A, normal: {kind}}}}}}}
        """
    )


@pytest.mark.parametrize("kind", ["half", "full", "reverse-half", "parallel"])
def test_a_processor_normaled_to_itself_is_a_danger(kind):
    # Trade press on jackfield normals; common practice: feedback.
    fires("normaled-to-itself", outboard(kind), "danger", "PB.T1", "PB.B1", "EQ.A:out", "EQ.A:in")
    quiet("feedback-at-rest", outboard(kind))


def test_outboard_that_is_non_normaled_is_as_it_should_be():
    quiet("normaled-to-itself", outboard("none"))


def test_an_insert_is_no_loop():
    # A desk's send above its own return: no path leads from that return to that send.
    quiet("normaled-to-itself", outboard("half", "{B: [A]}"))


def microphone(kind, level=-50, phantom="gives"):
    return plant(
        f"""
        equipment:
          MIC: {{name: Microphone, outputs: {{O: {{level: {level}, phantom: takes}}}}}}
          DESK: {{name: Desk, inputs: {{M: {{level: {level}, phantom: {phantom}}}}}}}
        bays:
          PB:
            name: Bay
            positions: 1
            points: {{1: {{top: MIC.O, bottom: DESK.M, normal: {kind}, note: phantom power}}}}
        """
    )


@pytest.mark.parametrize("kind", ["half", "parallel"])
def test_a_microphone_on_a_tapped_normal(kind):
    finding = fires("microphone-tapped", microphone(kind), "warning", "PB.T1")
    assert "phantom" in finding.message
    without = fires("microphone-tapped", microphone(kind, phantom="none"), "warning", "PB.T1")
    assert "phantom" not in without.message


def test_a_full_normal_and_a_line_level_are_left_alone():
    quiet("microphone-tapped", microphone("full"))
    # Line level, -15 to +20 dBu: Sound Engineer's Pocket Book, ch. 14.
    quiet("microphone-tapped", microphone("half", level=-15, phantom="none"))


def crossed(point):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          D: {{name: Destination, inputs: [I]}}
        bays:
          PB: {{name: Bay, positions: 2, points: {{1: {{top: S.O, normal: none}}, 2: {point}}}}}
        normals:
          - {{from: PB.T1, to: PB.B2}}
        """
    )


def test_a_normal_across_positions_should_be_told_of():
    fires("normal-unmarked", crossed("{bottom: D.I}"), "note", "PB.B2")
    quiet("normal-unmarked", crossed("{bottom: D.I, note: normaled from 1}"))
    quiet("normal-unmarked", crossed("{bottom: D.I, label_bottom: D FROM 1}"))
    assert found("nothing-feeds", crossed("{bottom: D.I}")) == []
