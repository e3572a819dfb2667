"""Ids for what a table only names: short, in plain letters, each once."""

from __future__ import annotations

import re
import unicodedata

from slinediag.file.tables.meanings import SIDES
from slinediag.file.tables.naming import DIRECTIONS, Name

LONGEST = 24
"""Characters of an id that is made."""
BAY_NUMBER = re.compile(r"\b(?:pb|bay|patch ?bay|panel|jackfield|jf)[\s#-]*(\d{1,3}|[a-z])\b", re.I)
SHORT_BAY = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,7}\Z")


class Ids:
    """Ids of equipment and bays, which share one space."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def once(self, wanted: str) -> str:
        """The id, with a number behind it where it is taken; case does not tell ids apart."""
        name, number = wanted, 1
        while name.casefold() in self._taken:
            number += 1
            name = f"{wanted}_{number}"
        self._taken.add(name.casefold())
        return name

    def of_bay(self, name: str, named: bool) -> str:
        """An id for a bay: its own short name, or PB and its number.

        A name that only the file or the sheet has is no id unless it looks like one.
        """
        if SHORT_BAY.match(name) and (named or name.isupper() or name[-1].isdigit()):
            return self.once(name)
        found = BAY_NUMBER.search(name)
        if found:
            return self.once(f"PB{found[1].upper()}")
        number = 1
        while f"pb{number}" in self._taken:
            number += 1
        return self.once(f"PB{number}")

    def of_box(self, name: str) -> str:
        """An id for equipment of this name."""
        made = letters(re.sub(r"(?<=\d)\s+(?=\d)", "_", name).replace(" ", ""))
        return self.once(made if made[:1].isalpha() else f"E{made}")


def letters(text: str) -> str:
    """A text in the letters of ids: accents off, all else left out."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9_-]", "", plain)[:LONGEST]


def port_id(name: Name, side: str) -> str:
    """An id for a port: its words without in and out, its side as L or R; O or I for none."""
    words = [word for word in name.port.split() if word.casefold() not in DIRECTIONS]
    if name.side and words and words[-1].casefold() in SIDES:
        words[-1] = name.side
    made = letters("_".join(words))
    return made or ("O" if side == "out" else "I")
