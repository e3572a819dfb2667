"""The commands as a person runs them: status, streams, and no traceback whatever is given."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from slinediag.file.read import load
from slinediag.layout.command import run as arrange
from slinediag.problems import FileErrors
from tests.cli.running import run

SAMPLES = Path(__file__).parent.parent.parent / "samples"
QUILLMOOR = str(SAMPLES / "quillmoor.yaml")


def test_ask_in_words(capsys):
    status, out, err = run(capsys, "ask", QUILLMOOR, "--cord", "DISC 1 L=LINK L")
    assert status == 0
    assert err == ""
    assert out.splitlines()[0] == "NOT HARMLESS. Hears something else: LINK L."


def test_ask_in_json(capsys):
    status, out, _ = run(capsys, "ask", QUILLMOOR, "--cord", "PB1.T9=PB2.B15", "--json")
    answer = json.loads(out)
    assert status == 0
    assert answer["facility"] == "Quillmoor Community Radio"
    assert [i["input"] for i in answer["inputs"]] == ["XMIT.L"]


def test_ask_takes_every_kind_of_change(capsys):
    status, out, _ = run(
        capsys, "ask", QUILLMOOR, "--pull", "PB3.T15=PB2.B5", "--pull", "PB2.B39",
        "--cord", "PB1.T9=PB4.B41", "--plug", "PB1.B2", "--failed", "LIMITER", "--all",
    )  # fmt: skip
    assert status == 0
    assert "Pull the cord from PB3 T15 to PB2 B5." in out
    assert "Pull the dummy plug from PB2 B39." in out
    assert "Dummy plug in PB1 B2" in out
    assert "Taken as failed: LIMITER." in out
    assert " is unchanged" in out


def test_a_pull_may_name_one_jack_of_a_cord(capsys):
    _, out, _ = run(capsys, "ask", QUILLMOOR, "--pull", "PB3.T15")
    assert "Pull the cord from PB3 T15 to PB2 B5." in out


@pytest.mark.parametrize("thing", ["PB2.T15", "LIM.L:out", "LIM", "LINK L", "DISC 1"])
def test_show(capsys, thing):
    status, out, _ = run(capsys, "show", QUILLMOOR, thing)
    assert status == 0
    assert "Origins: " in out
    status, out, _ = run(capsys, "show", QUILLMOOR, thing, "--json")
    assert status == 0
    assert {"thing", "kind", "upstream", "downstream"} <= set(json.loads(out))


@pytest.mark.parametrize(
    ("thing", "named"),
    [
        ("MULT 1", ["PB2.T45", "PB2.T46", "PB2.B45", "PB2.B46"]),
        ("M1", ["PB2.T45", "PB2.B45", "PB2.T46", "PB2.B46"]),
        ("PB2 7", ["PB2.T7", "PB2.B7"]),
        ("DELAY L", ["DLY.L:out", "DLY.L:in"]),
        ("DLY.L", ["DLY.L:out", "DLY.L:in"]),
    ],
)
def test_what_belongs_together_is_shown_in_turn(capsys, thing, named):
    status, out, _ = run(capsys, "show", QUILLMOOR, thing)
    assert status == 0
    first, *parts = out.split("\n\n")
    assert first == f"{thing} is {', '.join(named[:-1])} and {named[-1]}, each in turn:"
    assert [part.splitlines()[0].partition("(")[2] for part in parts] == [f"{n})" for n in named]
    alone = [run(capsys, "show", QUILLMOOR, name)[1] for name in named]
    assert parts[0].strip() == alone[0].strip()
    for part, whole in zip(parts[1:], alone[1:], strict=True):
        kept = [line for line in part.splitlines() if ": the same as for " not in line]
        assert set(kept) <= set(whole.splitlines())


def test_a_port_is_shown_by_the_words_that_name_it_everywhere(capsys):
    for side in ("out", "in"):
        told = run(capsys, "show", QUILLMOOR, f"DELAY L {side}", "--json")
        assert told == run(capsys, "show", QUILLMOOR, f"DLY.L:{side}", "--json")
        assert told[0] == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["ask", QUILLMOOR], "nothing to ask"),
        (["ask", QUILLMOOR, "--cord", "PB1.T1"], "this is not a cord"),
        (["ask", QUILLMOOR, "--cord", "PB1.T1=PB9.T1"], "there is no such jack"),
        (["ask", QUILLMOOR, "--cord", "A=B=C"], "there is no such jack"),
        (["ask", QUILLMOOR, "--cord", "="], "Write a cord as JACK=JACK"),
        (["draw", QUILLMOOR, "-o", "c.gv", "--plug", "PB1.T1"], "a bare graph shows no trial"),
        (["draw", QUILLMOOR, "-o", QUILLMOOR], "this is the facility file itself"),
        (["draw", QUILLMOOR, "-o", "c.gv", "--bay", "PB1"], "a bare graph is always of the whole"),
        (["draw", QUILLMOOR, "-o", "c.svg", "--bay", "PB11"], "Did you mean PB1?"),
        (["draw", QUILLMOOR, "-o", "c.svg", "--room", "Rack rom"], "Did you mean Rack room?"),
        (["draw", QUILLMOOR, "-o", "c.svg", "--around", "LINKK L"], "Did you mean LINK L?"),
        (["draw", QUILLMOOR, "-o", "c.svg", "--sheet", "A9"], "Use auto, one, A4, A3"),
        (["paper", QUILLMOOR, "--kind", "strips", "--sheet", "A9"], "Use A4, A3"),
        (["draw", QUILLMOOR, "-o", "c.bmp"], "no chart can be written under this ending"),
        (["ask", QUILLMOOR, "--plug", "PB1.T99"], "Bay PB1 has T1 to T48"),
        (["ask", QUILLMOOR, "--failed", "LIMITERS"], "Did you mean"),
        (["show", QUILLMOOR, "nothing like it"], "there is no such jack, port or equipment"),
        (["ask", "no-such-file.yaml", "--plug", "PB1.T1"], "no-such-file.yaml"),
        (["ask", str(SAMPLES), "--plug", "PB1.T1"], "samples"),
        (["ask", "", "--all"], '"": there is no such file. Check the name'),
        (["ask"], "FILE"),
        (
            ["outage", QUILLMOOR, "--failed-cable", "C8"],
            "slinediag outage: not known here: --failed-cable C8. See slinediag outage --help\n",
        ),
        (["show", QUILLMOOR, "PB1.T1", "extra"], "slinediag show: not known here: extra. See"),
        (["dance", QUILLMOOR], "invalid choice"),
        (["show", QUILLMOOR], "THING"),
        (["show", QUILLMOOR, "TG1"], "this is a line. Name an end of it: PB2.B25 or PB4.T25"),
        (["show", QUILLMOOR, "C8"], "this is a cable. Name a jack or port that it leads to"),
        (
            ["ask", str(SAMPLES / "larkfen.yaml"), "--plug", "M1"],
            "this is a mult. Name a jack of it, as LA.T",
        ),
        (["show", QUILLMOOR, "LIMITR"], "Did you mean LIMITER?"),
        (
            ["show", QUILLMOOR, "DELAY L", "--json"],
            "4 things bear this label. Say which: DLY.L:out, DLY.L:in, PB2.T11, PB2.B9",
        ),
        (["ask", QUILLMOOR, "--plug", "TG1"], "this is a line. Name an end of it"),
        (["show", QUILLMOOR, "PB1"], "this is a whole bay. Name one of its jacks, as PB1.T1"),
        (["ask", QUILLMOOR, "--plug", "PB1"], "this is a whole bay"),
        (["show", QUILLMOOR, "PB2 7", "--json"], "Say which jack: PB2.T7 or PB2.B7"),
        (["ask", QUILLMOOR, "--plug", "PB2.7"], "Say which jack: PB2.T7 or PB2.B7"),
        (["ask", QUILLMOOR, "--failed", "PB1"], "this is a bay, not equipment"),
        (["ask", QUILLMOOR, "--cord", "\x1b[2JA=PB1.T1"], "\\x1b[2JA: there is no such jack"),
        (
            ["ask", QUILLMOOR, "--pull", "PB1.T1"],
            "nothing is plugged in here to pull. Plugged in: ",
        ),
        (["outage", QUILLMOOR, "--moves", "x"], "give a whole number, not 'x'"),
        (["results", QUILLMOOR, "t.csv", "--apply", "1.5"], "give a whole number, not '1.5'"),
        (["draw", QUILLMOOR, "--dpi", ""], "give a whole number, not ''"),
        (["draw", QUILLMOOR, "-o", "c.png", "--dpi", "0"], "give 20 to 2400, not 0"),
        (["draw", QUILLMOOR, "--read-at", "nan"], "give millimetres, 0 to 4000, not nan"),
        (["draw", QUILLMOOR, "--read-at", "far"], "give millimetres, not 'far'"),
        (["draw", QUILLMOOR, "--around", ""], "--around: no name is given"),
        (["draw", QUILLMOOR, "-o", ""], "-o: no name is given"),
        (["draw", QUILLMOOR, "-o", "x" * 300 + ".svg"], "cannot save: File name too long"),
        (["draw", QUILLMOOR, "-o", "none/c.svg"], "cannot save: there is no such folder"),
        (["draw", QUILLMOOR, "-o", "c.gv", "--before"], "there is no trial to show"),
        (["export", QUILLMOOR, "-o", ""], "-o: no name is given"),
        (["compare", QUILLMOOR, QUILLMOOR, "--failed", " "], "--failed: no name is given"),
        (["compare", QUILLMOOR, QUILLMOOR, "--chart", ""], "no chart can be written"),
    ],
)
def test_what_is_refused_says_why_and_ends_with_2(capsys, arguments, said):
    status, out, err = run(capsys, *arguments)
    assert status == 2
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_several_things_wrong_are_said_together(capsys):
    _, _, err = run(capsys, "ask", QUILLMOOR, "--plug", "X.T1", "--plug", "Y.T1")
    assert len(err.splitlines()) == 2


def facility_of_mistakes(count):
    """A file that is wrong in so many places, one a line."""
    return "\n".join([
        "slinediag: 1", "facility: {name: Wrong}", "equipment:",
        *(f"  BOX{n}: {{name: Box, colour: red}}" for n in range(count)),
    ])  # fmt: skip


def test_a_file_edited_by_hand_is_told_all_its_mistakes(capsys, tmp_path):
    path = tmp_path / "wrong.yaml"
    path.write_text(facility_of_mistakes(100), encoding="utf-8")
    assert len(run(capsys, "check", path)[2].splitlines()) == 100


def test_of_very_many_mistakes_the_first_are_told_and_how_many_more(capsys, tmp_path):
    path = tmp_path / "wrong.yaml"
    path.write_text(facility_of_mistakes(4468), encoding="utf-8")
    status, out, err = run(capsys, "check", path, "--json")
    assert (status, out) == (2, "")
    *told, rest = err.splitlines()
    assert [f"{path}:{line}:" in text for line, text in enumerate(told, 4)] == [True] * 20
    assert rest == "and 4,448 more; mend these first"
    with pytest.raises(FileErrors) as caught:
        load(path)
    assert len(caught.value.errors) == 4468
    assert str(caught.value) == "\n".join([*told, rest])


def test_the_layout_of_a_very_wrong_graph_tells_the_first_problems(capsys, tmp_path):
    graph = {
        "nodes": [{"id": "a", "width": 20, "height": 9, "inputs": [], "outputs": []}],
        "edges": [{"from": ["a", f"o{n}"], "to": ["b", "i"]} for n in range(2000)],
    }
    path = tmp_path / "graph.json"
    path.write_text(json.dumps(graph), encoding="utf-8")
    assert arrange([str(path), str(tmp_path / "result.json")]) == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 21
    assert re.fullmatch(r"and [1-9],\d\d\d more; mend these first", told[-1])


def test_help_and_version(capsys):
    status, out, _ = run(capsys, "--help")
    assert status == 0
    assert "ask" in out
    assert run(capsys, "--version")[:2] == (0, "slinediag 0.1.0\n")


def run_process(*arguments, seed="0"):
    return subprocess.run(
        [sys.executable, "-m", "slinediag", *arguments],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONHASHSEED": seed},
    )


def test_the_same_bytes_on_any_hash_seed():
    asked = ["ask", QUILLMOOR, "--cord", "PB2.T9=PB1.B11", "--failed", "REC", "--all"]
    first, second = run_process(*asked, seed="1"), run_process(*asked, seed="2")
    assert first.returncode == 0, first.stderr
    assert first.stdout == second.stdout
    shown = [run_process("show", QUILLMOOR, "XMIT", seed=seed).stdout for seed in "12"]
    assert shown[0] == shown[1] != b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_an_answer_that_cannot_be_written_is_told():
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "slinediag", "ask", QUILLMOOR, "--plug", "PB1.B1"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.startswith("slinediag: the answer cannot be written")
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="no shell that closes streams")
@pytest.mark.parametrize("arguments", ["--all", "--plug NONE"])
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams_bring_no_traceback(arguments, closed):
    command = f'"{sys.executable}" -m slinediag ask "{QUILLMOOR}" {arguments} {closed}'
    done = subprocess.run(command, shell=True, capture_output=True, check=False)
    assert done.returncode == (0 if arguments == "--all" else 2)
    assert b"Traceback" not in done.stderr + done.stdout


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_refusal_that_cannot_be_written_still_ends_with_2():
    command = f'"{sys.executable}" -m slinediag ask nothing.yaml --all 2>/dev/full'
    assert subprocess.run(command, shell=True, check=False).returncode == 2


MISHAP = """
import sys, slinediag.__main__ as begun, slinediag.cli.ask as command

