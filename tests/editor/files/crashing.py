"""Works on a file until it is killed; run by test_crash.

Reads lines ``PATH SEED SECONDS``, and for each has a process of its own do the acts of that seed,
one after another, until it is killed after this time. Answers with how many acts had been kept.
"""

from __future__ import annotations

import itertools
import os
import random
import signal
import sys
import time

from slinediag.editor.files.unsaved import UnsavedWork
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load
from tests.editor.files.working import Hands, act


def numbers(seed):
    """The acts of a seed, without end."""
    dice = random.Random(seed)
    return (dice.randrange(10**6) for _ in itertools.count())


def work(path, seed, tell):
    workplace = Workplace(load(path))
    kept = UnsavedWork(workplace)
    hands = Hands(workplace)
    for number in numbers(seed):
        act(hands, number)
        assert kept.settle(60)
        os.write(tell, b".")


def killed(path, seed, seconds):
    """How many acts had been kept when the process was killed."""
    hear, tell = os.pipe()
    child = os.fork()
    if not child:
        os.close(hear)
        try:
            work(path, seed, tell)
        finally:
            os._exit(3)
    os.close(tell)
    with os.fdopen(hear, "rb") as told:
        count = len(told.read(1))
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status), "the work ended by itself"
        return count + len(told.read())


if __name__ == "__main__":
    for line in sys.stdin:
        name, begun, pause = line.rstrip("\n").split("\t")
        print(killed(name, int(begun), float(pause)), flush=True)
