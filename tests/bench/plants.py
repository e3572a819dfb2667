"""Plants of any size as facility files, for benchmarks: stereo sources through half-normaled bays
to desks, processing chains, distribution amplifiers, tie lines and standing cords.

Invented, the same for the same size and seed.
"""

from __future__ import annotations

import random

BAY = 48
AREA = 96
"""Positions of one area: a desk, its sources, its chain and its listeners, on two bays."""


def plant_text(positions: int, seed: int = 1) -> str:
    """A facility file with this many positions, wired as rooms of two bays each."""
    areas = max(1, positions // AREA)
    random_numbers = random.Random(1000 * positions + seed)
    equipment: list[str] = []
    bays: list[str] = []
    lines: list[str] = []
    cords: list[str] = []
    for area in range(1, areas + 1):
        _area(area, areas, random_numbers, equipment, bays, lines, cords)
    head = ["slinediag: 1", f"facility: {{name: Plant of {positions} positions}}"]
    parts = ["equipment:", *equipment, "bays:", *bays, "lines:", *lines, "cords:", *cords]
    return "\n".join([*head, *parts]) + "\n"


def _area(area, areas, random_numbers, equipment, bays, lines, cords):
    sources, inputs = 18, 36
    players = [f"P{area}_{n}" for n in range(1, sources + 1)]
    equipment += [f"  {p}: {{name: Player {p}, outputs: [L, R]}}" for p in players]
    entries = ", ".join(f"I{n}" for n in range(1, inputs + 1))
    equipment += [
        f"  DESK{area}:",
        f"    name: Desk {area}",
        f"    inputs: [{entries}]",
        "    outputs: [L, R, S1, S2, A1, A2, C1, C2]",
        "    paths: all",
    ]
    for box, priority in ((f"LIM{area}", ""), (f"COMP{area}", "")):
        equipment.append(
            f"  {box}: {{name: Processor {box}, inputs: [L, R], outputs: [L, R], "
            f"paths: straight{priority}}}"
        )
    equipment += [
        f"  DA{area}: {{name: Amplifier {area}, inputs: [L, R], "
        "outputs: [L1, R1, L2, R2, L3, R3, L4, R4], "
        "paths: {L1: [L], L2: [L], L3: [L], L4: [L], R1: [R], R2: [R], R3: [R], R4: [R]}}",
        f"  LINK{area}: {{name: Link {area}, priority: 1, inputs: [L, R]}}",
    ]
    listeners = [f"MON{area}_{n}" for n in range(1, 9)]
    equipment += [f"  {m}: {{name: Listener {m}, inputs: [L, R]}}" for m in listeners]
    bays += [
        f"  A{area}:",
        f"    name: Sources {area}",
        f"    place: Rack {area}",
        "    points:",
        *_stereo_runs(
            [(f"{p}.L", f"{p}.R") for p in players],
            [(f"DESK{area}.I{2 * n + 1}", f"DESK{area}.I{2 * n + 2}") for n in range(sources)],
            random_numbers,
        ),
    ]
    feeds = [
        (f"DESK{area}", "L", "R"),
        (f"COMP{area}", "L", "R"),
        (f"LIM{area}", "L", "R"),
        *((f"DA{area}", f"L{n}", f"R{n}") for n in range(1, 5)),
        *((f"DESK{area}", a, b) for a, b in (("S1", "S2"), ("A1", "A2"), ("C1", "C2"))),
    ]
    ends = [f"COMP{area}", f"LIM{area}", f"DA{area}", f"LINK{area}", *listeners]
    bays += [
        f"  B{area}:",
        f"    name: Programme {area}",
        f"    place: Rack {area}",
        "    points:",
        *_stereo_runs(
            [(f"{box}.{left}", f"{box}.{right}") for box, left, right in feeds],
            [(f"{box}.L", f"{box}.R") for box in ends[: len(feeds)]],
            None,
        ),
        "      41-48: {normal: none}",
    ]
    onward = area % areas + 1
    if onward != area:
        lines += [
            f"  T{area}_{n}: {{from: B{area}.B4{n}, to: B{onward}.T4{n + 4}}}" for n in range(1, 5)
        ]
    cords.append(f"  - {{from: B{area}.T48, to: B{area}.B48, note: spare cord, since: 2026-01-05}}")


def _stereo_runs(tops, bottoms, random_numbers):
    """One run a stereo pair; now and then two pairs change places, as plants grow."""
    order = list(range(len(tops)))
    if random_numbers is not None and random_numbers.random() < 0.5:
        one, other = random_numbers.sample(order, 2)
        order[one], order[other] = order[other], order[one]
    for place, number in enumerate(order):
        (a, b), (c, d) = tops[number], bottoms[place]
        first = 2 * place + 1
        yield f"      {first}-{first + 1}: {{top: [{a}, {b}], bottom: [{c}, {d}]}}"
