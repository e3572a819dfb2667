"""A trial from the words a person or program gives: addresses, or labels that are unique."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from slinediag.address import Jack
from slinediag.model.facility import Facility
from slinediag.model.find import find_equipment, find_jack
from slinediag.problems import Problem, RequestError, problem
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
    refuse_single(cords=cords, pulls=pulls, plugs=plugs, failed=failed)
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


def refuse_single(**given: object) -> None:
    """RequestError for every argument that is one text, which would be read letter by letter."""
    problems = [
        problem(name, "a list is wanted here, not one text", f"Write {name}=[…]")
        for name, names in given.items()
        if isinstance(names, str)
    ]
    if problems:
        raise RequestError(problems)


def find_cord(facility: Facility, ends: Sequence[str]) -> CordEnds | Problem:
    """The two jacks of a cord, or what is wrong with the first end that is wrong.

    Where a name is both an output and an input, the first end is the output, the second the input.
    """
    if isinstance(ends, str) or len(ends) != 2:
        hint = 'Give the two jacks of a cord, as ("PB1.T3", "PB2.B7")'
        return problem(str(ends), "this is not a pair of jacks", hint)
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
