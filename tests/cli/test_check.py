"""``slinediag check`` as a person runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli import running

SAMPLES = Path(__file__).parent.parent.parent / "samples"
QUILLMOOR = str(SAMPLES / "quillmoor.yaml")


def run(capsys, *arguments):
    return running.run(capsys, "check", *arguments)


@pytest.fixture
def howling(tmp_path):
    """A file with a danger in it, and the place where it may be accepted."""

    def write(accept=""):
        path = tmp_path / "plant.yaml"
        path.write_text(
            f"slinediag: 1\nfacility: {{name: Howling, accept: [{accept}]}}\n"
            "equipment:\n"
            "  EQ: {name: Equaliser, inputs: [I], outputs: [O], paths: straight}\n"
            "bays:\n"
            "  PB: {name: Bay, positions: 1, points: {1: {top: EQ.O, bottom: EQ.I}}}\n"
        )
        return path

    return write


def test_json_has_the_keys_of_a_finding(capsys):
    status, out, err = run(capsys, QUILLMOOR, "--json", "--today", "2026-05-20")
    findings = json.loads(out)["findings"]
    assert (status, err) == (0, "")
    keys = ["rule", "severity", "where", "message", "basis", "cure", "accepted"]
    assert all(list(finding) == keys for finding in findings)
    severities = ["danger", "error", "warning", "note"]
    ranks = [severities.index(finding["severity"]) for finding in findings]
    assert ranks == sorted(ranks)


def test_errors_and_dangers_end_with_1_unless_accepted(capsys, howling):
    status, out, _ = run(capsys, howling())
    assert status == 1
    assert "DANGER. See to this first:" in out
    status, out, _ = run(capsys, howling("{rule: normaled-to-itself, where: PB.T1, reason: test}"))
    assert status == 0
    assert "DANGER" not in out
    assert "Accepted by the facility:" in out


def test_plain_words_on_a_day(capsys):
    _, out, _ = run(capsys, SAMPLES / "larkfen.yaml", "--today", "2026-05-01")
    assert "60 days; the limit is 30" in out


def test_a_rule_explained_needs_no_file(capsys):
    status, out, _ = run(capsys, "--explain", "shield-loop")
    assert status == 0
    assert out.startswith("shield-loop: ")
    assert "Protective earth stays on every unit, always" in " ".join(out.split())
    status, out, _ = run(capsys, "--rules")
    assert status == 0
    assert any(line.startswith("doubled ") for line in out.splitlines())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--explain", "shield-lop"), "Did you mean shield-loop?"),
        ((), "no file is named"),
        ((QUILLMOOR, "--today", "soon"), "this is not a date"),
        (("no-such-file.yaml",), "no-such-file.yaml"),
    ],
)
def test_what_cannot_be_answered_ends_with_2(capsys, arguments, said):
    status, out, err = run(capsys, *arguments)
    assert (status, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


@pytest.fixture
def corded(tmp_path):
    """A plant with one standing cord, ten days old on the day of the tests, and no limit filed."""
    path = tmp_path / "plant.yaml"
    path.write_text(
        "slinediag: 1\nfacility: {name: Corded}\n"
        "bays:\n  PB: {name: Bay, positions: 2, normal: none}\n"
        "cords: [{from: PB.T1, to: PB.B2, note: trial, since: 2026-05-10, by: P. Finch}]\n"
    )
    return path


@pytest.mark.parametrize(("days", "old"), [("9", True), ("11", False), ("0", True)])
def test_the_age_of_standing_cords_can_be_asked_for(capsys, corded, days, old):
    _, out, _ = run(capsys, corded, "--json", "--today", "2026-05-20", "--cord-age", days)
    rules = [finding["rule"] for finding in json.loads(out)["findings"]]
    assert ("cord-old" in rules) == old


@pytest.mark.parametrize("days", ["-1", "nan", "old", "", "1e9"])
def test_an_age_that_is_none_is_refused(capsys, corded, days):
    status, out, err = run(capsys, corded, "--cord-age", days)
    assert (status, out) == (2, "")
    assert "this is no age in days. Write days, 0 to 36500" in err
