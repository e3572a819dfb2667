"""What of an earlier drawing can be kept on another; what cannot be is said or refused."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from slinediag.chart.compose import FILLING
from slinediag.chart.division import Bench
from slinediag.chart.earlier import Earlier, NothingKept, Say
from slinediag.chart.planning import Plan
from slinediag.chart.staying import things_in
from slinediag.problems import RequestError, problem

LEAST_SHARED = 0.1
"""Of all that is drawn, how much an earlier drawing must show: any two plants share a few names."""


def refuse_other_part(keep: Earlier, part: bool) -> None:
    """RequestError where one drawing is of a part of the chart and the other of the whole."""
    if keep.part != part:
        kinds = ("the whole chart", "a part of the chart")
        what = f"the earlier drawing shows {kinds[keep.part]}, this one {kinds[part]}"
        hint = "Keep a drawing of the same part, or keep none"
        raise RequestError([problem("keep", what, hint)])


def kept_of(keep: Earlier, plan: Plan, single: bool, say: Say) -> Earlier | None:
    """The earlier drawing; None, which is said, where nothing of it can be kept.

    ``single``: whether one sheet is asked for whatever its size.
    """
    bench = Bench(plan)
    now = {thing for unit in bench.units for thing in (unit.id, *things_in(bench, unit.id))}
    now |= {box.id for box in plan.boxes}
    if len(now & keep.names) <= LEAST_SHARED * len(now):
        say(NothingKept("the earlier drawing shows hardly anything of what is drawn now"))
        return None
    if keep.several and single:
        say(NothingKept("the earlier drawing is a set of sheets, this one is a single sheet"))
        return None
    return keep


def as_kept(scales: Sequence[Fraction], keep: Earlier | None) -> list[Fraction]:
    """Scales in the order in which they are tried: first the one that the earlier drawing has."""
    if keep is None:
        return list(scales)
    as_before = [s for s in scales if keep.scale in (s, *(s * more for more in FILLING))]
    return list(dict.fromkeys((*as_before, *scales)))
