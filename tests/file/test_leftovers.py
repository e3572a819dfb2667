"""Sheets of an earlier run are named, so that they are not printed by mistake."""

from __future__ import annotations

import pytest

from slinediag.cli.main import main
from slinediag.file.leftovers import left_over


@pytest.mark.parametrize(
    ("there", "written", "left"),
    [
        ("c-1.svg c-2.svg c-3.svg", "c-1.svg c-2.svg", "c-3.svg"),
        ("c.svg", "c-1.svg c-2.svg", "c.svg"),
        ("c-1.svg c-10.svg c-2.svg", "c.svg", "c-1.svg c-2.svg c-10.svg"),
        ("c-1.svg c-01.svg", "c-01.svg c-02.svg", "c-1.svg"),
        # Another plant, another kind and another ending are no part of the series.
        ("c-1.pdf c-notes.svg cc-1.svg c-1-2.svg", "c.svg", ""),
        ("room-1.svg room-3.svg", "room-2.svg", ""),
        ("room-2-1.svg", "room-2.svg", "room-2-1.svg"),
        ("c-1.svg c-2.svg", "c.pdf c-1.svg", "c-2.svg"),
        ("", "c-1.svg", ""),
    ],
)
def test_what_is_left_of_an_earlier_run(tmp_path, there, written, left):
    for name in (*there.split(), *written.split()):
        (tmp_path / name).touch()
    found = left_over([tmp_path / name for name in written.split()])
    assert [path.name for path in found] == left.split()


def test_folders_are_no_sheets(tmp_path):
    (tmp_path / "c-1.svg").mkdir()
    assert left_over([tmp_path / "c.svg"]) == ()


def test_drawing_tells_of_older_sheets_and_leaves_them(tmp_path, capsys):
    old = tmp_path / "c-7.svg"
    old.write_text("old", encoding="utf-8")
    arguments = ["draw", "samples/larkfen.yaml", "-o", str(tmp_path / "c.svg")]
    assert main([*arguments, "--effort", "quick", "--around", "NEAR.L"]) == 0
    assert "Left there by an earlier run and not part of this: c-7.svg" in capsys.readouterr().out
    assert old.read_text(encoding="utf-8") == "old"
