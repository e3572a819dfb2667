"""Plants of growing size over sheets of A3: how many, what is interrupted, what crosses on each, in
processor time.

    python -m tests.bench.bench_sheets [POSITIONS ...]

Every set is held to the rules of tests/chart/set_rules.py before it is counted.
"""

from __future__ import annotations

import itertools
import sys
import time
from fractions import Fraction
from statistics import median

from slinediag.chart.planning import plan_chart
from slinediag.chart.request import Request
from slinediag.chart.said import Said
from slinediag.chart.sheet import sheet_named
from slinediag.chart.sheetset import draw_set
from slinediag.file.read import parse
from tests.bench.plants import plant_text
from tests.chart import rules
from tests.chart.set_rules import check_set, crossings

SIZES = (96, 480, 960)


def main(sizes: tuple[int, ...]) -> None:
    """Print a line a size, unfolded and folded."""
    print("positions  folded  drawn sheets  references  crossings a sheet: median, most  seconds")
    for size, fold in itertools.product(sizes, (False, True)):
        facility = parse(plant_text(size).encode(), "plant.yaml").facility
        started = time.process_time()
        plan = plan_chart(facility, None, fold=fold)
        a3 = sheet_named("A3")
        drawings = draw_set(Request(facility, None, plan, a3, "quick", Said(), Fraction(1)))
        seconds = time.process_time() - started
        check_set(facility, drawings)
        drawn = [d for d in drawings if list(rules.groups(d.marks, "chart"))]
        references = sum(1 for d in drawn for _ in rules.groups(d.marks, "reference"))
        crossed = [crossings(d) for d in drawn]
        print(
            f"{size:9}  {'yes' if fold else 'no':>6}  {len(drawn):12}  {references:10}  "
            f"{median(crossed):25g}, {max(crossed):4}  {seconds:7.1f}"
        )


if __name__ == "__main__":
    main(tuple(map(int, sys.argv[1:])) or SIZES)
