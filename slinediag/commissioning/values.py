"""What is written in a box of a filled sheet: a figure, OPEN, OK, COMES AND GOES, or nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass

from slinediag.commissioning.bench import Joined
from slinediag.commissioning.limits import OPEN
from slinediag.commissioning.plan import PlanRow

ANYTHING: frozenset[Joined] = frozenset({"closed", "high", "open"})
OPENS = {
    "open", "open circuit", "o/c", "ol", "0l", "o.l", "0.l", ".ol", "o/l", "ovl", "over",
    "overload", "inf", "infinite", "infinity", "∞", "none", "no beep", "no continuity",
}  # fmt: skip
CLOSES = {
    "joined", "closed", "short", "shorted", "short circuit", "dead short", "s/c", "j", "beep",
    "beeps", "continuity",
}  # fmt: skip
RIGHT = {"ok", "okay", "o.k", "fine", "pass", "passed", "good", "yes", "✓", "✔", "as expected"}
WRONG = {"fail", "failed", "not ok", "bad", "no", "x", "✗", "✘", "nok"}
LEFT_OUT = {"", "n/a", "na", "not measured", "skipped", "later", "?"}
COMES_AND_GOES = (
    "comes and goes", "intermit", "varies", "crackl", "jumps", "unsteady", "unstable", "flicker",
)  # fmt: skip
UNITS = {
    "": 1.0, "m": 1e-3, "milli": 1e-3, "µ": 1e-6, "u": 1e-6, "k": 1e3, "K": 1e3, "kilo": 1e3,
    "M": 1e6, "mega": 1e6, "G": 1e9,
}  # fmt: skip
# Programs that save a table in an old encoding make a question mark of Ω.
FIGURE = re.compile(
    r"(?P<sign>[<>≤≥~≈+−-]*)\s*(?P<figure>[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]{1,2})?|[.,][0-9]+)"
    r"\s*(?P<prefix>milli|kilo|mega|[mµukKMG]?)\s*(?:Ω|Ω|\?|[oO]hms?|OHMS?|R|r|dB[uU]|dbu|V|v)?\Z"
)
LETTERED = re.compile(r"(?P<before>[0-9]*)(?P<letter>[RrkKM])(?P<after>[0-9]+)\Z")
"""A letter for the decimal sign, as in 0R05 and 4k7 (IEC 60062)."""
ABOUT = re.compile(r"(?:ca\.?|about|approx\.?|circa)\s*(?=[0-9.,])", re.I)
REMARK = re.compile(r"(?<=\S)\s*\([^()]*\)\Z")
BETWEEN = re.compile(
    r"\s*(?:/|\.\.+|…|\bto\b|\band\b|\bor\b|\bthen\b)\s*|(?<=[0-9])\s*[-–]\s*(?=[0-9])"
)


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as taken: what it was written as, and what it can mean.

    ``may_be`` is all that the joint may be: all three where nothing was measured. ``figure`` is
    that of a level or voltage. ``unsteady`` readings come and go.
    """

    written: str
    may_be: frozenset[Joined] = ANYTHING
    figure: float | None = None
    unsteady: bool = False

    @property
    def missing(self) -> bool:
        """Whether it says nothing."""
        return self.figure is None and self.may_be == ANYTHING and not self.unsteady


def read_value(written: str, row: PlanRow) -> Taken | None:
    """What is in a row's box; None where it cannot be read."""
    text = " ".join(written.strip().strip("'").split())
    word = text.casefold().rstrip(".!")
    if word in LEFT_OUT:
        return Taken(text)
    if any(name in word for name in COMES_AND_GOES) or word == "int":
        return Taken(text, unsteady=True)
    if row.joined is None:
        return _figure_taken(text, word, row)
    return _joint_taken(text, word, row)


def _figure_taken(text: str, word: str, row: PlanRow) -> Taken | None:
    """A level in dBu or a voltage."""
    target = row.target or 0.0
    if word in RIGHT:
        return Taken(text, figure=target)
    figure = read_figure(plainly(text))
    return None if figure is None else Taken(text, figure=figure)


def _joint_taken(text: str, word: str, row: PlanRow) -> Taken | None:
    planned: frozenset[Joined] = frozenset({"closed"}) if row.joined else frozenset({"open"})
    if word in RIGHT:
        return Taken(text, planned)
    if word in WRONG:
        return Taken(text, ANYTHING - planned)
    text = plainly(text)
    one = _joint(text, row)
    if one is not None:
        return Taken(text, one)
    parts = [_joint(part, row) for part in BETWEEN.split(text) if part]
    known = [part for part in parts if part is not None]
    if len(parts) < 2 or len(known) < len(parts):
        return None
    every = frozenset[Joined]().union(*known)
    return Taken(text, every, unsteady=len(set(known)) > 1)


def _joint(text: str, row: PlanRow) -> frozenset[Joined] | None:
    word = text.casefold().rstrip(".!")
    if word in OPENS:
        return frozenset({"open"})
    if word in CLOSES:
        return frozenset({"closed"})
    figure = read_figure(text)
    if figure is None or (figure < 0):
        return None
    if figure >= OPEN:
        return frozenset({"open"})
    if text[0] in ">≥":
        return frozenset({"high", "open"})
    if not row.joined:
        return frozenset({"closed", "high"})
    return frozenset({"closed"}) if figure <= row.limit else frozenset({"high"})


def plainly(text: str) -> str:
    """A reading without what stands beside it: a remark in brackets, "about", a tick behind it."""
    bare = ABOUT.sub("", REMARK.sub("", text), count=1)
    first, _, last = bare.rpartition(" ")
    return first if first and last.casefold().rstrip(".!") in RIGHT else bare


def read_figure(text: str) -> float | None:
    """A figure with or without its unit, as ``0.04``, ``40 mΩ``, ``0,04``, ``>20M``; else None."""
    if lettered := LETTERED.match(text.strip()):
        factor = 1.0 if lettered["letter"] in "Rr" else UNITS[lettered["letter"]]
        return float(f"{lettered['before'] or 0}.{lettered['after']}") * factor
    found = FIGURE.match(text.strip())
    if found is None:
        return None
    figure = float(found["figure"].replace(",", ".")) * UNITS[found["prefix"]]
    return -figure if found["sign"].endswith(("-", "−")) else figure
