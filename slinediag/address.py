"""Addresses of jacks and ports: read, print, sort, and find the nearest to a misspelt one.

A jack is ``BAY.T<n>`` or ``BAY.B<n>``, n from 1 without leading zeros; a port is
``EQUIPMENT.PORT``, with ``:out`` or ``:in`` where one id is both an output and an input.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Literal, NamedTuple

Row = Literal["T", "B"]
Side = Literal["out", "in"]
SIDES: tuple[Side, Side] = ("in", "out")

ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*\Z")
PORT_ID = re.compile(r"[A-Za-z0-9_-]+\Z")
JACK_PART = re.compile(r"([TB])([1-9][0-9]{0,2})\Z", re.ASCII)
DIGITS = re.compile(r"([0-9]+)")


class Jack(NamedTuple):
    """One jack: its bay, its row (T or B) and its position, from 1."""

    bay: str
    row: Row
    position: int

    def __str__(self) -> str:
        return f"{self.bay}.{self.row}{self.position}"


class PortAddress(NamedTuple):
    """One port: its equipment, its id and its side, ``out`` or ``in``."""

    equipment: str
    port: str
    side: Side

    def __str__(self) -> str:
        return f"{self.equipment}.{self.port}:{self.side}"


Address = Jack | PortAddress


class Spelling(NamedTuple):
    """An address as it is written: owner, part behind the dot, and the suffix if there is one."""

    owner: str
    part: str
    side: Side | None


def read_spelling(text: str) -> Spelling | None:
    """Split ``OWNER.PART[:out|:in]``; None where the text is not of that form."""
    owner, dot, rest = text.strip().partition(".")
    part, colon, suffix = rest.partition(":")
    if not dot or not ID.match(owner) or not PORT_ID.match(part):
        return None
    if not colon:
        return Spelling(owner, part, None)
    if suffix == "out":
        return Spelling(owner, part, "out")
    return Spelling(owner, part, "in") if suffix == "in" else None


def read_jack_part(part: str) -> tuple[Row, int] | None:
    """Row and position of the part behind the dot of a jack; None where it is not one."""
    found = JACK_PART.match(part)
    if not found:
        return None
    return ("T" if found[1] == "T" else "B"), int(found[2])


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key by which PB1.T9 stands before PB1.T10."""
    return tuple(
        (0, int(piece), piece) if piece.isascii() and piece.isdigit() else (1, 0, piece)
        for piece in DIGITS.split(text)
        if piece
    )


def jack_order(jack: Jack) -> tuple[tuple[tuple[int, int, str], ...], int, int]:
    """Sort key of jacks: bay in natural order, T before B, then position."""
    return natural(jack.bay), 0 if jack.row == "T" else 1, jack.position


def port_order(
    port: PortAddress,
) -> tuple[tuple[tuple[int, int, str], ...], tuple[tuple[int, int, str], ...], str]:
    """Sort key of ports: equipment, then port, in natural order."""
    return natural(port.equipment), natural(port.port), port.side


def partner(jack: Jack) -> Jack:
    """The other jack of the same position."""
    return Jack(jack.bay, "B" if jack.row == "T" else "T", jack.position)


def nearest(text: str, known: Iterable[str]) -> str | None:
    """The known spelling closest to the text, case apart; None where none is close."""
    folded: dict[str, str] = {}
    for name in known:
        folded.setdefault(name.casefold(), name)
    close = difflib.get_close_matches(text.casefold(), list(folded), n=1, cutoff=0.5)
    return folded[close[0]] if close else None


def suggestion(text: str, known: Iterable[str], otherwise: str = "") -> str:
    """A hint that names the nearest known spelling, or says ``otherwise`` where none is close."""
    found = nearest(text, known)
    return f"Did you mean {found}?" if found else otherwise
