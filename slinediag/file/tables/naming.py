"""What a label says: the equipment, the port, the side of a stereo pair, the place.

The words are those of control rooms and machine rooms (common practice, from memory). A label is
never altered: equipment's label and port's label together print what the table printed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from slinediag.address import Side
from slinediag.file.tables.meanings import BOTH_SIDES, SIDES, Certainty

MANY_PORTS = frozenset({
    "desk", "console", "mixer", "board", "da", "router", "matrix", "tracks", "track",
    "multitrack", "interface", "converter", "switcher", "selector", "intercom", "snake",
    "stagebox", "dac", "adc", "con",
})  # fmt: skip
"""Equipment whose name stands before the names of many ports."""
FEWEST_PORTS = 3
"""Labels that begin with a word before it is taken for equipment of many ports."""
PORT_WORDS = frozenset({
    "out", "output", "in", "input", "send", "snd", "return", "rtn", "ret", "main", "pgm",
    "prog", "program", "programme", "aud", "audition", "aux", "mon", "monitor", "cue",
    "group", "grp", "bus", "mix", "direct", "insert", "ins", "track", "trk", "ch", "chan",
    "channel", "caller", "rcv", "receive", "line", "ext", "external", "pfl", "solo", "tb",
    "cleanfeed", "feed", "mixminus", "minus", "sub", "fx", "eff", "stereo", "mono", "ifb",
    "utility", "util", "rec", "play", "pb", "bal", "unbal",
})  # fmt: skip
"""Words that name a port where other words stand before them."""
DIRECTIONS: dict[str, Side] = {
    "out": "out", "output": "out", "in": "in", "input": "in", "o/p": "out", "i/p": "in",
}  # fmt: skip
PROCESSORS = frozenset({
    "limiter", "lim", "comp", "compressor", "comp/lim", "eq", "equaliser", "equalizer",
    "delay", "gate", "processor", "proc", "da", "leveler", "leveller", "expander", "de-esser",
    "deesser", "filter", "amp", "amplifier", "compander",
})  # fmt: skip
"""Equipment whose outputs pass on its inputs."""
PLACE = re.compile(
    r"((?:studio|std|stu|booth|rack|room|edit|suite|theatre|hall|stage|foyer|control room|"
    r"rack room|machine room|equipment room|tx room|transmitter room|news ?room|mcr|ctrl rm)"
    r"(?:\s+(?:[a-z]|\d{1,2}))?)\s+(?=[A-Za-z])", re.I,
)  # fmt: skip
IN_BRACKETS = re.compile(r"\s*[(\[]([^()\[\]]*)[)\]]\s*\Z")
RANGE = re.compile(r"(.*?)(\d+)\s*(?:-|–|/|to|&|\+|,)\s*(\d+)\Z", re.I)
ATTACHED = re.compile(r"(.*[A-Za-z0-9])[\-_/. ]([LR])\Z")
TIE = re.compile(r"\b(?:tie|tl|tieline|tie-line|trunk|trunks)\b", re.I)
HUNG = re.compile(r"(\d{1,3}|[A-Z])([LR])\Z", re.I)
NUMBER_SIDE = re.compile(r"\d+[LR]\Z", re.I)


@dataclass(frozen=True, slots=True)
class Name:
    """A label taken apart. ``box`` and ``port`` are printed texts; ``side`` is L, R or nothing."""

    box: str
    port: str
    side: str = ""
    direction: Side | None = None
    bracket: str = ""
    certainty: Certainty = "likely"
    why: str = ""

    @property
    def printed(self) -> str:
        """The label without what stood in brackets."""
        return f"{self.box} {self.port}".strip()


@dataclass(frozen=True)
class Company:
    """The labels that a label stands among, in small letters, and what they tell together.

    ``many`` are first words of equipment that the labels show to have many ports.
    """

    labels: Collection[str] = ()
    many: Collection[str] = ()


ALONE = Company()


def take_apart(label: str, company: Company = ALONE) -> Name:
    """The equipment and port of a label among others."""
    bracket = ""
    found = IN_BRACKETS.search(label)
    if found and label[: found.start()].strip():
        label, inside = label[: found.start()].strip(), found[1].strip()
        if inside.casefold() in SIDES:
            label = f"{label} {inside}"
        else:
            bracket = inside
    hung = side_hung_on(label, company)
    if hung is not None:
        return replace(hung, bracket=bracket)
    words = separated(label)
    side = SIDES.get(words[-1].casefold(), "") if len(words) > 1 else ""
    body, last = (words[:-1], words[-1:]) if side else (words, [])
    cut, certainty, why = port_begins(body, company.many)
    if TIE.search(label):
        cut, certainty, why = len(body), "doubtful", "a tie line whose other end is not here"
    port = [*body[cut:], *last]
    if not side and port and NUMBER_SIDE.match(port[-1]):
        side = port[-1][-1].upper()
    directions = {DIRECTIONS[w.casefold()] for w in port if w.casefold() in DIRECTIONS}
    direction = directions.pop() if len(directions) == 1 else None
    if side and not body[cut:]:
        certainty, why = "likely", "the label ends with a side"
    return Name(" ".join(body[:cut]), " ".join(port), side, direction, bracket, certainty, why)


def company_of(labels: Iterable[str]) -> Company:
    """Labels, and the first words of equipment that they show to have many ports.

    A word is taken for one where a port word follows it at once and other labels begin with it.
    """
    known = [label for label in labels if label.split()]
    names = [(label.split()[0].casefold(), take_apart(label)) for label in known]
    begun = Counter(first for first, _ in names)
    shown = {
        first
        for first, name in names
        if name.box.casefold() == first and name.port.split()[:1] not in ([], ["L"], ["R"])
    }
    many = frozenset(word for word in shown if begun[word] >= FEWEST_PORTS)
    return Company(frozenset(label.casefold() for label in known), many)


def side_hung_on(label: str, company: Company) -> Name | None:
    """A label as "DISC 1L" or "PLAYOUT AL", where there is one for the other side as well."""
    *words, last = label.split()
    found = HUNG.match(last)
    if not words or found is None or find_many(words, company.many) is not None:
        return None
    other = {"L": "R", "R": "L"}[found[2].upper()]
    if f"{' '.join(words)} {found[1]}{other}".casefold() not in company.labels:
        return None
    why = "the same label is there for the other side"
    if found[1].isdigit():
        box, port = " ".join([*words, found[1]]), found[2]
    else:
        box, port = " ".join(words), last
    return Name(box, port, found[2].upper(), certainty="likely", why=why)


def separated(label: str) -> list[str]:
    """The words of a label, with a side that hangs on by a hyphen or stroke set apart."""
    words = label.split()
    found = ATTACHED.match(words[-1]) if words else None
    if found and len(words[-1]) > 2:
        return [*words[:-1], found[1], found[2]]
    return words


def port_begins(words: list[str], many: Collection[str]) -> tuple[int, Certainty, str]:
    """The word at which the port's name begins, how sure that is, and why."""
    small = [word.casefold().rstrip(".:") for word in words]
    at = find_many(words, many)
    if at is not None and at + 1 < len(words):
        numbered = small[at + 1].isdigit() and len(words) > at + 2
        why = f'"{words[at]}" is equipment of many ports'
        return at + (2 if numbered else 1), "likely", why
    start = len(words)
    while start > 1 and (
        small[start - 1] in PORT_WORDS
        or (start > 2 and small[start - 1].isdigit() and small[start - 2] in PORT_WORDS)
    ):
        start -= 1
    if start < len(words):
        return start, "likely", f'"{" ".join(words[start:])}" names a port'
    return len(words), "doubtful", "one label, one piece of equipment"


