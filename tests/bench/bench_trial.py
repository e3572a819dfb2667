"""How fast a trial is answered, against the same semantics rebuilt with networkx in the same run.

Run it with ``python -m tests.bench.bench_trial``.
"""

from __future__ import annotations

import itertools
import statistics
import time

import slinediag
from slinediag.file.read import parse
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests import oracle
from tests.bench.plants import plant_text
from tests.builders import jack

TRIALS = [("A1.T3", "B1.B5"), ("B1.T1", "A1.B7"), ("B3.T7", "B3.B9"), ("A9.T1", "B9.T41")]


def seconds(work, times=1):
    """The median of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def one_trial(positions=1920):
    """A trial on a large plant: ours once loaded, and networkx from the contacts up."""
    text = plant_text(positions).encode()
    loading = seconds(lambda: parse(text, "plant.yaml"), 3)
    facility = parse(text, "plant.yaml").facility
    first = seconds(lambda: slinediag.ask(facility, cords=[TRIALS[0]]))
    ratios = []
    for one, other in TRIALS:
        trial = Trial(cords=((jack(one), jack(other)),))
        ours = seconds(lambda trial=trial: ask(facility, trial), 25)
        rebuilt = seconds(lambda trial=trial: oracle.changes(facility, trial))
        ratios.append(rebuilt / ours)
        print(f"  {one}={other}: {ours * 1e3:.3f} ms, rebuilt {rebuilt * 1e3:.0f} ms")
    print(f"{positions} positions: loading {loading:.2f} s, first question {first:.2f} s")
    print(f"a trial is {min(ratios):.0f} to {max(ratios):.0f} times faster than rebuilding")


def every_cord():
    """All cords of a pair of bays of 48 positions: 192 jacks, 18,336 cords."""
    facility = parse(plant_text(96).encode(), "plant.yaml").facility
    held = {end for cord in facility.cords for end in (cord.source, cord.target)}
    pulled = tuple((cord.source, cord.target) for cord in facility.cords)
    start = time.perf_counter()
    count = 0
    for cord in itertools.combinations(facility.jacks, 2):
        ask(facility, Trial(cords=(cord,), pulled_cords=pulled))
        count += 1
    print(f"{count} cords, {len(held)} plugs pulled first: {time.perf_counter() - start:.1f} s")


if __name__ == "__main__":
    one_trial()
    every_cord()
