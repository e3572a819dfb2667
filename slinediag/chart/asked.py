"""What a drawing was asked for with and what it is of, so that the next one knows whether it is the
next of the same and may leave things where this one has them unasked.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from slinediag.address import Address
from slinediag.chart.borne import Bears
from slinediag.chart.earlier import Earlier
from slinediag.chart.excerpt import Excerpt
from slinediag.model.facility import Facility

PART = "part"
"""Among the choices, which part of the chart is drawn."""
ASKED = "asked"
"""The name under which a drawing bears it."""
SAMPLE = 256
"""Of how many things the marks are kept: the share that two have in common is known to within
three parts in a hundred, and exactly where there are no more."""
DIGITS = 6
"""Hexadecimal digits of a mark."""
COUNTABLE = 10**9
"""No drawing bears more things; what says so is damaged."""
LONG_SINCE = 0.9
"""How much must be as when things were arranged, or a person is told that they were so long since:
lines cross more with each change that they are kept through (``tests.bench.bench_staying``)."""
LEAST_SAME = 0.8
"""How much of two drawings must be the same, for what was there to be kept unasked. As long as four
fifths are, lines cross 1.2 times as often as afresh at most, with less of it ever more often
(``tests.bench.bench_staying``; lines exchanged in graphs of 96: 1.06 at 0.82, 1.25 at 0.69).
"""

Shows = Literal["filed", "tried", "failed", "both"]
"""The chart as filed, under a trial, with what has failed crossed out, or before and after."""


@dataclass(frozen=True, slots=True)
class Things:
    """Boxes, positions and wires: how many there are, and the least of their marks, which are drawn
    from their names as lots are.

    The least marks of two lots together are a fair sample of both, so that a few tell how much they
    have in common (A. Broder, On the resemblance and containment of documents, 1997).
    """

    count: int
    marks: tuple[str, ...]

    @classmethod
    def of(cls, names: Iterable[str]) -> Things:
        """Those with these names."""
        marks = {_mark(name) for name in names}
        return cls(len(marks), tuple(sorted(marks)[:SAMPLE]))

    def same(self, other: Things) -> float:
        """The share of the larger one that both have."""
        sample = sorted({*self.marks, *other.marks})[:SAMPLE]
        both = len({*self.marks} & {*other.marks} & {*sample})
        common = both / (both + len(sample)) * (self.count + other.count) if both else 0.0
        return common / max(1, self.count, other.count)


def _mark(name: str) -> str:
    return hashlib.blake2b(name.encode("utf-8", "replace"), digest_size=DIGITS // 2).hexdigest()


def things_of(facility: Facility, excerpt: Excerpt | None) -> Things:
    """What stands in a facility, or in a part of it."""

    def drawn(address: Address) -> bool:
        return excerpt is None or excerpt.holds(address)

    def names() -> Iterator[str]:
        for jack, wire in facility.wires.items():
            if drawn(jack) or drawn(wire.to):
                yield from (wire.to.equipment, f"{jack.bay}:{jack.position}", f"{jack}={wire.to}")
        for normal in facility.cross_normals:
            if drawn(normal.source) or drawn(normal.target):
                yield f"{normal.source}={normal.target}"
        for line in facility.lines.values():
            if drawn(line.source) or drawn(line.target):
                yield f"{line.source}={line.target}"
        for mult in facility.mults.values():
            yield from (f"{mult.id}={jack}" for jack in mult.jacks if drawn(jack))
        for box in facility.equipment.values():
            if excerpt is None or box.id in excerpt.whole:
                yield box.id

    return Things.of(names())


@dataclass(frozen=True, slots=True)
class Asked:
    """A drawing as it is asked for: the facility's name, what was chosen by the options that have
    these names, what it shows, and what stands in it.

    ``arranged``: what stood in it when its things were last arranged anew; None where that is now.
    """

    facility: str
    choices: Mapping[str, str]
    shows: Shows
    things: Things
    arranged: Things | None = None

    @property
    def bears(self) -> Bears:
        """What the drawing bears of it."""
        found = {
            "facility": self.facility,
            "choices": dict(self.choices),
            "shows": self.shows,
            "things": _written(self.things),
        }
        if self.arranged is not None and self.arranged != self.things:
            found["arranged"] = _written(self.arranged)
        return ((ASKED, json.dumps(found, separators=(",", ":"))),)

    def unlike(self, before: Asked, several: bool) -> str:
        """Why this is not the next drawing of what ``before`` is; empty where it is.

        ``several``: whether that is a set of sheets.
        """
        if before.facility != self.facility:
            return "the one before was of another facility"
        names = dict.fromkeys((*self.choices, *before.choices))
        other = [name for name in names if self.choices.get(name) != before.choices.get(name)]
        if PART in other:
            return "the one before shows another part"
        if other:
            return f"the one before was drawn with another {' and '.join(other)}"
        if several and before.shows == "failed" != self.shows:
            # Its runs are not folded, so that each line can be crossed out.
            return "the one before shows what has failed"
        if self.things.same(before.things) < LEAST_SAME:
            return "too much has changed"
        return ""

    def after(self, before: Asked) -> Asked:
        """This one where its things stay as ``before`` has them."""
        return replace(self, arranged=before.arranged or before.things)

    @property
    def since(self) -> float:
        """The share of its things that is as when they were arranged."""
        return 1.0 if self.arranged is None else self.things.same(self.arranged)

    def keeping(self, before: Asked, earlier: Earlier) -> Earlier:
        """What is kept of ``earlier``, asked for as ``before``: not the larger sheet that it may
        have taken for what this one does not show."""
        return replace(earlier, shrinks=before.shows not in ("filed", self.shows))


def _written(things: Things) -> list[int | str]:
    return [things.count, "".join(things.marks)]


def _read_things(count: object, marks: object) -> Things | None:
    """As written; None where that is damaged."""
    if not isinstance(count, int) or not 0 <= count <= COUNTABLE or not isinstance(marks, str):
        return None
    if not re.fullmatch(f"(?:[0-9a-f]{{{DIGITS}}}){{0,{SAMPLE}}}", marks):
        return None
    apart = tuple(marks[at : at + DIGITS] for at in range(0, len(marks), DIGITS))
    return Things(count, apart)


def read_asked(text: str) -> Asked | None:
    """What a drawing was asked for with, from what its file bears; None where it does not say."""
    try:
        found = json.loads(text)[ASKED]
        facility, choices, shows = found["facility"], found["choices"], found["shows"]
        things = _read_things(*found["things"])
        arranged = _read_things(*found["arranged"]) if "arranged" in found else None
    except (ValueError, TypeError, KeyError, IndexError, RecursionError):
        return None
    sound = (
        isinstance(facility, str)
        and isinstance(choices, dict)
        and all(isinstance(said, str) for said in choices.values())
        and shows in ("filed", "tried", "failed", "both")
    )
    if not sound or things is None:
        return None
    return Asked(facility, choices, shows, things, arranged)
