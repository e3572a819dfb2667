"""A trial from the words a person or program gives: addresses, or labels that are unique."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from slinediag.address import Jack
from slinediag.model.facility import Facility
from slinediag.model.find import find_equipment, find_jack
from slinediag.problems import Problem, RequestError
from slinediag.tracing.request import standing_cord
from slinediag.tracing.values import CordEnds, Trial

Named = TypeVar("Named")
Wanted = TypeVar("Wanted")


def read_trial(
    facility: Facility,
    cords: Iterable[tuple[str, str]] = (),
    pulls: Iterable[tuple[str, str] | str] = (),
    plugs: Iterable[str] = (),
    failed: Iterable[str] = (),
) -> Trial:
    """The trial that these names ask for.

    RequestError with every name that is unknown or stands for more than one thing.
    """
    problems: list[Problem] = []

    def read(
        names: Iterable[Named], find: Callable[[Facility, Named], Wanted | Problem]
    ) -> tuple[Wanted, ...]:
        found = [find(facility, name) for name in names]
        problems.extend(f for f in found if isinstance(f, Problem))
        return tuple(f for f in found if not isinstance(f, Problem))

    pulled: tuple[CordEnds | Jack, ...] = read(pulls, find_pull)
    trial = Trial(
        cords=read(cords, find_cord),
        pulled_cords=tuple(p for p in pulled if not isinstance(p, Jack)),
        pulled_plugs=tuple(p for p in pulled if isinstance(p, Jack)),
        plugs=read(plugs, find_jack),
        failed=tuple(dict.fromkeys(read(failed, find_equipment))),
    )
    if problems:
        raise RequestError(problems)
    return trial


def find_cord(facility: Facility, ends: tuple[str, str]) -> CordEnds | Problem:
    """The two jacks of a cord, or what is wrong with the first end that is wrong.

    Where a name is both an output and an input, the first end is the output, the second the input.
    """
    one, other = find_jack(facility, ends[0], "out"), find_jack(facility, ends[1], "in")
    if isinstance(one, Problem):
        return one
    return other if isinstance(other, Problem) else (one, other)


def find_pull(facility: Facility, name: tuple[str, str] | str) -> CordEnds | Jack | Problem:
    """The standing cord of a pair or of either of its jacks, or a dummy plug by its jack."""
    if not isinstance(name, str):
        cord = find_cord(facility, name)
        return cord if isinstance(cord, Problem) else standing_cord(facility, cord) or cord
    jack = find_jack(facility, name)
    if isinstance(jack, Problem):
        return jack
    for filed in facility.cords:
        if jack in (filed.source, filed.target):
            return filed.source, filed.target
    return jack
