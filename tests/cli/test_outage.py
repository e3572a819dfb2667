"""``slinediag outage`` as a person or a program runs it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import pytest

from slinediag.cli import outage
from slinediag.problems import RequestError

SAMPLES = Path(__file__).parents[2] / "samples"
QUILLMOOR = str(SAMPLES / "quillmoor.yaml")
LARKFEN = str(SAMPLES / "larkfen.yaml")


def run(capsys, *arguments):
    parser = argparse.ArgumentParser()
    outage.add_arguments(parser)
    assert outage.run(parser.parse_args(list(arguments))) == 0
    return capsys.readouterr().out


def test_json_has_the_keys_of_the_answer(capsys):
    found = json.loads(run(capsys, QUILLMOOR, "--failed", "LIM", "--json"))
    assert found["failed"] == ["LIM"]
    assert [s["input"] for s in found["silenced"]] == ["XMIT.L", "XMIT.R", "MTR.L", "MTR.R"]
    keys = {
        "cords",
        "pulls",
        "fits",
        "full",
        "harmed",
        "level_change",
        "length",
        "cautions",
        "steps",
    }
    for silenced in found["silenced"]:
        assert {"input", "priority", "hears_before", "patches", "reason"} <= set(silenced)
        for patch in silenced["patches"]:
            assert keys <= set(patch)
            for step in patch["steps"]:
                assert {"cord", "acts", "restores", "interrupts"} <= set(step)
                assert ("put" in step) != ("pull" in step)
    assert {"cords", "restores", "harmed"} <= set(found["together"])


def test_several_failures_are_one_outage(capsys):
    arguments = ["--failed", "LIM", "--failed-bay", "PB4", "--cut", "C8/1", "--json"]
    found = json.loads(run(capsys, QUILLMOOR, *arguments))
    assert found["failed"] == ["LIM", "bay PB4", "cable C8/1"]


def test_a_place_by_its_name(capsys):
    assert "SILENT" in run(capsys, LARKFEN, "--failed-place", "Recording floor")


def test_text_says_what_is_silent_first(capsys):
    assert run(capsys, QUILLMOOR, "--failed", "LIM").startswith("SILENT when LIMITER fails:\n")


def test_all_in_turn_as_a_table_and_as_json(capsys):
    assert "FAILS" in run(capsys, LARKFEN, "--all", "--moves", "1")
    found = json.loads(run(capsys, LARKFEN, "--all", "--moves", "1", "--json"))
    assert {"weak_points", "failures"} <= set(found)
    assert ["bay LA"] in [row["failed"] for row in found["failures"]]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([], "nothing has failed"),
        (["--all", "--failed", "LIM"], "do not go together"),
        (["--failed", "LIMM"], "Did you mean LIM"),
        (["--failed", "LIM", "--moves", "9"], "1 to 4 moves"),
    ],
)
def test_requests_that_cannot_be_answered(capsys, arguments, message):
    with pytest.raises(RequestError, match=message):
        run(capsys, QUILLMOOR, *arguments)
