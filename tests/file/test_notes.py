"""What is no mistake and yet worth a note."""

from __future__ import annotations

import pytest

from slinediag.file.read import parse

HEAD = "slinediag: 1\nfacility: {name: Plant}\n"
BAY = "bays: {PB: {name: Bay, points: {2: {normal: KIND}}}}\nnormals: [{from: PB.T1, to: PB.B2}]\n"


def notes(rest: str) -> list[str]:
    return [note.text() for note in parse((HEAD + rest).encode(), "plant.yaml").notes]


def test_a_position_that_states_a_normal_which_another_replaces() -> None:
    [note] = notes(BAY.replace("KIND", "full"))
    assert note == (
        "4:29: normals[1]: position 2 of PB states normal: full. "
        "This entry takes its place; leave normal out there"
    )


@pytest.mark.parametrize("kind", ["none", "~"])
def test_a_position_that_states_no_normal(kind: str) -> None:
    assert notes(BAY.replace("KIND", kind)) == []


def test_a_port_that_clips_below_its_level() -> None:
    [note] = notes("equipment: {A: {name: A, outputs: {L: {max: 0}}}}\n")
    assert "equipment.A.L: it clips at 0 dBu, below its level of 4 dBu" in note
    assert notes("equipment: {A: {name: A, outputs: {L: {level: -10, max: 0}}}}\n") == []
    assert (
        notes("equipment: {A: {name: A, outputs: {L: {max: 0}}, defaults: {level: -10}}}\n") == []
    )


@pytest.mark.parametrize(("side", "key"), [("inputs", "origin: true"), ("outputs", "priority: 1")])
def test_a_port_key_that_means_nothing_on_its_side(side: str, key: str) -> None:
    [note] = notes(f"equipment: {{A: {{name: A, {side}: {{L: {{{key}}}}}}}}}\n")
    assert f"equipment.A.{side}.L.{key.split(':')[0]}: this means nothing of an {side[:-1]}" in note
    other = "outputs" if side == "inputs" else "inputs"
    assert notes(f"equipment: {{A: {{name: A, {other}: {{L: {{{key}}}}}}}}}\n") == []
