"""Points of a bay in runs: which positions a new file folds, and what a run says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from slinediag.file.panels import POINT_KEYS
from slinediag.file.plain import Plain, Table, Word

WIRES = ("top", "bottom")
LABELS = ("label_top", "label_bottom")
EMPTY = Table()


def span_key(first: int, last: int) -> str:
    """The key of one position, or of a run."""
    return str(first) if first == last else f"{first}-{last}"


def run_table(points: Sequence[Table]) -> Table:
    """What the key of consecutive positions holds: one value for all, or a list with ~ for none."""
    if len(points) == 1:
        return points[0]
    rows: dict[str, Plain] = {}
    for key in POINT_KEYS:
        values = tuple(point.rows.get(key) for point in points)
        if any(value is not None for value in values):
            alike = key not in WIRES and all(value == values[0] for value in values)
            rows[key] = values[0] if alike else values
    return Table(rows)


def folded(
    points: Mapping[int, Table], fits: Callable[[str, Table], bool]
) -> list[tuple[str, Table]]:
    """Positions as runs, in numeric order: as long as they are alike and the run's line fits."""
    return [(span_key(a, b), run_table(tables)) for a, b, tables in fold(points, fits)]


def fold(
    points: Mapping[int, Table], fits: Callable[[str, Table], bool]
) -> Iterable[tuple[int, int, list[Table]]]:
    """First position, last position and points of each run."""
    run: list[Table] = []
    first = 0
    for position in sorted(points):
        point = points[position]
        follows = run and position == first + len(run) and alike(run[-1], point)
        if follows and fits(span_key(first, position), run_table([*run, point])):
            run.append(point)
            continue
        if run:
            yield first, first + len(run) - 1, run
        first, run = position, [point]
    if run:
        yield first, first + len(run) - 1, run


def alike(left: Table, right: Table) -> bool:
    """Whether two neighbours read well as one run: same keys, same boxes, same remarks."""
    if left.rows.keys() != right.rows.keys():
        return False
    return all(
        owner(left.rows[key]) == owner(right.rows[key])
        if key in WIRES
        else key in LABELS or left.rows[key] == right.rows[key]
        for key in left.rows
    )


def owner(wire: Plain) -> str:
    """The equipment that a wire goes to."""
    to = wire.rows.get("to") if isinstance(wire, Table) else None
    return to.text.partition(".")[0] if isinstance(to, Word) else ""
