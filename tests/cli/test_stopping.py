"""Ctrl-C while a command loads, works or says goodbye: one sentence, and status 130."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

STOPPED = "slinediag: stopped; nothing half written is left behind\n"
PLANT = "slinediag: 1\nfacility: {name: Small}\nbays: {P: {name: Bay, positions: 2}}\n"


@pytest.fixture(autouse=True)
def pressed_keys_are_heard():
    """Ctrl-C as in a terminal, also where the tests run in the background, which ignores it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


STOP_AT_IMPORT = """
import signal, sys

class Presses:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            signal.raise_signal(signal.SIGINT)

sys.meta_path.insert(0, Presses())
from slinediag.__main__ import {entry}
sys.argv = ["slinediag", "ask", "samples/larkfen.yaml", "--all"]
{entry}()
"""


def run(code: str, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=cwd,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )  # fmt: skip


@pytest.mark.parametrize(
    "module",
    [
        "slinediag.cli.main",
        "slinediag.problems",
        "argparse",
        "slinediag.cli.ask",
        "slinediag.tracing.trial",
    ],
)
def test_stopped_while_it_loads(module: str) -> None:
    done = run(STOP_AT_IMPORT.format(entry="run", module=module))
    assert (done.returncode, done.stdout, done.stderr) == (130, "", STOPPED)


@pytest.mark.skipif(os.name != "posix", reason="no signals that end a process")
@pytest.mark.parametrize("module", ["slinediag.editor.desktop", "shiboken6", "PySide6.QtWidgets"])
def test_the_editor_is_stopped_at_once_while_it_loads(module: str) -> None:
    done = run(STOP_AT_IMPORT.format(entry="run_editor", module=module))
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, "", "")


def test_the_installed_commands_begin_where_stopping_is_caught() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["scripts"] == {"slinediag": "slinediag.__main__:run"}
    assert project["gui-scripts"] == {"slinediag-editor": "slinediag.__main__:run_editor"}


def test_next_to_nothing_loads_before_that() -> None:
    code = (
        "import sys; before = set(sys.modules); import slinediag.__main__; "
        "print(sorted(set(sys.modules) - before - {'__future__'}))"
    )
    assert run(code).stdout.strip() == "['slinediag', 'slinediag.__main__']"


def test_pressed_again_at_the_farewell() -> None:
    code = (
        "import signal, sys, slinediag.__main__ as begun\n"
        "class Twice:\n"
        "    def write(self, text):\n"
        "        signal.raise_signal(signal.SIGINT)\n"
        "        sys.__stderr__.write(text)\n"
        "    def flush(self): sys.__stderr__.flush()\n"
        "    def isatty(self): return False\n"
        "sys.stderr = Twice()\n"
        "sys.modules['slinediag.cli.main'] = type('', (), {'run': lambda: signal.raise_signal(2)})\n"
        "begun.run()\n"
    )
    done = run(code)
    assert (done.returncode, done.stderr) == (130, STOPPED)


@pytest.mark.skipif(os.name != "posix", reason="no shell that closes streams")
@pytest.mark.parametrize("closed", ["2>&-", "2>/dev/full"])
def test_stopped_where_nobody_can_hear_it(closed: str, tmp_path: Path) -> None:
    code = tmp_path / "stopped.py"
    code.write_text(STOP_AT_IMPORT.format(entry="run", module="argparse"), encoding="utf-8")
    command = f'"{sys.executable}" "{code}" {closed}'
    done = subprocess.run(command, shell=True, capture_output=True, check=False, cwd=ROOT)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


def test_stopped_while_it_works() -> None:
    code = (
        "import signal, sys, slinediag.__main__ as begun, slinediag.cli.ask as command\n"
        "command.ask = lambda *a, **k: signal.raise_signal(signal.SIGINT)\n"
        "sys.argv = ['slinediag', 'ask', 'samples/larkfen.yaml', '--all']\n"
        "begun.run()\n"
    )
    done = run(code)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", STOPPED)


STOP_IN_QT = """
import signal, sys

class Presses:
    def find_spec(self, name, path=None, target=None):
        if name == {at!r}:
            signal.raise_signal(signal.SIGINT)

def painted(*_):
    signal.raise_signal(signal.SIGINT)

sys.meta_path.insert(0, Presses())
if {at!r} == "a mark":
    import slinediag.paint.qt, slinediag.paint.pdf
    slinediag.paint.qt._paint = painted
sys.argv = ["slinediag", *{arguments!r}]
import slinediag.__main__
slinediag.__main__.run()
"""


@pytest.mark.parametrize("at", ["shiboken6", "PySide6.QtGui", "a mark"])
@pytest.mark.parametrize(
    "command", ["draw FILE -o c.png", "draw FILE -o c.pdf", "paper FILE --kind order"]
)
def test_qt_is_not_broken_into(tmp_path: Path, at: str, command: str) -> None:
    """It would abort as it loads, or be destroyed under a painter: the command ends at once."""
    (tmp_path / "plant.yaml").write_text(PLANT, encoding="utf-8")
    arguments = command.replace("FILE", "plant.yaml").split()
    code = STOP_IN_QT.format(at=at, arguments=arguments)
    done = run(code, cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", STOPPED)
    assert [path.name for path in tmp_path.iterdir()] == ["plant.yaml"]


def test_a_program_that_draws_is_never_ended() -> None:
    """Only the command may be: elsewhere Ctrl-C stays the exception that it is."""
    code = (
        "import signal\n"
        "from slinediag.stopping import delicate\n"
        "try:\n"
        "    with delicate():\n"
        "        signal.raise_signal(signal.SIGINT)\n"
        "except KeyboardInterrupt:\n"
        "    print('caught')\n"
    )
    assert run(code).stdout == "caught\n"
