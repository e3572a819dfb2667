"""The real window on a real X server, worked from outside by keys and mouse as a person does."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from slinediag.file.read import load

ROOT = Path(__file__).resolve().parents[2]
NEEDED = ("Xvfb", "xdotool")
PATIENCE = 90
"""Seconds after which the window is taken never to come: a busy machine is slow, not broken."""

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux") or not all(map(shutil.which, NEEDED)),
    reason="Xvfb and xdotool are not installed",
)


@pytest.fixture
def display(tmp_path):
    """The name of an X server of the test's own."""
    read, write = os.pipe()
    log = (tmp_path / "xvfb.log").open("w")
    # Reset with its last client, as a server does unasked, it throws out whoever is just coming.
    options = ["-noreset", "-nolisten", "tcp", "-screen", "0", "1280x720x24"]
    command = ["Xvfb", "-displayfd", str(write), *options]
    server = subprocess.Popen(command, pass_fds=(write,), stdout=log, stderr=log)
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    if not number:
        server.wait()
        pytest.skip(f"Xvfb does not start: {(tmp_path / 'xvfb.log').read_text()[:200]}")
    yield f":{number}"
    server.terminate()
    server.wait()
    log.close()


class Person:
    """Hands at the keyboard and mouse of a display."""

    def __init__(self, display):
        self.environment = os.environ | {"DISPLAY": display}

    def do(self, *words):
        done = subprocess.run(
            ["xdotool", *map(str, words)],
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=PATIENCE,
        )
        return done.stdout.strip()

    def window(self, title):
        """The window of this title, in front and with the keyboard, once it is there."""
        found = wait_for(lambda: self.do("search", "--onlyvisible", "--name", title))
        window = found.splitlines()[-1]
        # There is no window manager to give it the keyboard.
        self.do("windowfocus", "--sync", window)
        return window

    def type(self, words):
        self.do("type", "--delay", "15", words)

    def press(self, *keys):
        for key in keys:
            self.do("key", "--delay", "30", key)


def wait_for(asked):
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        found = asked()
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError("nothing came of it")


@pytest.fixture
def editor(display, plant_file, tmp_path):
    """The editor on the plant, as the command starts it."""
    environment = {k: v for k, v in os.environ.items() if k != "QT_QPA_PLATFORM"}
    environment |= {
        "DISPLAY": display,
        "QT_QPA_PLATFORM": "xcb",
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "XDG_DATA_HOME": str(tmp_path / "data"),
        "PYTHONPATH": str(ROOT),
    }
    log = (tmp_path / "editor.log").open("w")
    command = [sys.executable, "-m", "slinediag", str(plant_file)]
    running = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
    yield running
    if running.poll() is None:
        running.kill()
        running.wait()
    log.close()


def test_a_cord_is_tried_left_in_and_saved_in_the_real_window(
    editor, display, plant_file, tmp_path
):
    person = Person(display)
    log = tmp_path / "editor.log"
    try:
        main = person.window("plant.yaml")
    except AssertionError:
        raise AssertionError(f"no window: {log.read_text()[-2000:]}") from None
    person.press("Escape")
    # Typed, put in, left in with a note: the dialog is a window of its own.
    person.press("ctrl+k")
    person.type("PB1.T3 PB2.B1")
    person.press("Return")
    person.press("ctrl+l")
    person.window("Leave it in")
    person.type("tried by hand")
    person.press("Return")
    wait_for(lambda: not person.do("search", "--onlyvisible", "--name", "Leave it in"))
    person.do("windowfocus", "--sync", main)
    person.press("ctrl+s")
    wait_for(lambda: len(load(plant_file).facility.cords) == 2)
    cord = load(plant_file).facility.cords[-1]
    assert (str(cord), cord.note) == ("PB1.T3=PB2.B1", "tried by hand")
    # The mouse: the wheel over the drawing, the toolbar's Bays, and back by key.
    person.do("mousemove", "--window", main, 400, 400)
    person.do("click", 4)
    person.press("F3", "F2")
    person.press("ctrl+q")
    editor.wait(timeout=PATIENCE)
    assert (editor.returncode, log.read_text(encoding="utf-8")) == (0, "")
