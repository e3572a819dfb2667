"""Changes of plain values as edits of the lines that hold them; all other lines stay.

The nodes of the old file and the plain values of old and new are walked side by side. Where they
are not built alike, or a line cannot be changed alone, the value that encloses it is written anew.

An anchor's value that changes must not change what its aliases say: its name is gathered in
``touched``, and a second walk with that name ``released`` writes its aliases out as values.
"""

from __future__ import annotations

import re
from collections.abc import Sequence as Several
from difflib import SequenceMatcher

from slinediag.file import emit
from slinediag.file.edits import Awkward, Edit, Lines
from slinediag.file.members import Addition, Span, block_edits, flow_edits
from slinediag.file.nodes import Entry, Mapping, Node, Scalar, Sequence
from slinediag.file.panels import read_span
from slinediag.file.plain import Plain, Points, Table, Word
from slinediag.file.quoting import quoted_if_needed
from slinediag.file.runs import EMPTY, folded, run_table
from slinediag.file.slots import Slot, replaced

LINE = r"(?:\r\n|\r|\n)"
COMMENT = r"[ \t]*(?:#[^\r\n]*)?"
DASH = re.compile(rf"-{COMMENT}(?:{LINE}{COMMENT})*\Z")


class Splicer:
    """Gathers the edits that turn one plain value into another in a text.

    ``deepest`` is the level down to which values are changed part by part.
    """

    def __init__(self, lines: Lines, released: frozenset[str], deepest: int) -> None:
        self.edits: list[Edit] = []
        self.touched: set[str] = set()
        self._lines = lines
        self._released = released
        self._deepest = deepest

    def root(self, node: Mapping, old: Table, new: Table) -> None:
        """The edits of a whole file; Awkward where its sections cannot be changed one by one."""
        if not self._table(node, old, new, 0):
            raise Awkward

    def _value(self, slot: Slot, old: Plain, new: Plain, level: int) -> None:
        """The edits of one value."""
        node = slot.node
        if old == new and not self._holds_released(node):
            return
        if node.alias:
            self._replace(slot, new)
            return
        if same_spelling(node, new):
            return
        if node.anchor and old != new:
            self.touched.add(node.anchor)
        before = len(self.edits)
        try:
            if level >= self._deepest or not self._parts(node, old, new, level + 1):
                self._replace(slot, new)
        except Awkward:
            del self.edits[before:]
            self._replace(slot, new)

    def _parts(self, node: Node, old: Plain, new: Plain, level: int) -> bool:
        """Change a value part by part, if node, old and new value are built alike."""
        if isinstance(node, Sequence):
            old, new = as_list(old), as_list(new)
            if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(node.items):
                return bool(new) and self._list(node, old, new, level)
        if isinstance(node, Mapping):
            if isinstance(old, Table) and isinstance(new, Table):
                return bool(new.rows) and self._table(node, old, new, level)
            if isinstance(old, Points) and isinstance(new, Points):
                return bool(new.rows) and self._points(node, old, new, level)
        return False

    def _table(self, node: Mapping, old: Table, new: Table, level: int) -> bool:
        """Change the keys of a mapping one by one."""
        if not node.entries:
            return False
        keys = [e.key.text for e in node.entries if isinstance(e.key, Scalar)]
        gone = [i for i, key in enumerate(keys) if key not in new.rows and key in old.rows]
        filed = set(keys)
        fresh = [key for key in new.rows if key not in filed]
        if not in_order(keys, gone, new):
            return False
        if len(gone) == 1 and self._renamed(node.entries[gone[0]], gone[0], fresh, old, new):
            gone, fresh = [], []
        for index, entry in enumerate(node.entries):
            self._key(entry)
            if keys[index] in new.rows:
                key = keys[index]
                slot = self._entry_slot(node, entry)
                self._value(slot, old.rows.get(key), new.rows[key], level)
        indent = self._lines.indent(node.entries[0].key.start)
        spread = self._spread(node, len(node.entries) - 1)
        added = [
            Addition(
                place_of(key, keys, new),
                emit.flow_entry(key, new.rows[key]),
                emit.entry_lines(key, new.rows[key], indent, spread),
            )
            for key in fresh
        ]
        if level == 0 and self._parted(node):
            for section in added:
                section.block.insert(0, "")
        self._rebuild(node, gone, added)
        return True

    def _parted(self, node: Mapping) -> bool:
        """Whether an empty line stands above the last entry."""
        start = self._lines.start(node.entries[-1].key.start)
        return not self._lines.text[self._lines.start(start - 1) : start].strip() and start > 0

    def _renamed(self, entry: Entry, at: int, fresh: list[str], old: Table, new: Table) -> bool:
        """Change the key alone where one item has changed nothing but its id."""
        if len(fresh) != 1 or not isinstance(entry.key, Scalar):
            return False
        key, value = fresh[0], new.rows[fresh[0]]
        if old.rows[entry.key.text] != value or value is None:
            return False
        if new.order and new.order.index(key) != at:
            return False
        self._check_removed(entry.key)
        self.edits.append(Edit(entry.key.start, entry.key.end, quoted_if_needed(key, flow=True)))
        return True

    def _key(self, entry: Entry) -> None:
        """Write out a key that is a released alias."""
        key = entry.key
        if isinstance(key, Scalar) and key.alias and key.anchor in self._released:
            self.edits.append(Edit(key.start, key.end, quoted_if_needed(key.text, flow=True)))

    def _spread(self, node: Mapping, behind: int) -> bool:
        """Whether a new item takes a line for each key, as the one that it follows does."""
        value = node.entries[max(behind, 0)].value
        return isinstance(value, Mapping) and not value.flow and not value.alias

    def _points(self, node: Mapping, old: Points, new: Points, level: int) -> bool:
        """Change the positions and runs of a bay one by one; new ones in numeric order."""
        if not node.entries:
            return False
        spans: list[range] = []
        gone: list[int] = []
        for index, entry in enumerate(node.entries):
            key = entry.key.text if isinstance(entry.key, Scalar) else ""
            span = read_span(key)
            if span is None:
                return False
            spans.append(span)
            self._key(entry)
            before = [old.rows.get(n, EMPTY) for n in span]
            after = [new.rows.get(n, EMPTY) for n in span]
            if before != after and not any(point.rows for point in after):
                gone.append(index)
                continue
            slot = self._entry_slot(node, entry)
            self._value(slot, run_like(entry.value, before), run_like(entry.value, after), level)
        self._rebuild(node, gone, self._new_points(node, spans, new))
        return True

    def _new_points(self, node: Mapping, spans: list[range], new: Points) -> list[Addition]:
        filed = {position for span in spans for position in span}
        fresh = {n: point for n, point in new.rows.items() if n not in filed}
        indent = self._lines.indent(node.entries[0].key.start)
        added = []
        for place in sorted({behind(n, spans) for n in fresh}):
            spread = self._spread(node, place)
            here = {n: point for n, point in fresh.items() if behind(n, spans) == place}
            for key, row in folded(here, emit.fits_on_line):
                flow, block = f"{key}: {emit.flow(row)}", emit.span_lines(key, row, indent, spread)
                added.append(Addition(place, flow, block))
        return added

    def _list(self, node: Sequence, old: Several[Plain], new: Several[Plain], level: int) -> bool:
        """Change the items of a list one by one."""
        if not node.items:
            return False
        gone: list[int] = []
        added: list[Addition] = []
        for tag, a, b, c, d in matched(old, new):
            paired = min(b - a, d - c) if tag != "equal" else b - a
            for index in range(paired):
                slot = self._item_slot(node, a + index)
                self._value(slot, old[a + index], new[c + index], level)
            gone += range(a + paired, b)
            for value in new[c + paired : d]:
                lines = [] if node.flow else emit.item_lines(value, self._dash_column(node))
                added.append(Addition(b - 1, emit.flow(value), lines))
        self._rebuild(node, gone, added)
        return True

    def _dash_column(self, node: Sequence) -> int:
        return self._lines.indent(self._dash(node, 0))

    def _dash(self, node: Sequence, index: int) -> int:
        """Where the dash of an item stands; comments may follow it."""
        first = node.items[index - 1].end if index else node.start
        start = node.items[index].start
        found = DASH.search(self._lines.text, first, start)
        if found is None:
            raise Awkward
        return found.start()

    def _entry_slot(self, node: Mapping, entry: Entry) -> Slot:
        return Slot(
            entry.value, entry.key.end, self._lines.indent(node.entries[0].key.start), node.flow
        )

    def _item_slot(self, node: Sequence, index: int) -> Slot:
        item = node.items[index]
        if node.flow:
            return Slot(item, item.start, 0, True)
        dash = self._dash(node, index)
        return Slot(item, dash + 1, self._lines.indent(dash), False)

    def _replace(self, slot: Slot, new: Plain) -> None:
        """Write a value anew in the place of the old one."""
        self._check_removed(slot.node)
        self.edits.append(replaced(self._lines, slot, new))

    def _check_removed(self, node: Node) -> None:
        """Remember the anchors that go with a node."""
        if node.alias:
            return
        if node.anchor:
            self.touched.add(node.anchor)
        for part in parts(node):
            self._check_removed(part)

    def _holds_released(self, node: Node) -> bool:
        """Whether an alias of a released anchor stands in a node."""
        if not self._released:
            return False
        if node.alias:
            return node.anchor in self._released or any(map(self._holds_released, parts(node)))
        return any(map(self._holds_released, parts(node)))

    def _rebuild(self, node: Mapping | Sequence, gone: list[int], added: list[Addition]) -> None:
        """Take entries or items out of a collection and put new ones in."""
        if not gone and not added:
            return
        spans = self._spans(node)
        for index in gone:
            self._check_removed_part(node, index)
        edits = flow_edits if node.flow else block_edits
        self.edits += edits(self._lines, spans, gone, added)

    def _spans(self, node: Mapping | Sequence) -> list[Span]:
        """Start and end of each entry or item, with its key or dash."""
        if isinstance(node, Mapping):
            return [(e.key.start, max(e.key.end, e.value.end)) for e in node.entries]
        if node.flow:
            return [(item.start, item.end) for item in node.items]
        dashes = [self._dash(node, index) for index in range(len(node.items))]
        return [(d, max(d + 1, item.end)) for d, item in zip(dashes, node.items, strict=True)]

    def _check_removed_part(self, node: Mapping | Sequence, index: int) -> None:
        if isinstance(node, Mapping):
            self._check_removed(node.entries[index].key)
            self._check_removed(node.entries[index].value)
        else:
            self._check_removed(node.items[index])


