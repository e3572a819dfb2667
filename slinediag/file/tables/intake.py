"""From a table that people keep to a facility, and a report of every cell.

The steps: sheets → layout (``headings``, ``row_layout``, ``block_layout``) → panels of entries
(``gather``) → mentions of ports (``mentions``) → equipment (``equipment``) and points (``points``).
What no step understands becomes a note, so that nothing of the table is lost.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Jack
from slinediag.file.source import refusal
from slinediag.file.tables.block_layout import has_blocks, read_blocks
from slinediag.file.tables.book import Book
from slinediag.file.tables.cells import CellRef, Sheet, clean, quoted
from slinediag.file.tables.equipment import BoxMaker
from slinediag.file.tables.fields import Mapped
from slinediag.file.tables.gather import Entry, Gatherer, Panel, Said
from slinediag.file.tables.headings import find_columns
from slinediag.file.tables.ids import Ids
from slinediag.file.tables.ledger import Ledger, Report
from slinediag.file.tables.meanings import Certainty
from slinediag.file.tables.mentions import Mention, MentionReader, is_state
from slinediag.file.tables.naming import Company, company_of, place_in
from slinediag.file.tables.numbers import Numbered, read_position
from slinediag.file.tables.points import PointMaker
from slinediag.file.tables.row_layout import read_rows
from slinediag.file.tables.ties import MULT, alike, mults_of, tie_lines
from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint
from slinediag.model.facility import Facility, Practice
from slinediag.model.labels import jack_label

USUAL_SHEETS = ("sheet", "tabelle", "feuil", "hoja", "blad", "ark", "list", "foglio")
"""Beginnings of the names that spreadsheet programs give new sheets."""
ROUND = (24, 48, 96)
"""Positions of full rows; a table that ends up to four short of one is taken for it."""
SHORT = 4
NO_POSITIONS = (
    "Name the columns with --map, as --map 'Quelle=top'; or put headings over them: Position, Top, "
    "Bottom, Normal"
)


@dataclass(frozen=True, slots=True)
class Imported:
    """What a table came to: a facility, and what became of every cell."""

    facility: Facility
    report: Report


def import_table(book: Book, maps: Sequence[Mapped] = (), name: str = "") -> Imported:
    """The facility of a kept table; FileErrors where no positions can be made out in it."""
    ledger = Ledger()
    gather = Gatherer(ledger)
    for sheet in book.sheets:
        read_sheet(sheet, book, maps, gather)
    panels = gather.finish()
    if not panels:
        raise refusal(book.name, "no positions can be made out in this table", NO_POSITIONS)
    if book.torn:
        ledger.mark(None, "", "a quote is never closed: look at where cells begin and end")
    called = name or facility_name(gather, ledger) or clean(book.stem) or "Imported"
    facility = Builder(panels, ledger).facility(called)
    notes = [f"{heading}: {said.text}" if heading else said.text for heading, said in gather.notes]
    for _, said in gather.notes:
        ledger.remark(said.cell, said.text, "kept as a note of the facility")
    notes += leftovers(book, ledger)
    practice = replace(facility.practice, notes=tuple(dict.fromkeys(notes)))
    return Imported(replace(facility, practice=practice), ledger.report(book.name, book.how))


def read_sheet(sheet: Sheet, book: Book, maps: Sequence[Mapped], gather: Gatherer) -> None:
    """Take in one sheet by the layout that it has; none of them leaves its cells over."""
    usual = sheet.name.casefold().startswith(USUAL_SHEETS)
    gather.start(book.stem if not sheet.name or (usual and len(book.sheets) == 1) else sheet.name)
    for warning in sheet.warnings:
        gather.ledger.mark(None, "", warning)
    columns = find_columns(sheet, maps)
    title = f"sheet {sheet.name}" if sheet.name else "table"
    if columns is not None:
        headings = f"headings in row {columns.row}" if columns.row else "no headings"
        gather.ledger.layouts.append(f"{title}: {headings}, a row a position")
        read_rows(sheet, columns, gather)
    elif has_blocks(sheet):
        gather.ledger.layouts.append(f"{title}: rows of labels as on the bay")
        read_blocks(sheet, gather)
    else:
        gather.ledger.layouts.append(f"{title}: no positions found; its texts are kept as notes")


def facility_name(gather: Gatherer, ledger: Ledger) -> str:
    """The name of the facility by a title over the first bay; empty where there is none."""
    if not gather.names:
        return ""
    first = gather.names[0]
    ledger.guess(f"{quoted(first.text)} is the facility's name", "likely", f"by {first.cell}")
    return first.text


def leftovers(book: Book, ledger: Ledger) -> list[str]:
    """Notes of all that no step has taken, row by row, and of the comments on cells."""
    notes = []
    for sheet in book.sheets:
        rows: dict[int, list[tuple[CellRef, str]]] = {}
        for cell, text in sheet.cells():
            if cell not in ledger.fates:
                rows.setdefault(cell.row, []).append((cell, text))
        for cells in rows.values():
            notes.append(f"{cells[0][0]}: {' | '.join(text for _, text in cells)}")
            for cell, text in cells:
                ledger.take(cell, "note")
                ledger.mark(cell, text, "not understood: kept as a note of the facility")
        for (row, column), text in sheet.remarks.items():
            cell = sheet.ref(row, column)
            notes.append(f"comment at {cell}: {clean(text)}")
            ledger.mark(cell, clean(text), "comment: kept as a note of the facility")
    return notes


@dataclass(frozen=True)
class Placed:
    """A panel with the bay it becomes: its id, and the number of its first position."""

    bay: str
    first: int
    panel: Panel


class Builder:
    """Builds a facility of panels."""

    def __init__(self, panels: Sequence[Panel], ledger: Ledger) -> None:
        self._ledger = ledger
        self._ids = Ids()
        self._panels = [Placed(self._bay_id(p), first_number(p), p) for p in panels]

    def _bay_id(self, panel: Panel) -> str:
        name = self._ids.of_bay(panel.name, panel.named is not None)
        if name != panel.name:
            why = f"by {panel.named.cell}" if panel.named else "the table does not name the bay"
            certainty: Certainty = "likely" if panel.named else "doubtful"
            self._ledger.guess(f"{quoted(panel.name)} is bay {name}", certainty, why)
        return name

    def facility(self, name: str) -> Facility:
        """The whole facility."""
        texts = [said.text for p in self._panels for said in labels_of(p.panel)]
        company = company_of(texts)
        mentions = [m for placed in self._panels for m in self._mentions(placed, company)]
        ties = tie_lines(mentions, self._ids, self._ledger)
        mults = mults_of(mentions, self._ids, self._ledger)
        tied = {jack for line in ties.values() for jack in (line.source, line.target)}
        tied |= {mention.jack for ends in alike(mentions, MULT) for mention in ends}
        boxes = BoxMaker(self._ids, self._ledger)
        for mention in mentions:
            if mention.jack not in tied:
                boxes.add(mention)
        notes: dict[tuple[str, int], list[str]] = {}
        for mention, note in boxes.left:
            notes.setdefault((mention.jack.bay, mention.jack.position), []).append(note)
        for mention in mentions:
            if mention.name.bracket and not place_in(f"{mention.name.bracket} x"):
                at = (mention.jack.bay, mention.jack.position)
                notes.setdefault(at, []).append(mention.name.bracket)
        bare = Facility(Practice(name), equipment=boxes.equipment(), lines=ties, mults=mults)
        pairs: set[str] = set()
        labels = {mention.jack: mention.label for mention in mentions}
        bays = {
            placed.bay: self._bay(placed, boxes, bare, labels, notes, pairs)
            for placed in self._panels
        }
        return replace(bare, bays=bays)

    def _mentions(self, placed: Placed, company: Company) -> list[Mention]:
        reader = MentionReader(placed.bay, placed.panel, placed.first, company, self._ledger)
        found = []
        for number in sorted(placed.panel.entries):
            said = placed.panel.entries[number].said
            for row in ("T", "B"):
                if not is_state(said, "T" if row == "T" else "B"):
                    found.append(reader.mention(number, "T" if row == "T" else "B"))
        return [mention for mention in found if mention is not None]

    def _bay(
        self, placed: Placed, boxes: BoxMaker, bare: Facility, labels: Mapping[Jack, str],
        notes: Mapping[tuple[str, int], list[str]], pairs: set[str],
    ) -> Bay:  # fmt: skip
        panel, first = placed.panel, placed.first
        maker = PointMaker(placed.bay, panel, first, boxes.wired, pairs, self._ledger)
        place, place_notes = self._place(panel)
        width = self._width(placed)
        through = is_through(placed, width)
        for said in panel.bottom.values():
            self._ledger.take(said.cell, "position" if through else "note")
        points = {}
        shell = Bay(placed.bay, bay_name(panel) or placed.bay)
        for number in sorted(panel.entries):
            entry = panel.entries[number]
            position = number - first + 1
            own = self._labels(placed, entry, labels)
            if number in panel.bottom and not through:
                own_number = panel.bottom[number].text
                place_notes.setdefault(number, []).append(f"bottom jack numbered {own_number}")
            more = [*notes.get((placed.bay, position), ()), *place_notes.get(number, ())]
            point = maker.point(entry, own, more)
            bare_bay = replace(shell, points={position: point})
            point = without_needless_labels(
                replace(bare, bays={shell.id: bare_bay}), shell.id, position
            )
            if point != EMPTY_POINT:
                points[position] = point
        return replace(
            shell,
            positions=width,
            rows=1 if panel.one_row else None,
            numbering="through" if through else None,
            first=first if first != 1 else None,
            place=place,
            normal=maker.default,
            points=points,
            note="; ".join(dict.fromkeys(self._panel_notes(panel))) or None,
        )

    def _labels(self, placed: Placed, entry: Entry, labels: Mapping[Jack, str]) -> dict[str, str]:
        """The labels of a position's jacks, by row; signs for nothing are no labels."""
        own = {}
        position = entry.number - placed.first + 1
        for row in ("T", "B"):
            jack = Jack(placed.bay, "T" if row == "T" else "B", position)
            said = entry.said.get(f"label {row}") or entry.said.get(f"box {row}")
            if jack in labels:
                own[row] = labels[jack]
            elif said is not None and len(jack_texts(entry)) > 1 and len(said.text) > 2:
                # One jack of a position is spare, the other is not: the strip says so.
                other = Jack(placed.bay, "B" if row == "T" else "T", position)
                if other in labels:
                    own[row] = said.text
                    self._ledger.take(said.cell, "label")
        return own

    def _place(self, panel: Panel) -> tuple[str | None, dict[int, list[str]]]:
        """The place of a bay, and notes of positions for places that are not the bay's."""
        said = {
            n: s for n, e in panel.entries.items()
            for field in ("bay place", "place") if (s := e.said.get(field))
        }  # fmt: skip
        for text in said.values():
            self._ledger.take(text.cell, "place")
        texts = list(dict.fromkeys(text.text for text in said.values()))
        if len(texts) == 1:
            self._ledger.guess(
                f"{quoted(panel.name)} stands in {texts[0]}", "likely", "all rows say it"
            )
            return texts[0], {}
        for name in texts:
            cell = next(text.cell for text in said.values() if text.text == name)
            self._ledger.mark(cell, name, "whose place is not clear: kept as notes of positions")
        return None, {n: [f"place: {text.text}"] for n, text in said.items()}

    def _panel_notes(self, panel: Panel) -> list[str]:
        notes = []
        for heading, said in panel.notes:
            self._ledger.take(said.cell, "note")
            if not heading.startswith("position "):
                self._ledger.remark(said.cell, said.text, "kept as a note of the bay")
            notes.append(f"{heading}: {said.text}" if heading else said.text)
        return notes

    def _width(self, placed: Placed) -> int:
        """Positions of the bay: as the layout shows, else up to the last, or a full row near it."""
        count = max(placed.panel.entries) - placed.first + 1
        if placed.panel.bottom:
            return count
        full = next((n for n in ROUND if n - SHORT <= count <= n), count)
        if full != count:
            what = f"{placed.bay} has {full} positions"
            self._ledger.guess(
                what, "likely", f"the table ends at the {count}th, and {full} are a row"
            )
        return full