def find_many(words: list[str], many: Collection[str]) -> int | None:
    """The word of a label that names equipment of many ports; None where none does."""
    bare = [word.casefold().rstrip(".:").rstrip("0123456789") for word in words]
    known = (n for n, word in enumerate(bare) if word in MANY_PORTS or (n == 0 and word in many))
    return next(known, None)


def expanded(label: str, of: int, nth: int) -> tuple[str, Certainty]:
    """The label of one of the positions that a label stands for, and how sure that is."""
    words = label.split()
    if of == 2 and BOTH_SIDES.match(label.casefold()):
        return "LR"[nth], "sure"
    for count in (3, 2, 1):
        tail = " ".join(words[-count:]).casefold().strip("()")
        if of == 2 and len(words) > count and BOTH_SIDES.match(tail):
            return f"{' '.join(words[:-count])} {'LR'[nth]}", "sure"
    found = RANGE.match(label)
    if found and int(found[3]) - int(found[2]) + 1 == of:
        return f"{found[1]}{int(found[2]) + nth}", "sure"
    if of == 2:
        return f"{label} {'LR'[nth]}", "likely"
    return f"{label} {nth + 1}", "doubtful"


def says_both(label: str) -> bool:
    """Whether a label says L and R at once."""
    words = label.split()
    tails = (" ".join(words[-n:]).casefold().strip("()") for n in (1, 2, 3) if len(words) > n)
    return any(BOTH_SIDES.match(tail) for tail in tails)


def place_in(name: str) -> str | None:
    """The place that a name begins with, as "Studio A" in "Studio A MIC 1"; None for none."""
    found = PLACE.match(name)
    return found[1] if found else None


def given(box: str, port: str, side: str, label: str) -> Name:
    """The name that columns say; a label tells the port where no column does."""
    own = port or ("" if side else port_in(box, label))
    printed = own if SIDES.get(own.casefold()) and side else f"{own} {side}".strip()
    apart = take_apart(f"{box} {printed}") if printed else Name(box, "")
    return replace(
        apart, box=box, port=printed, bracket="", certainty="sure",
        why="a column holds the equipment",
    )  # fmt: skip


def port_in(box: str, label: str) -> str:
    """The part of a label that names the port, where the equipment is known."""
    if not label:
        return ""
    if label.casefold().startswith(f"{box} ".casefold()):
        return label[len(box) :].strip()
    return take_apart(label).port