def parts(node: Node) -> list[Node]:
    """The nodes right below a node."""
    if isinstance(node, Mapping):
        return [part for entry in node.entries for part in (entry.key, entry.value)]
    return list(node.items) if isinstance(node, Sequence) else []


def same_spelling(node: Node, new: Plain) -> bool:
    """Whether an address stands there already, in another spelling of the same."""
    if isinstance(new, Table):
        new = new.lone()
    if not isinstance(new, Word) or not isinstance(node, Scalar) or not new.also:
        return False
    return node.text.strip() in (new.text, *new.also)


def run_like(node: Node, points: list[Table]) -> Table:
    """What a run says, with lists for the keys that hold lists in its node."""
    rows = dict(run_table(points).rows)
    for entry in node.entries if isinstance(node, Mapping) else ():
        key = entry.key.text if isinstance(entry.key, Scalar) else ""
        if key in rows and isinstance(entry.value, Sequence):
            rows[key] = tuple(point.rows.get(key) for point in points)
    return Table(rows)


def as_list(value: Plain) -> Plain:
    """A table that a list of its keys may stand for as that list."""
    keys = value.bare_keys() if isinstance(value, Table) else None
    return value if keys is None else keys


def in_order(keys: list[str], gone: list[int], new: Table) -> bool:
    """Whether the keys that stay keep their order, where it has a meaning."""
    if not new.order:
        return True
    removed = {keys[index] for index in gone}
    stays = [key for key in keys if key not in removed]
    return stays == [key for key in new.order if key in set(stays)]


def place_of(key: str, keys: list[str], new: Table) -> int:
    """The index of the old key that a new one follows: the last, unless order has a meaning."""
    if not new.order:
        return len(keys) - 1
    before = new.order[: new.order.index(key)]
    return max((keys.index(other) for other in before if other in keys), default=-1)


def behind(position: int, spans: list[range]) -> int:
    """The index of the last run that begins before a position; -1 where none does."""
    return max((i for i, span in enumerate(spans) if span[0] < position), default=-1)


def matched(old: Several[Plain], new: Several[Plain]) -> list[tuple[str, int, int, int, int]]:
    """What stays, changes, goes and comes between two lists, as difflib has it."""
    before, after = [repr(value) for value in old], [repr(value) for value in new]
    return list(SequenceMatcher(None, before, after, autojunk=False).get_opcodes())
