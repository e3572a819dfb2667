"""One sheet drawn again after random edits, kept where it was and arranged afresh: crossings.

    python -m tests.bench.bench_staying FILE|POSITIONS share   # edits of growing size, made at once
    python -m tests.bench.bench_staying FILE|POSITIONS drift   # one edit after another, kept each time

An edit empties a position, moves it to a free one or exchanges what two are wired to below.
"""

from __future__ import annotations

import random
import sys
from statistics import mean

from slinediag.chart.asked import things_of
from slinediag.chart.chart import draw
from slinediag.file.read import load, parse
from slinediag.model.facility import Facility
from tests.bench.bench_keeping import edited
from tests.bench.plants import plant_text
from tests.chart.plants import stood
from tests.chart.set_rules import crossings

STEPS = (1, 2, 4, 8, 12, 16, 24, 32, 48)
"""Of how many edits at once crossings are counted."""
KINDS = ("emptied", "exchanged", "exchanged")
LOTS = 6
DRIFT = 30


def main(what: str, way: str, lots: int = LOTS) -> None:
    """Print a line for each size or state."""
    if what.isdecimal():
        facility = parse(plant_text(int(what)).encode(), "plant.yaml").facility
    else:
        facility = load(what).facility
    (share if way == "share" else drift)(facility, lots)


def share(facility: Facility, lots: int) -> None:
    """How crossings kept and afresh compare, by how much is still the same."""
    first = stood(draw(facility, sheet="one", fold=False))
    for count in STEPS:
        same, kept, afresh = [], [], []
        for seed in range(lots):
            now, lot = facility, random.Random(f"{count} {seed}")
            for _ in range(count):
                _, now = edited(now, lot, KINDS)
            same.append(things_of(now, None).same(things_of(facility, None)))
            kept.append(crossings(draw(now, sheet="one", fold=False, keep=first)[0]))
            afresh.append(crossings(draw(now, sheet="one", fold=False)[0]))
        line = f"{count:3} edits: same {mean(same):4.0%}, kept {mean(kept):6.1f}"
        ratio = sum(kept) / max(1, sum(afresh))
        print(f"{line}, afresh {mean(afresh):6.1f}, ratio {ratio:.2f}", flush=True)


def drift(facility: Facility, lots: int) -> None:
    """How crossings kept and afresh compare after one edit after another."""
    for seed in range(lots):
        now, lot = facility, random.Random(f"drift {seed}")
        before = draw(now, sheet="one", fold=False)
        line = [f"{crossings(before[0])}"]
        for number in range(1, DRIFT + 1):
            _, now = edited(now, lot, KINDS)
            before = draw(now, sheet="one", fold=False, keep=stood(before))
            if number % 10 == 0:
                afresh = crossings(draw(now, sheet="one", fold=False)[0])
                line.append(f"{number}: kept {crossings(before[0])}, afresh {afresh}")
        print("; ".join(line), flush=True)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], *map(int, sys.argv[3:]))
