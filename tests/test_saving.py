"""A file is replaced in one step or not at all."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from slinediag.problems import WriteError
from slinediag.saving import save, save_all

OLD, NEW = b"old\n", b"new\n" * 100_000


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "plant.yaml"
    path.write_bytes(OLD)
    return path


def test_a_file_is_replaced(old: Path) -> None:
    save(old, NEW)
    assert old.read_bytes() == NEW
    assert os.listdir(old.parent) == ["plant.yaml"]


def test_a_new_file_takes_the_permissions_of_the_mask(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        save(str(tmp_path / "new.yaml"), NEW)
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "new.yaml").stat().st_mode) == 0o640


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755])
def test_permissions_stay(old: Path, mode: int) -> None:
    old.chmod(mode)
    save(old, NEW)
    assert stat.S_IMODE(old.stat().st_mode) == mode


def test_a_symbolic_link_stays_and_its_target_is_replaced(old: Path, tmp_path: Path) -> None:
    (tmp_path / "links").mkdir()
    link = tmp_path / "links" / "plant.yaml"
    link.symlink_to(Path("..") / "plant.yaml")
    save(link, NEW)
    assert link.is_symlink()
    assert old.read_bytes() == NEW
    assert os.listdir(link.parent) == ["plant.yaml"]


def test_a_name_without_a_folder_is_in_the_current_one(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(old.parent)
    save("plant.yaml", NEW)
    assert old.read_bytes() == NEW


def test_writes_in_pieces_are_put_together(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: write(fd, data[:1000]))
    save(old, NEW)
    assert old.read_bytes() == NEW


def test_unfinished_files_of_others_are_left_alone(old: Path) -> None:
    other = old.parent / f".slinediag-{os.getpid()}-0.tmp"
    other.write_bytes(b"another")
    save(old, NEW)
    assert other.read_bytes() == b"another"
    assert old.read_bytes() == NEW


def failing(error: BaseException, after: int = 0) -> Callable[..., Any]:
    calls = iter(range(after))

    def fail(*args: Any) -> Any:
        if next(calls, None) is None:
            raise error
        return os.pwrite(args[0], bytes(args[1])[:10], 0)

    return fail


FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize(
    ("call", "fail"),
    [
        ("write", failing(FULL)),
        ("write", failing(FULL, after=3)),
        ("fsync", failing(OSError(errno.EIO, "Input/output error"))),
        ("replace", failing(OSError(errno.EACCES, "Permission denied"))),
        ("open", failing(OSError(errno.EROFS, "Read-only file system"))),
        ("fchmod", failing(OSError(errno.EPERM, "Operation not permitted"))),
    ],
)
def test_what_fails_leaves_the_old_file_whole(
    old: Path, monkeypatch: pytest.MonkeyPatch, call: str, fail: Callable[..., Any]
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(os, call, fail)
        with pytest.raises(WriteError) as caught:
            save(old, NEW)
    [problem] = caught.value.problems
    assert problem.what.startswith("cannot save: ")
    assert problem.hint.startswith("Nothing was written; the file is as it was. ")
    assert ("Free some space" in problem.hint) == ("No space" in problem.what)
    assert caught.value.file == str(old)
    assert old.read_bytes() == OLD
    assert os.listdir(old.parent) == ["plant.yaml"]


def test_an_interruption_leaves_the_old_file_whole(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", failing(KeyboardInterrupt()))
        with pytest.raises(KeyboardInterrupt):
            save(old, NEW)
    assert old.read_bytes() == OLD
    assert os.listdir(old.parent) == ["plant.yaml"]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no full device")
def test_a_device_is_not_replaced() -> None:
    with pytest.raises(WriteError, match="this is a pipe, socket or device"):
        save("/dev/full", NEW)
    assert stat.S_ISCHR(os.stat("/dev/full").st_mode)


def test_a_folder_a_pipe_and_a_missing_folder_are_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for name, part in (("", "a folder"), ("pipe", "a pipe"), ("none/p.yaml", "no such folder")):
        with pytest.raises(WriteError, match=part):
            save(tmp_path / name, NEW)
    with pytest.raises(WriteError, match="cannot save"):
        save("a\0b", NEW)
    assert os.listdir(tmp_path) == ["pipe"]


def test_several_files_are_saved_together(tmp_path: Path) -> None:
    files = [(tmp_path / f"sheet-{n}.svg", b"%d" % n) for n in range(5)]
    save_all(files)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        path.name: data for path, data in files
    }


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_of_several_files_none_is_replaced_where_one_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    files = [(tmp_path / f"sheet-{n}.svg", NEW) for n in range(5)]
    for path, _ in files[:3]:
        path.write_bytes(OLD)
    whole, calls = getattr(os, call), iter(range(3))

    def full_after_three(*args: Any) -> Any:
        if next(calls, None) is None:
            raise FULL
        return whole(*args)

    with monkeypatch.context() as patched:
        patched.setattr(os, call, full_after_three)
        with pytest.raises(WriteError, match="No space left on device") as caught:
            save_all(files)
    assert caught.value.file == str(files[3][0])
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        path.name: OLD for path, _ in files[:3]
    }
