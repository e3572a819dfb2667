"""How the command opens the editor: files told from commands; without a display it says so."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from slinediag.cli.main import names_file
from slinediag.editor.lighting import way_to_light
from slinediag.editor.running import collect_seldom, tell_mishap
from slinediag.file.read import parse
from tests.file.large import large_file

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "samples" / "larkfen.yaml"


def run_command(*arguments, **settings):
    bare = {
        k: v
        for k, v in os.environ.items()
        if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    command = [sys.executable, "-m", "slinediag", *arguments]
    return subprocess.run(command, env=bare | settings, cwd=ROOT, capture_output=True, text=True)


@pytest.mark.parametrize("argument", [str(SAMPLE), "station.yaml", "folder/station", "./ask"])
def test_what_looks_like_a_file_is_opened(argument):
    assert names_file(argument)


@pytest.mark.parametrize("argument", ["ask", "draw", "--version", "asq"])
def test_commands_options_and_slips_of_the_pen_are_not(argument):
    assert not names_file(argument)


def test_without_a_display_one_line_says_so():
    done = run_command(str(SAMPLE))
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "there is no display" in done.stderr


def test_a_display_that_is_not_there_is_named():
    done = run_command(str(SAMPLE), DISPLAY=":4711")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert ":4711" in done.stderr


def test_a_file_that_is_not_there_is_told_as_by_any_command():
    done = run_command("no_such_file.yaml")
    assert done.returncode == 2
    assert "no_such_file.yaml" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_mishap_is_told_in_the_window_and_not_as_a_traceback(window, capsys):
    tell_mishap(window, KeyError, KeyError("PB9"), None)
    assert "Something went wrong (KeyError: 'PB9')" in window.notice.text()
    assert capsys.readouterr() == ("", "")


def test_without_a_display_the_mistakes_of_a_file_are_told(tmp_path):
    bad = tmp_path / "bad.yaml"
    bad.write_text("slinediag: 1\nfacility: {nme: Plant}\n", encoding="utf-8")
    done = run_command(str(bad))
    assert done.returncode == 2
    assert "bad.yaml:2:" in done.stderr
    assert "there is no display" not in done.stderr


@pytest.fixture
def collector():
    """The collector's runs by generation, while it is as the window has it."""
    before, runs = gc.get_threshold(), []

    def watch(phase, told):
        if phase == "stop":
            runs.append(told["generation"])

    collect_seldom()
    gc.callbacks.append(watch)
    yield runs
    gc.callbacks.remove(watch)
    gc.set_threshold(*before)
    gc.unfreeze()


def test_to_trace_a_way_after_an_edit_waits_for_no_search_of_all_that_lives(collector):
    filed = parse(large_file(4), "large.yaml").facility
    collector.clear()
    for number in range(4):
        edited = replace(filed, practice=replace(filed.practice, name=f"Edit {number}"))
        assert way_to_light(edited, filed.jacks[0]) is not None
    assert 2 not in collector
    assert len(collector) < 8
