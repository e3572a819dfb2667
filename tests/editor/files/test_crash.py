"""Fifty processes are killed at random moments, and nothing that was kept is lost."""

from __future__ import annotations

import itertools
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from slinediag.editor.files.recovery import find, weigh
from slinediag.file.read import load
from tests.editor.files.crashing import numbers
from tests.editor.files.working import Twin, act
from tests.editor.plant import PLANT

ROOT = Path(__file__).resolve().parents[3]
KILLS = 50
LONGEST = 0.05
"""Seconds of work after the first act, at most."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked and killed")
def test_killed_at_random_moments_nothing_kept_is_lost(tmp_path, state):
    dice = random.Random(20260301)
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.editor.files.crashing"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=os.environ | {"XDG_STATE_HOME": str(state.parent)},
    )
    kept = []
    with program:
        for seed in range(KILLS):
            folder = tmp_path / str(seed)
            folder.mkdir()
            file = folder / "plant.yaml"
            file.write_text(PLANT, encoding="utf-8")
            program.stdin.write(f"{file}\t{seed}\t{dice.random() * LONGEST}\n")
            program.stdin.flush()
            told = program.stdout.readline()
            assert told, "the program that is killed could not be run"
            kept.append(int(told))
            assert_nothing_lost(str(file), seed, kept[-1])
            assert {path.suffix for path in folder.iterdir()} <= {".yaml", ".unsaved", ".tmp"}
        program.stdin.close()
    assert min(kept) >= 1


def assert_nothing_lost(file, seed, count):
    """What is recovered is the work after as many acts as were kept, or after one more."""
    document = load(file)
    found, unread = find(file)
    recovered = weigh(found[0], document).work if found else document.facility
    assert len(found) <= 1
    # A journal of which not even the first line was whole held no act that was told as kept.
    twin, acts = Twin(load_plant(file)), numbers(seed)
    for number in itertools.islice(acts, count):
        act(twin, number)
    wanted = [twin.facility]
    act(twin, next(acts))
    wanted.append(twin.facility)
    assert recovered in wanted, f"seed {seed}, {count} acts kept, {unread}"


def load_plant(file):
    """The plant as it was filed at first."""
    first = Path(file).with_name("first.yaml")
    first.write_text(PLANT, encoding="utf-8")
    return load(first).facility
