"""``slinediag outage`` as a person or a program runs it."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import pytest

from slinediag.cli import outage
from slinediag.cli.main import main
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


@pytest.mark.parametrize(
    ("option", "name", "said"),
    [
        ("--failed", "PB1", 'PB1: this is a bay, not equipment. Say --failed-bay "PB1"'),
        (
            "--failed",
            "Rack 1",
            'this is a rack or room, not equipment. Say --failed-place "Rack 1"',
        ),
        ("--failed", "C8/1", 'this is a cable or pair, not equipment. Say --cut "C8/1"'),
        ("--failed-bay", "LIM", 'LIM: this is equipment, not a bay. Say --failed "LIM"'),
        ("--cut", "PB1.T3", 'this is part of PB1, not a cable or pair. Say --failed-bay "PB1"'),
    ],
)
def test_a_name_under_the_wrong_option_is_told_the_right_one(capsys, option, name, said):
    assert main(["outage", QUILLMOOR, option, name]) == 2
    assert said in capsys.readouterr().err


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


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["outage", QUILLMOOR, "--failed", ""], "--failed: no name is given"),
        (["outage", QUILLMOOR, "--failed-bay", " "], "--failed-bay: no name is given"),
        (["outage", QUILLMOOR, "--failed-place", ""], "--failed-place: no name is given"),
        (["outage", QUILLMOOR, "--cut", ""], "--cut: no name is given"),
        (["ask", QUILLMOOR, "--plug", ""], "--plug: no name is given"),
        (["ask", QUILLMOOR, "--cord", ""], "--cord: no name is given"),
        (["ask", QUILLMOOR, "--pull", ""], "--pull: no name is given"),
        (["show", QUILLMOOR, " "], "show: nothing is named"),
        (["ask", QUILLMOOR, "--cord", "PB1.T1=PB1.T1"], "both ends are in one jack"),
        (
            ["ask", QUILLMOOR, "--pull", "PB2.T27=PB2.T45", "--pull", "PB2.T45"],
            "this cord is pulled twice",
        ),
        (["outage", QUILLMOOR, "--cut", "C12/3"], "cable C12 has pairs 1 to 2"),
        (["outage", QUILLMOOR, "--failed-place", "Rack 3"], "nothing stands at such a place"),
    ],
)
def test_names_that_are_none_are_refused_with_their_place(args, words, capsys):
    assert main(args) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert "Traceback" not in said.err


def test_a_box_named_twice_fails_once(capsys):
    main(["outage", QUILLMOOR, "--failed", "LIM", "--failed", "LIMITER"])
    twice = capsys.readouterr().out
    main(["outage", QUILLMOOR, "--failed", "LIM"])
    assert twice == capsys.readouterr().out
