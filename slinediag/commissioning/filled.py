"""A filled table, as rows of text, read against the plan: every reading that was taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from slinediag.address import suggestion
from slinediag.commissioning.plan import CommissioningPlan, PlanRow
from slinediag.commissioning.values import Taken, read_value
from slinediag.problems import Problem, RequestError, problem

Rows = Sequence[Sequence[str]]
WANTED = ("point", "code", "value")
HEADER_WITHIN = 30
"""Rows from the top among which the headings are sought."""
HOW_TO_WRITE = "Write a figure in {unit}, OPEN, OK, or COMES AND GOES"
OTHER_SHEET = "Print the sheet anew from this file, or name the file it was printed from"
SHOWN = 3
"""Points that a message names of each of two facilities."""

Codes = Mapping[str, Taken]


@dataclass(frozen=True)
class Filled:
    """The readings by point and code, who took them and when, and what could not be read."""

    taken: Mapping[str, Codes]
    by: tuple[str, ...] = ()
    dates: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    twice: int = field(default=0)


def read_filled(plan: CommissioningPlan, sheets: Iterable[Rows], name: str) -> Filled:
    """The readings of the sheets of a table called ``name``.

    RequestError where no sheet has the headings Point, Code and Value, or where the plan has not
    one of the readings. A reading that is there twice and differs comes and goes.
    """
    reader = _Reader({(row.point, row.code): row for row in plan.rows})
    found = False
    for rows in sheets:
        columns, first = find_headings(rows)
        if columns:
            found = True
            reader.read(rows[first:], columns, first)
    if not found:
        hint = "Fill in the table that slinediag paper --kind tests writes"
        raise RequestError([problem(name, "no sheet has columns Point, Code and Value", hint)])
    reader.refuse_another_facility(name)
    return reader.filled()


def find_headings(rows: Rows) -> tuple[Mapping[str, int], int]:
    """The columns by heading and the row behind the headings; no columns where there are none."""
    for n, row in enumerate(rows[:HEADER_WITHIN]):
        names = {cell.strip().casefold(): at for at, cell in reversed(list(enumerate(row)))}
        if all(name in names for name in WANTED):
            return names, n + 1
    return {}, 0


def _probes(row: PlanRow) -> tuple[str, str]:
    return row.one, row.other


def _differ(cell: str, planned: str) -> bool:
    """Whether a cell that says anything says something else than the plan."""
    return bool(cell) and cell.split() != planned.split()


def owner_of(point: str) -> str:
    """The bay or box of a point of the plan: ``PB1`` of ``PB1.3``."""
    return point.partition(".")[0]


def _some(points: Sequence[str]) -> str:
    more = len(points) - SHOWN
    return ", ".join(points[:SHOWN]) + (f" and {more} more" if more > 0 else "")


class _Reader:
    """Collects readings row by row."""

    def __init__(self, planned: Mapping[tuple[str, str], PlanRow]) -> None:
        self._planned = planned
        self._points = list(dict.fromkeys(point for point, _ in planned))
        self._owners = {owner_of(point) for point in self._points}
        self._strange: dict[str, None] = {}
        self._known = 0
        self._taken: dict[str, dict[str, Taken]] = {}
        self._problems: list[Problem] = []
        self._by: dict[str, None] = {}
        self._dates: dict[str, None] = {}
        self._twice = 0

    def filled(self) -> Filled:
        """All that was read."""
        return Filled(
            self._taken, tuple(self._by), tuple(self._dates), tuple(self._problems), self._twice
        )

    def refuse_another_facility(self, name: str) -> None:
        """RequestError where there were readings and the plan has none of them."""
        if self._known or not self._strange:
            return
        what = "none of its readings is of this facility"
        theirs, ours = _some(list(self._strange)), _some(self._points)
        hint = f"It has {theirs}, the plan {ours}. Name the file that it was printed from"
        raise RequestError([problem(name, what, hint)])

    def read(self, rows: Rows, columns: Mapping[str, int], first: int) -> None:
        """The readings of the rows below the headings; ``first`` rows stand above them."""

        def cell(row: Sequence[str], name: str) -> str:
            at = columns.get(name)
            return row[at].strip() if at is not None and at < len(row) else ""

        for n, row in enumerate(rows, first + 1):
            point, code, value = (cell(row, name) for name in WANTED)
            if not point and not code:
                if value:
                    self._wrong(n, value, "this value stands in a row with no point and code")
                continue
            probes = cell(row, "from"), cell(row, "to")
            self._read_row(n, (point, code), value, probes, cell(row, "expected"))
            if value:
                self._by.update(dict.fromkeys(filter(None, [cell(row, "by")])))
                self._dates.update(dict.fromkeys(filter(None, [cell(row, "date")])))

    def _read_row(
        self, line: int, place: tuple[str, str], value: str, probes: tuple[str, str], should: str
    ) -> None:
        """One reading; OK means as the sheet has it, which may be of another revision."""
        point, code = place
        where = " ".join(place)
        planned = self._planned.get(place)
        if planned is None:
            self._strange[point] = None
            self._wrong(line, where, "the plan has no such reading", self._where_from(point))
            return
        self._known += 1
        if any(_differ(cell, plan) for cell, plan in zip(probes, _probes(planned), strict=True)):
            self._wrong(line, where, "the sheet measures between other contacts", OTHER_SHEET)
            return
        row = planned
        if should and planned.joined is not None:
            row = replace(planned, joined=should.casefold() != "open")
        taken = read_value(value, row)
        if taken is None:
            hint = HOW_TO_WRITE.format(unit=planned.unit)
            self._wrong(line, where, f"cannot read the value {value[:40]}", hint)
            return
        codes = self._taken.setdefault(point, {})
        before = codes.get(code)
        codes[code] = taken if before is None else self._both(before, taken)

    def _where_from(self, point: str) -> str:
        """The point that may be meant, of the same bay or box; else where the sheet may be from."""
        owner = owner_of(point)
        if point in self._points or owner not in self._owners:
            return OTHER_SHEET
        siblings = [each for each in self._points if owner_of(each) == owner]
        return suggestion(point, siblings, OTHER_SHEET)

    def _both(self, one: Taken, other: Taken) -> Taken:
        """A reading that was taken twice."""
        if one.missing or other.missing:
            return other if one.missing else one
        self._twice += 1
        if one.may_be == other.may_be and not (one.unsteady or other.unsteady):
            return other
        written = f"{one.written}, then {other.written}"
        return Taken(written, one.may_be | other.may_be, other.figure, unsteady=True)

    def _wrong(self, line: int, where: str, what: str, hint: str = "") -> None:
        self._problems.append(Problem(line, 1, where, what, hint))
