"""A generated facility file: bays of 48 positions, wired to boxes of eight ports a side."""

from __future__ import annotations


def large_file(bays: int) -> bytes:
    """A file of ``bays`` × 48 positions; one wire in three stands in a run."""
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
