"""Tie lines and mults that labels tell of: the same label at several jacks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from slinediag.file.tables.cells import quoted
from slinediag.file.tables.ids import Ids
from slinediag.file.tables.ledger import Ledger
from slinediag.file.tables.mentions import Mention
from slinediag.file.tables.naming import TIE
from slinediag.model.facility import Line, Mult

MULT = re.compile(r"\A\s*mult(?:iple)?\b", re.I)


def tie_lines(mentions: Sequence[Mention], ids: Ids, ledger: Ledger) -> dict[str, Line]:
    """Tie lines: a label that says so, at just two jacks of two bays."""
    lines = {}
    for ends in alike(mentions, TIE):
        if len(ends) != 2 or ends[0].jack.bay == ends[1].jack.bay:
            continue
        one, other = sorted(ends, key=lambda mention: mention.side != "in")
        name = ids.of_box(ends[0].label)
        lines[name] = Line(name, one.jack, other.jack)
        what = f"{quoted(ends[0].label)} is the tie line {name} from {one.jack} to {other.jack}"
        ledger.guess(what, "likely", "the same label stands on two bays and says tie")
    return lines


def mults_of(mentions: Sequence[Mention], ids: Ids, ledger: Ledger) -> dict[str, Mult]:
    """Mults: a label that says so, at several jacks; one that stands alone ties nothing."""
    mults = {}
    for ends in alike(mentions, MULT):
        label = ends[0].label
        if len(ends) < 2:
            what = "says mult, and no other jack bears this label: nothing is tied"
            ledger.mark(ends[0].cell, label, what)
            continue
        name = ids.of_box(label)
        mults[name] = Mult(name, tuple(mention.jack for mention in ends))
        jacks = ", ".join(str(mention.jack) for mention in ends)
        why = "they bear the same label, and it says mult"
        ledger.guess(f"{jacks} are the mult {name}", "likely", why)
    return mults


def alike(mentions: Sequence[Mention], pattern: re.Pattern[str]) -> Iterator[list[Mention]]:
    """Mentions of the same label, for each label that the pattern finds."""
    found: dict[str, list[Mention]] = {}
    for mention in mentions:
        # Where columns name equipment and port, they say more than a label does.
        plain = mention.name.certainty != "sure" or mention.name.printed == mention.label
        if plain and pattern.search(mention.label):
            found.setdefault(mention.label.casefold(), []).append(mention)
    yield from found.values()
