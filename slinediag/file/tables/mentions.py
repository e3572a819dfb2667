"""From what the table says of each position to the ports that its jacks carry."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from slinediag.address import Jack, Row, Side
from slinediag.file.tables.cells import CellRef, quoted
from slinediag.file.tables.gather import Entry, Panel, Said
from slinediag.file.tables.ledger import Ledger
from slinediag.file.tables.meanings import BOTH_SIDES, SIDES, folded, state_of
from slinediag.file.tables.naming import Company, Name, expanded, given, says_both, take_apart

ROWS: tuple[Row, ...] = ("T", "B")


@dataclass(frozen=True, slots=True)
class Mention:
    """A jack whose label or columns name a port; ``label`` is what is to be printed there."""

    jack: Jack
    side: Side
    name: Name
    label: str
    cell: CellRef
    place: Said | None = None


class MentionReader:
    """Reads the labels and equipment columns of one panel."""

    def __init__(
        self, bay: str, panel: Panel, first: int, company: Company, ledger: Ledger
    ) -> None:
        self._bay, self._panel, self._first = bay, panel, first
        self._company, self._ledger = company, ledger
        self._carried: dict[tuple[int, Row], Said] = {}

    def mention(self, number: int, row: Row) -> Mention | None:
        """The port that a jack is said to carry; None where nothing is said, or no port."""
        entry = self._panel.entries[number]
        said = self._label(entry, row)
        box, port = entry.said.get(f"box {row}"), entry.said.get(f"port {row}")
        if not any(part and re.search(r"\w", part.text) for part in (said, box, port)):
            return None
        place = entry.said.get(f"place {row}")
        side = self._side(entry, row)
        if box is not None or port is not None:
            return self._from_columns(number, row, said, box, port, side, place)
        assert said is not None
        text = self._expanded(said, side)
        if side and SIDES.get(text.split()[-1].casefold()) is None:
            text = f"{text} {side}"
        self._ledger.take(said.cell, "label" if text == said.text else "part of a label")
        name = take_apart(text, self._company)
        return Mention(
            self._jack(number, row), self._direction(name, row), name, text, said.cell, place
        )

    def _jack(self, number: int, row: Row) -> Jack:
        return Jack(self._bay, row, number - self._first + 1)

    def _direction(self, name: Name, row: Row) -> Side:
        """Top sends, bottom receives, unless the label says in or out."""
        return name.direction or ("out" if row == "T" else "in")

    def _label(self, entry: Entry, row: Row) -> Said | None:
        """The label at a jack: its own, or that of the position before, which says L and R."""
        said = entry.said.get(f"label {row}")
        if said is not None and said.of == 1 and says_both(said.text):
            after = self._panel.entries.get(entry.number + 1)
            fields = (f"label {row}", f"box {row}", f"port {row}")
            if after is not None and not any(f in after.said for f in fields):
                self._carried[entry.number + 1, row] = replace(said, of=2, nth=1)
                return replace(said, of=2, nth=0)
        return said if said is not None else self._carried.get((entry.number, row))

    def _side(self, entry: Entry, row: Row) -> str:
        """The side that a column of its own says: L, R or nothing."""
        said = entry.said.get(f"side {row}") or entry.said.get("side")
        if said is None or (f"side {row}" not in entry.said and self._of_other_row(entry, row)):
            return ""
        if folded(said.text) in SIDES:
            self._ledger.read(said.cell, said.text, SIDES[folded(said.text)], "sure")
            return SIDES[folded(said.text)]
        if BOTH_SIDES.match(said.text.casefold()) and said.of == 1:
            self._ledger.read(said.cell, said.text, "left and right", "sure")
            return ""
        self._ledger.read(said.cell, said.text, "part of the port's name", "doubtful")
        return said.text

    def _of_other_row(self, entry: Entry, row: Row) -> bool:
        """Whether a column of sides is about the other row alone.

        It is where only the other row says the same at neighbouring positions, and so needs it.
        """
        return self._repeats(entry, "B" if row == "T" else "T") and not self._repeats(entry, row)

    def _repeats(self, entry: Entry, row: Row) -> bool:
        """Whether a jack is said to be what one of its neighbours is."""
        field = f"box {row}" if f"box {row}" in entry.said else f"label {row}"
        own = entry.said.get(field)
        if own is None:
            return False
        beside = (self._panel.entries.get(entry.number + step) for step in (-1, 1))
        return any(near and (s := near.said.get(field)) and s.text == own.text for near in beside)

    def _expanded(self, said: Said, side: str) -> str:
        """The label at one of the positions that it stands for."""
        if said.of == 1 or side or state_of(said.text):
            return said.text
        text, certainty = expanded(said.text, said.of, said.nth)
        meaning = f"{said.of} positions: {expanded(said.text, said.of, 0)[0]}, …"
        self._ledger.read(said.cell, said.text, meaning, certainty, "joined label")
        return text

    def _from_columns(
        self, number: int, row: Row, said: Said | None, box: Said | None, port: Said | None,
        side: str, place: Said | None,
    ) -> Mention | None:  # fmt: skip
        """The port that columns of equipment and port name."""
        if box is None and said is not None:
            box, said = said, None
        if box is None or (state_of(box.text) and port is None):
            if box is not None:
                what = f"{quoted(box.text)} names no equipment"
                self._ledger.mark(box.cell, box.text, what)
            return None
        port_text = port.text if port else ""
        if port is not None and port.of > 1 and not side:
            port_text = self._expanded(port, side)
        elif box.of > 1 and port is None and not side and said is None:
            side = "LR"[box.nth] if box.of == 2 else str(box.nth + 1)
        name = given(box.text, port_text, side, said.text if said and port is None else "")
        for part, fate in ((box, "equipment"), (port, "port")):
            if part is not None:
                self._ledger.take(part.cell, fate)
        label = name.printed
        if said is not None:
            self._ledger.take(said.cell, "label")
            label = said.text
        jack = self._jack(number, row)
        return Mention(jack, self._direction(name, row), name, label, box.cell, place)


def is_state(said: Mapping[str, Said], row: Row) -> bool:
    """Whether all that is said at a jack is a state, as SPARE."""
    label = said.get(f"label {row}") or said.get(f"box {row}")
    return label is not None and state_of(label.text) in ("spare", "reserved")
