"""How fast an outage is answered, against trying cords one by one in the same run.

Run it with ``python -m tests.bench.bench_outage``.
"""

from __future__ import annotations

import itertools
import statistics
import time
from pathlib import Path

from slinediag.file.read import load, parse
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.survey import survey
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.bench.plants import plant_text

SAMPLE = Path(__file__).parents[2] / "samples" / "quillmoor.yaml"
BOXES = ("DA1", "LIM1", "COMP1", "DESK1", "P1_3")


def seconds(work):
    """What a piece of work gives, and the seconds of processor time it takes."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def one_box(positions=960):
    """Single boxes of a large plant, two moves, beside as many single cords tried by ``ask``."""
    facility = parse(plant_text(positions).encode(), "plant.yaml").facility
    one_by_one = cost_of_a_trial(facility)
    free = len(facility.jacks) - 2 * len(facility.cords)
    every = free * (free - 1) // 2 * one_by_one
    print(f"{positions} positions, {free} free jacks; every single cord by trials: {every:.0f} s")
    for box in BOXES:
        found, taken = seconds(lambda box=box: outage(facility, Failure(boxes=(box,))))
        patched = sum(bool(silenced.patches) for silenced in found.silenced)
        print(
            f"  {box}: {len(found.silenced)} silent, {patched} with a patch, two moves: {taken:.2f} s,"
            f" {every / taken:.0f} times faster than all single cords alone"
        )


def cost_of_a_trial(facility, trials=300):
    """The median seconds of a trial of one cord."""
    held = {jack for cord in facility.cords for jack in (cord.source, cord.target)}
    free = [jack for jack in facility.jacks if jack not in held]
    pairs = itertools.islice(itertools.combinations(free, 2), 0, None, 997)
    taken = [
        seconds(lambda pair=pair: ask(facility, Trial(cords=(pair,), failed=("DA1",))))[1]
        for pair in itertools.islice(pairs, trials)
    ]
    return statistics.median(taken)


def every_box():
    """Every box of the sample in turn: patches alone; then with steps and all that stands together."""
    facility = load(SAMPLE).facility
    boxes = [Failure(boxes=(box.id,)) for box in facility.equipment.values() if not box.removed]
    found, taken = seconds(lambda: survey(facility, failures=boxes))
    print(f"the {len(found.rows)} boxes of {SAMPLE.name}, best patches alone: {taken:.1f} s")
    start = time.process_time()
    for box in facility.equipment:
        outage(facility, Failure(boxes=(box,)))
    print(
        f"all {len(facility.equipment)} boxes of {SAMPLE.name}: {time.process_time() - start:.1f} s"
    )
    found, taken = seconds(lambda: survey(facility))
    print(
        f"its survey, {len(found.rows)} failures, {len(found.weak_points)} weak points: {taken:.1f} s"
    )


if __name__ == "__main__":
    one_box()
    every_box()
