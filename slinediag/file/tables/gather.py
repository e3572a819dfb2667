"""What a table says of each position, gathered into panels, whatever the layout it came in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from slinediag.file.tables.cells import CellRef, quoted
from slinediag.file.tables.ledger import Ledger

WIDEST = 96
"""Positions of the widest bay."""
PART = 48
"""Positions of each part where numbers run on over several bays."""
NAMING = r"[^\W\d_]{2}"
"""What a name has and a date has not: letters together."""
TITLE = re.compile(
    r"\b(?:patch|bay|jackfield|panel|pb[\s#-]*(?:\d+|[a-z])|patchbay|jack\s*field)\b", re.I
)


@dataclass(frozen=True, slots=True)
class Said:
    """A text of the table with its cell; ``nth`` of ``of`` positions that it stands for."""

    text: str
    cell: CellRef
    of: int = 1
    nth: int = 0


@dataclass(frozen=True)
class Entry:
    """All that the table says of one position: fields, and texts under no known heading.

    ``normals`` says whether its part of the table has a row or column for normals.
    """

    number: int
    said: Mapping[str, Said]
    notes: tuple[tuple[str, Said], ...] = ()
    normals: bool = True


@dataclass
class Panel:
    """A bay as the table has it.

    ``bottom`` holds the numbers printed at the bottom jacks, by position, where they are others
    than those at the top; ``two_rows`` says that the table has bottom jacks, if empty ones.
    """

    name: str
    named: Said | None = None
    entries: dict[int, Entry] = field(default_factory=dict)
    notes: list[tuple[str, Said]] = field(default_factory=list)
    two_rows: bool = False
    bottom: dict[int, Said] = field(default_factory=dict)

    @property
    def one_row(self) -> bool:
        """Whether the table says nothing of bottom jacks."""
        fields = (field for entry in self.entries.values() for field in entry.said)
        return not self.two_rows and not any(field.endswith(" B") for field in fields)


class Gatherer:
    """Takes entries as layouts find them, and sorts them into panels."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.panels: list[Panel] = []
        self.notes: list[tuple[str, Said]] = []
        self.names: list[Said] = []
        """Titles over the first bay that do not name the bay, but perhaps the facility."""
        self._titles: list[Said] = []
        self._current: Panel | None = None
        self._by_name: dict[str, Panel] = {}
        self._sheet = ""
        self.two_rows = False

    def start(self, sheet: str) -> None:
        """A new sheet, or a new table on it, begins: what follows is of another panel."""
        self._keep_titles()
        self._sheet, self._current, self.two_rows = sheet, None, False

    def part(self) -> None:
        """A new table on the same sheet begins; the titles over it stay."""
        self._current, self.two_rows = None, False

    def title(self, said: Said) -> None:
        """A text over a table that names the panel to come."""
        self._titles.append(said)
        self._current = None

    def remark(self, said: Said, heading: str = "") -> None:
        """A text that belongs to no position: a note of the panel, or of the whole facility."""
        self.ledger.take(said.cell, "note")
        notes = self.notes if self._current is None else self._current.notes
        notes.append((heading, said))

    def add(self, bay: Said | None, entry: Entry) -> None:
        """Put an entry into its panel; a second one for a position is kept as notes."""
        panel = self._panel(bay, entry)
        self._current = panel
        old = panel.entries.get(entry.number)
        if old is None:
            panel.entries[entry.number] = entry
        elif not clash(old, entry):
            panel.entries[entry.number] = self._both(old, entry)
        else:
            self._twice(panel, entry)

    def _both(self, old: Entry, entry: Entry) -> Entry:
        """One entry of the two that a table of one row a jack has for a position."""
        left: list[tuple[str, Said]] = []
        for name, said in entry.said.items():
            known = old.said.get(name)
            if known is not None and known.text == said.text:
                self.ledger.take(said.cell, f"as at {known.cell}")
            elif known is not None:
                left.append((name, said))
        both = {**entry.said, **old.said}
        notes = *old.notes, *entry.notes, *left
        return Entry(entry.number, both, notes, old.normals or entry.normals)

    def _twice(self, panel: Panel, entry: Entry) -> None:
        for name, said in (*entry.said.items(), *entry.notes):
            self.ledger.take(said.cell, "note")
            panel.notes.append((f"position {entry.number} again, {name}".rstrip(", "), said))
            what = f"position {entry.number} stands twice; this second text is kept as a note"
            self.ledger.mark(said.cell, said.text, what)

    def _panel(self, bay: Said | None, entry: Entry) -> Panel:
        number = entry.number
        if bay is not None:
            self.ledger.take(bay.cell, "bay")
            key = bay.text.casefold()
            if key not in self._by_name:
                self._by_name[key] = self._new(bay.text, bay)
            if self._titles and self._is_name(self._titles[0], self._titles):
                self.names.append(self._titles[0])
                self.ledger.take(self._titles.pop(0).cell, "title")
            return self._by_name[key]
        panel = self._current
        if panel is None:
            titles = self._titles
            named = self._naming()
            again = self._named_before(named, number)
            panel = again or self._new(named.text if named else self._sheet, named)
            for index, said in enumerate(titles):
                self.ledger.take(said.cell, "title")
                before = named is None or named in titles[index + 1 :]
                if before and TITLE.search(panel.name) and self._is_name(said, titles):
                    self.names.append(said)
                elif said is not named:
                    panel.notes.append(("", said))
            self._titles = []
        elif number == min(panel.entries, default=-1) and clash(panel.entries[number], entry):
            panel = self._new(panel.name, None)
            what = f"numbers begin again at {number}: taken for another bay"
            self.ledger.guess(what, "likely", "a position stands once in a bay")
        return panel

    def _naming(self) -> Said | None:
        """The title that names the panel to come; None where the sheet's name does it better."""
        says = (title for title in self._titles if TITLE.search(title.text))
        others = [title for title in self._titles if re.search(NAMING, title.text)]
        if TITLE.search(self._sheet):
            others = []
        return next(says, others[-1] if others else None)

    def _is_name(self, said: Said, titles: Sequence[Said]) -> bool:
        """Whether a title over a bay may be the facility's name: alone in its row, on top of all.

        Over further bays it is one if it says the same again.
        """
        alone = sum(title.cell.row == said.cell.row for title in titles) == 1
        if self.names:
            return said.text == self.names[0].text
        return len(self.panels) == 1 and said is titles[0] and alone

    def _named_before(self, named: Said | None, number: int) -> Panel | None:
        """The panel of the same title, where this block goes on with it."""
        for panel in self.panels:
            same = named is not None and panel.name.casefold() == named.text.casefold()
            if same and number not in panel.entries:
                return panel
        return None

    def _new(self, name: str, named: Said | None) -> Panel:
        panel = Panel(name, named, two_rows=self.two_rows)
        self.panels.append(panel)
        return panel

    def finish(self) -> list[Panel]:
        """The panels, those too wide for a bay divided; titles over nothing become notes."""
        self._keep_titles()
        return [part for panel in self.panels for part in self._parts(panel)]

    def _keep_titles(self) -> None:
        """Titles over nothing become notes."""
        self._current = None if self._titles else self._current
        for said in self._titles:
            self.remark(said)
        self._titles = []

    def _parts(self, panel: Panel) -> Iterable[Panel]:
        numbers = sorted(panel.entries)
        if not numbers or (numbers[-1] - numbers[0] < WIDEST and numbers[-1] <= WIDEST):
            return [panel]
        if numbers[-1] - numbers[0] < PART:
            return [panel]
        parts: dict[int, Panel] = {}
        for number in numbers:
            index = (number - 1) // PART
            if index not in parts:
                parts[index] = replace(panel, entries={}, notes=[] if parts else panel.notes)
            parts[index].entries[number] = panel.entries[number]
        what = f"{quoted(panel.name)}: positions {numbers[0]} to {numbers[-1]} divided by {PART}"
        self.ledger.guess(what, "doubtful", f"a bay has at most {WIDEST} positions a row")
        return parts.values()


def clash(one: Entry, other: Entry) -> bool:
    """Whether two entries cannot be the two jacks of one position: they say the same field."""
    return bool(set(one.said) & set(other.said) - {"normal", "state", "group", "note"})
