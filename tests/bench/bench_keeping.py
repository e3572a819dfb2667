"""Sets drawn again after small changes, afresh and with the earlier one kept: which jacks are still
on the sheet of their number, and processor time.

    python -m tests.bench.bench_keeping FILE [CHANGES]

A change empties a position, moves it to a free one or exchanges what two are wired to below.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace

from slinediag.file.read import load
from slinediag.model.facility import Facility
from tests.chart.plants import drawn_set, stood
from tests.chart.set_rules import check_set, jack_zones


def edited(
    facility: Facility, lot: random.Random, kinds: Sequence[str] = ("emptied", "exchanged")
) -> tuple[str, Facility]:
    """What one edit drawn by lot does, and the facility with it; ``moved`` where there is room."""
    bay = lot.choice([bay for bay in facility.bays.values() if len(bay.points) > 1])
    points = dict(bay.points)
    one, other = lot.sample(sorted(points), 2)
    free = [n for n in range(1, bay.width + 1) if n not in points]
    kind = lot.choice([*kinds, *(["moved"] if free else [])])
    if kind == "emptied":
        del points[one]
    elif kind == "moved":
        points[lot.choice(free)] = points.pop(one)
    else:
        a, b = points[one], points[other]
        points[one] = replace(a, bottom=b.bottom)
        points[other] = replace(b, bottom=a.bottom)
    bays = {**facility.bays, bay.id: replace(bay, points=points)}
    return f"{bay.id} {one} {kind}", replace(facility, bays=bays)


def changed(facility: Facility, count: int) -> Iterator[tuple[str, Facility]]:
    """So many small changes, the same each time, each of the facility as it is."""
    lot = random.Random(1)
    for _ in range(count):
        yield edited(facility, lot)


def main(file: str, count: int = 10) -> None:
    """Print a line a change, then the shares of all."""
    facility = load(file).facility
    before = drawn_set(facility, "A3")
    old, keep = jack_zones(before), stood(before)
    same, told = [0, 0], [0, 0]
    for words, now in changed(facility, count):
        line = f"{words:22}"
        for way, kept in enumerate((None, keep)):
            started = time.process_time()
            drawings = drawn_set(now, "A3", keep=kept)
            seconds = time.process_time() - started
            check_set(now, drawings)
            new = jack_zones(drawings)
            both = old.keys() & new.keys()
            stayed = sum(old[jack][0] == new[jack][0] for jack in both)
            same[way] += stayed
            told[way] += len(both)
            line += f"  {'kept' if kept else 'afresh'} {stayed / len(both):6.1%} {seconds:5.1f} s"
        print(line, flush=True)
    print(f"of all: afresh {same[0] / told[0]:.1%}, kept {same[1] / told[1]:.1%}")


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
