"""What may be taken once only: jacks and ports by rear wires, jacks by plugs and mults, pairs.

Claims are gathered in any order and judged in the order of the file, so that the later of two is
the mistake and names the earlier.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable
from dataclasses import dataclass

from slinediag.address import PortAddress
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Node, shortened
from slinediag.file.scalars import read_text
from slinediag.model.facility import Cable

CABLE_USE = re.compile(r"([A-Za-z][A-Za-z0-9_-]*)(?:/([1-9][0-9]{0,5}))?\Z")


@dataclass(frozen=True, slots=True)
class Claim:
    """One use of a thing: the node that says so, and the user as messages name it."""

    node: Node
    where: str
    user: str


class Claims:
    """All claims of one sort; ``word`` says what two of one thing mean, and what to do."""

    def __init__(self, word: Callable[[Hashable], tuple[str, str]]) -> None:
        self._word = word
        self._claims: dict[Hashable, list[Claim]] = {}

    def add(self, thing: Hashable, node: Node, where: str, user: str) -> None:
        """Note that a user takes a thing."""
        self._claims.setdefault(thing, []).append(Claim(node, where, user))

    def judge(self, mistakes: Mistakes) -> None:
        """An error for every claim but the first on each thing, naming both with their lines."""
        for thing, claims in self._claims.items():
            if len(claims) == 1:
                continue
            first, *others = sorted(claims, key=lambda claim: claim.node.start)
            what, hint = self._word(thing)
            for claim in others:
                both = " and ".join(
                    f"{c.user} (line {mistakes.line(c.node)})" for c in (first, claim)
                )
                mistakes.error(claim.node, claim.where, f"{what}: {both}", hint)


def wired_twice(thing: Hashable) -> tuple[str, str]:
    """Two wires or lines at one jack or port."""
    if not isinstance(thing, PortAddress):
        hint = "A jack has one rear wire or tie line; to tie jacks in parallel use mults"
        return f"the jack {thing} is wired twice", hint
    word = "output" if thing.side == "out" else "input"
    split = "To split an output use a mult or a distribution amplifier"
    what = f"the {word} {thing.equipment}.{thing.port} is wired twice"
    return what, split if word == "output" else "Keep one of the two wires"


def plugged_twice(thing: Hashable) -> tuple[str, str]:
    """Two plugs in one jack."""
    return f"the jack {thing} holds two plugs", "A jack holds one plug; move one of them"


def tied_twice(thing: Hashable) -> tuple[str, str]:
    """A jack that stands twice in mults."""
    return f"the jack {thing} stands twice under mults", "Keep it in one of them"


def ended_twice(thing: Hashable) -> tuple[str, str]:
    """Two normals across positions that end at one jack."""
    what = f"two normals across positions end at the jack {thing}"
    return what, "Only one can take its break contacts; keep one"


def paired_twice(thing: Hashable) -> tuple[str, str]:
    """A pair of a cable used twice."""
    return f"the pair {thing} is used twice", "Give each line a pair of its own"


class Uses:
    """Every claim of a file."""

    def __init__(self, cables: dict[str, Cable], mistakes: Mistakes) -> None:
        self._cables = cables
        self._mistakes = mistakes
        self.wired = Claims(wired_twice)
        self.plugged = Claims(plugged_twice)
        self.tied = Claims(tied_twice)
        self.ended = Claims(ended_twice)
        self._pairs = Claims(paired_twice)

    def judge(self) -> None:
        """Tell everything that is taken twice."""
        for claims in (self.wired, self.plugged, self.tied, self.ended, self._pairs):
            claims.judge(self._mistakes)

    def cable(self, node: Node | None, where: str, user: str) -> str | None:
        """The cable, or cable and pair, that a wire or line runs in; its pair is claimed."""
        text = None if node is None else read_text(node, where, self._mistakes)
        if node is None or text is None:
            return None
        found = CABLE_USE.match(text)
        if not found:
            what = f"{shortened(text)} is neither a cable nor a pair of one"
            self._mistakes.error(
                node, where, what, "Write a cable's id, as S12, or a pair, as S12/3"
            )
            return None
        if found[2]:
            self._check_pair(node, where, found[1], int(found[2]))
            self._pairs.add(text, node, where, user)
        return text

    def _check_pair(self, node: Node, where: str, name: str, pair: int) -> None:
        cable = self._cables.get(name)
        if cable is not None and cable.pairs is not None and pair > cable.pairs:
            what = f"cable {name} has {cable.pairs} pairs; there is no {name}/{pair}"
            self._mistakes.error(node, where, what, f"The last one is {name}/{cable.pairs}")
