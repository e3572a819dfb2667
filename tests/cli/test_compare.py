"""The compare command as a person runs it."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.cli import running

LARKFEN = Path(__file__).parent.parent.parent / "samples" / "larkfen.yaml"


def run(capsys, *arguments):
    return running.run(capsys, "compare", *arguments)


@pytest.fixture
def changed(tmp_path):
    path = tmp_path / "new.yaml"
    path.write_text(
        LARKFEN.read_text().replace(
            "17: {top: CON.AUX, bottom: EFF.I,", "17: {top: CON.AUX, bottom: EFF.I, normal: full,"
        )
    )
    return path


def test_a_change_in_words(capsys, changed):
    status, out, err = run(capsys, LARKFEN, changed)
    assert (status, err) == (0, "")
    assert out.splitlines()[:2] == ["CHANGED:", "  LB 17: half-normal to full-normal"]
    assert "Proposed row: revision D: LB 17: half-normal to full-normal" in out


def test_the_failure_of_one_box_is_compared(capsys, changed):
    status, out, _ = run(capsys, LARKFEN, changed, "--failed", "GATE")
    assert status == 0
    assert "What failures cost is what it was before." in out
    status, _, err = run(capsys, LARKFEN, changed, "--failed", "EFX")
    assert status == 2
    assert "there is no such equipment" in err


def test_a_chart_with_the_change_in_a_cloud(capsys, tmp_path):
    old, new = tmp_path / "old.yaml", tmp_path / "new.yaml"
    text = "slinediag: 1\nfacility: {name: Small}\nbays: {PB: {name: Bay, positions: 1, points: {1: {top: A.O, bottom: B.I}}}}\n"
    text += "equipment: {A: {name: Source, outputs: [O]}, B: {name: Destination, inputs: [I]}}\n"
    old.write_text(text)
    new.write_text(text.replace("positions: 1", "positions: 1, normal: full"))
    status, out, err = run(capsys, old, new, "--chart", tmp_path / "changes.svg")
    assert (status, err) == (0, "")
    assert out.splitlines()[-1] == f"Chart: {tmp_path / 'changes.svg'}"
    assert 'class="cloud"' in (tmp_path / "changes.svg").read_text()


def test_a_change_as_json(capsys, changed):
    status, out, _ = run(capsys, LARKFEN, changed, "--json")
    answer = json.loads(out)
    assert status == 0
    assert answer["changes"] == [
        {
            "kind": "normal",
            "where": ["LB 17"],
            "before": "half",
            "after": "full",
            "text": "LB 17: half-normal to full-normal",
        }
    ]
    assert answer["hearing"] == []


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
def test_a_revision_of_one_file(capsys, tmp_path, changed):
    def git(*words):
        identity = ["-c", "user.name=Someone", "-c", "user.email=someone@example.org"]
        subprocess.run(["git", "-C", tmp_path, *identity, *words], check=True, capture_output=True)

    file = tmp_path / "station.yaml"
    shutil.copy(LARKFEN, file)
    git("init", "-q")
    git("add", "station.yaml")
    git("commit", "-q", "-m", "first issue")
    shutil.copy(changed, file)
    status, out, err = run(capsys, f"HEAD:{file}", file)
    assert (status, err) == (0, "")
    assert "half-normal to full-normal" in out
    status, out, err = run(capsys, f"NOWHERE:{file}", file)
    assert (status, out) == (2, "")
    assert "git:" in err
    assert ".. Write REV:FILE" not in err


@pytest.mark.parametrize("name", [":y.yaml", "HEAD:", "-p:y.yaml"])
def test_what_names_no_revision_is_refused(capsys, name):
    status, out, err = run(capsys, "--", name, LARKFEN)
    assert (status, out) == (2, "")
    assert "names no revision" in err