def bay_name(panel: Panel) -> str:
    """The name of a bay; one that is a number or a letter says that it is a bay."""
    bare = panel.name.isdigit() or len(panel.name) == 1
    return f"Bay {panel.name}" if bare else panel.name


def first_number(panel: Panel) -> int:
    """The number of the first position: 1, unless the numbers go on from another bay or from 0."""
    least = min(panel.entries)
    if least > 1 and ((least - 1) % 24 == 0 or max(panel.entries) > ROUND[-1]):
        return least
    return min(least, 1)


def is_through(placed: Placed, width: int) -> bool:
    """Whether the numbers of the bottom row go on from those of the top row, as bays print them."""
    panel = placed.panel
    return set(panel.bottom) == set(panel.entries) and all(
        read_position(said.text) == Numbered((number + width,))
        for number, said in panel.bottom.items()
    )


def labels_of(panel: Panel) -> Iterator[Said]:
    """Every label of a panel."""
    for entry in panel.entries.values():
        for field in ("label T", "label B"):
            if field in entry.said:
                yield entry.said[field]


def jack_texts(entry: Entry) -> list[Said]:
    """What an entry says at its two jacks."""
    fields = ("label T", "label B", "box T", "box B")
    return [said for field in fields if (said := entry.said.get(field)) is not None]


def without_needless_labels(facility: Facility, bay: str, position: int) -> BayPoint:
    """The point at a position, with labels only where they differ from what would be printed."""
    point = facility.bays[bay].points[position]
    bare = replace(point, label_top=None, label_bottom=None)
    plain = replace(facility, bays={bay: replace(facility.bays[bay], points={position: bare})})
    top = jack_label(plain, Jack(bay, "T", position))
    bottom = jack_label(plain, Jack(bay, "B", position))
    return replace(
        point,
        label_top=None if point.label_top == top else point.label_top,
        label_bottom=None if point.label_bottom == bottom else point.label_bottom,
    )