def broken(*_, **__):
    raise {error}

command.ask = broken
sys.argv = ["slinediag", "ask", {file!r}, "--all"]
begun.run()
"""


@pytest.mark.parametrize(
    ("error", "said"),
    [
        ('KeyError("finder")', "this should not happen (KeyError: 'finder')"),
        ("MemoryError()", "this should not happen (MemoryError: there is not enough memory)"),
        ("RecursionError('too deep')", "this should not happen (RecursionError: too deep)"),
    ],
)
def test_what_nobody_foresaw_is_told_without_a_traceback(error, said):
    code = MISHAP.format(error=error, file=QUILLMOOR)
    command, env = [sys.executable, "-c", code], {**os.environ}
    env.pop("SLINEDIAG_DETAILS", None)
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=env)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"slinediag: {said}. Nothing half written is left behind.")
    assert "Traceback" not in done.stderr
    env["SLINEDIAG_DETAILS"] = "1"
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 2
    assert "Traceback" in done.stderr


def test_the_public_calls_are_all_there():
    import slinediag

    assert {"load", "ask", "outage", "check", "draw"} <= set(slinediag.__all__)
    facility = slinediag.load(QUILLMOOR)
    assert slinediag.outage(facility, failed=["LIM"]).to_dict()["failed"] == ["LIM"]
    assert all(finding.rule for finding in slinediag.check(facility))
    with pytest.raises(slinediag.RequestError, match="Did you mean"):
        slinediag.outage(facility, failed=["LIMM"])


def test_slips_in_public_calls_are_told():
    import slinediag

    facility = slinediag.load(QUILLMOOR)
    with pytest.raises(slinediag.RequestError, match=r"a list is wanted here.*plugs=\["):
        slinediag.ask(facility, plugs="PB1.T1")
    for cord in ("PB1.T9=PB2.B15", ("PB1.T9",)):
        with pytest.raises(slinediag.RequestError, match="this is not a pair of jacks"):
            slinediag.ask(facility, cords=[cord])
    with pytest.raises(slinediag.RequestError, match="nothing has failed"):
        slinediag.outage(facility)
    with pytest.raises(slinediag.RequestError, match="a list is wanted here"):
        slinediag.outage(facility, cut="C12")
    with pytest.raises(slinediag.RequestError, match=r"a list is wanted here.*bays=\["):
        slinediag.draw(facility, "chart.svg", bays="PB1")


def test_a_chart_from_python(tmp_path):
    import slinediag

    facility = slinediag.load(SAMPLES / "larkfen.yaml")
    path = tmp_path / "chart.svg"
    written = slinediag.draw(facility, path, cords=[("MIC 1", "LB.B1")], effort="quick")
    assert written == [str(path)]
    drawn = path.read_text(encoding="utf-8")
    assert 'data-cord="LA.T1=LB.B1"' in drawn
    assert drawn.count('class="point"') >= 40
    with pytest.raises(slinediag.RequestError, match="no sheet has this name"):
        slinediag.draw(facility, path, sheet="A9")
    assert path.read_text(encoding="utf-8") == drawn
