"""The broken sample: every line said to be wrong is told, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from slinediag.file.read import load
from slinediag.problems import FileErrors

BROKEN = Path(__file__).parents[2] / "samples" / "broken.yaml"
MARK = "# wrong: "


def test_each_line_said_to_be_wrong_is_told_and_no_other() -> None:
    lines = BROKEN.read_text(encoding="utf-8").splitlines()
    said = [n + 2 for n, line in enumerate(lines) if line.strip().startswith(MARK)]
    with pytest.raises(FileErrors) as caught:
        load(BROKEN)
    assert [problem.line for problem in caught.value.errors] == said
    assert len(said) > 55


def test_no_two_lines_are_wrong_in_the_same_way() -> None:
    lines = BROKEN.read_text(encoding="utf-8").splitlines()
    said = [line.strip() for line in lines if line.strip().startswith(MARK)]
    assert len(said) - len(set(said)) == 1, "name is missing twice: of the facility and of a box"
    with pytest.raises(FileErrors) as caught:
        load(BROKEN)
    assert all(problem.what and problem.hint and problem.column for problem in caught.value.errors)
