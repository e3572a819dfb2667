"""What is no facility file at all: one clear message, and nothing waits."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NoReturn

import pytest

from slinediag.file.read import load
from slinediag.problems import FileErrors

WHOLE = b"slinediag: 1\nfacility: {name: Plant}\n"


def told(path: str | os.PathLike[str]) -> str:
    with pytest.raises(FileErrors) as caught:
        load(path)
    [problem] = caught.value.errors
    assert caught.value.file == os.fspath(path)
    assert problem.hint
    return problem.what


def test_a_file_is_loaded_by_path_or_text(tmp_path: Path) -> None:
    path = tmp_path / "plant.yaml"
    path.write_bytes(WHOLE)
    assert load(path).facility == load(str(path)).facility
    assert load(path).name == str(path)
    assert load(path).data == WHOLE


def test_a_missing_file(tmp_path: Path) -> None:
    assert told(tmp_path / "none.yaml") == "there is no such file"
    (tmp_path / "link").symlink_to("nowhere")
    assert told(tmp_path / "link") == "there is no such file"


def test_a_folder(tmp_path: Path) -> None:
    assert told(tmp_path) == "this is a folder, not a file"


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert told(tmp_path / "pipe") == "this is a pipe, socket or device, not a file"


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="this system has no endless device")
def test_an_endless_device() -> None:
    assert told("/dev/zero") == "this is a pipe, socket or device, not a file"


def test_a_large_file_is_refused_without_being_read(tmp_path: Path) -> None:
    with open(tmp_path / "large.yaml", "wb") as file:
        file.truncate(20 * 1024 * 1024 * 1024)
    assert told(tmp_path / "large.yaml") == "the file is larger than 4 MiB"


def test_an_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plant.yaml"
    path.write_bytes(WHOLE)

    def refuse(*_: object) -> NoReturn:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    assert told(path) == "the file may not be read"


def test_names_that_no_file_can_have(tmp_path: Path) -> None:
    assert told("a\0b").startswith("the file cannot be read")
    assert told(tmp_path / ("x" * 5000)).startswith("the file cannot be read")
    (tmp_path / "loop").symlink_to("loop")
    assert told(tmp_path / "loop").startswith("the file cannot be read")
