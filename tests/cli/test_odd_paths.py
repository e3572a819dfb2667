"""Paths and earlier drawings that nobody should give, and what a person is told of them."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from slinediag.cli.main import main
from slinediag.problems import spelled_out

LARKFEN = Path(__file__).parents[2] / "samples" / "larkfen.yaml"


@pytest.fixture
def filed(tmp_path, monkeypatch):
    """A folder with one facility file, and the folder one works in."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(LARKFEN, "a.yaml")
    return tmp_path


@pytest.mark.parametrize("name", ["red \x1b[31m.svg", "two\nlines.svg", "turned \u202egvs.svg"])
def test_what_a_terminal_would_obey_in_a_name_is_spelled_out(filed, capsys, name):
    assert main(["draw", "a.yaml", "--effort", "quick", "-o", name]) == 0
    assert (filed / name).read_bytes().startswith(b"<?xml")
    told = capsys.readouterr().out
    assert told == f"Chart: {spelled_out(name)}\n"
    assert told.removesuffix("\n").isprintable()
    assert main(["draw", "a.yaml", "--effort", "quick", "-o", name]) == 0
    stays = [line for line in capsys.readouterr().err.splitlines() if "stay where" in line]
    assert [line.partition(": ")[0] for line in stays] == [spelled_out(name)]


def test_letters_of_all_scripts_are_told_as_they_are():
    assert spelled_out("\u0645\u06cc\u200c \u56f3\u9762 \u05d0\u00a0caf\u00e9") == (
        "\u0645\u06cc\u200c \u56f3\u9762 \u05d0\u00a0caf\u00e9"
    )


@pytest.mark.parametrize(
    "arguments",
    [
        ["draw", "a.yaml"],
        ["paper", "a.yaml", "--kind", "strips"],
        ["export", "a.yaml"],
        ["import", "a.csv"],
        ["results", "a.yaml", "a.csv", "--apply", "1"],
    ],
)
@pytest.mark.parametrize("path", ["", "  "])
def test_a_path_of_nothing_is_refused(filed, capsys, arguments, path):
    assert main([*arguments, "-o", path]) == 2
    assert capsys.readouterr().err == "-o: no name is given. Write where to after it\n"
    assert [each.name for each in filed.iterdir()] == ["a.yaml"]


def test_papers_do_not_go_to_a_folder_called_like_a_file(filed, capsys):
    assert main(["paper", "a.yaml", "--kind", "strips", "-o", "s.pdf"]) == 2
    assert capsys.readouterr().err == (
        "-o: s.pdf is called like a file, and papers are several. "
        "Name the folder they go to: -o s\n"
    )
    assert [each.name for each in filed.iterdir()] == ["a.yaml"]
    (filed / "s.pdf").mkdir()
    assert main(["paper", "a.yaml", "--kind", "strips", "-o", "s.pdf"]) == 0


@pytest.mark.parametrize("data", [b"", b"%PDF-1.4\n" + bytes(range(256)) * 8, b"no PDF at all"])
def test_of_a_broken_pdf_to_keep_one_thing_is_told(filed, data):
    """In a process of its own: what a library logs goes past what a test reads."""
    (filed / "broken.pdf").write_bytes(data)
    command = ["draw", "a.yaml", "--effort", "quick", "-o", "c.svg", "--keep", "broken.pdf"]
    done = subprocess.run(
        [sys.executable, "-m", "slinediag", *command], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        "broken.pdf: this is no PDF to be read. Draw it once without keeping anything, and keep "
        "that from then on"
    ]
    assert not (filed / "c.svg").exists()
