"""A generated facility file: bays of 48 positions, wired to boxes of eight ports a side.

``python -m tests.file.large [BAYS]`` reads and writes one of so many bays (40 unless said), and
prints the time of each as a ratio to what the YAML library takes to compose its nodes alone.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import yaml

from slinediag.file.read import parse
from slinediag.file.write import new_file, render


def large_file(bays: int) -> bytes:
    """A file of ``bays`` × 48 positions; half of the positions stand in runs of four."""
    boxes = bays * 48 // 8
    lines = ["slinediag: 1", "facility: {name: Generated}", "equipment:"]
    for number in range(boxes):
        ports = ", ".join(f'"{n}"' for n in range(1, 9))
        lines.append(
            f"  BOX{number}: {{name: Box number {number}, label: B{number}, inputs: [{ports}], "
            f"outputs: [{ports}], paths: straight, priority: 3}}"
        )
    lines.append("bays:")
    for bay in range(bays):
        lines += [f"  PB{bay}:", f"    name: Bay {bay}", "    points:"]
        for first in range(1, 49, 8):
            box = bay * 6 + first // 8
            lines += positions(first, box, (box * 7 + 1) % boxes)
    return ("\n".join(lines) + "\n").encode()


def positions(first: int, source: int, target: int) -> list[str]:
    """Eight positions: four as single ones, one run of four."""
    lines = [
        f"      {first + n}: {{top: BOX{source}.{n + 1}, bottom: BOX{target}.{n + 1}, group: G{n}}}"
        for n in range(4)
    ]
    tops = ", ".join(f"BOX{source}.{n}" for n in range(5, 9))
    bottoms = ", ".join(f"BOX{target}.{n}" for n in range(5, 9))
    return [*lines, f"      {first + 4}-{first + 7}: {{top: [{tops}], bottom: [{bottoms}]}}"]


def seconds(run: Callable[[], object]) -> float:
    """Processor time of the fastest of three runs."""
    times = []
    for _ in range(3):
        start = time.process_time()
        run()
        times.append(time.process_time() - start)
    return min(times)


def measure(bays: int) -> None:
    """Print what reading and writing take, against the YAML library's own composing."""
    data = large_file(bays)
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    peer = seconds(lambda: yaml.compose(data, Loader=loader))
    document = parse(data, "large.yaml")
    practice = replace(document.facility.practice, owner="changed")
    changed = replace(document.facility, practice=practice)
    print(f"{bays * 48} positions, {len(data)} bytes; composing alone {peer:.3f} s")
    for name, run in (
        ("read", lambda: parse(data, "large.yaml")),
        ("one change written", lambda: render(document, changed)),
        ("written anew", lambda: new_file(document.facility)),
    ):
        took = seconds(run)
        print(f"{name}: {took:.3f} s, {took / peer:.2f} of composing alone")


if __name__ == "__main__":
    measure(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
