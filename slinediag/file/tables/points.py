"""Normals, states, cables and notes of positions as the table says them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from slinediag.address import Jack, PortAddress
from slinediag.file.claims import CABLE_USE
from slinediag.file.tables.cells import quoted
from slinediag.file.tables.fields import field_words
from slinediag.file.tables.gather import Entry, Panel, Said
from slinediag.file.tables.ledger import Ledger
from slinediag.file.tables.meanings import (
    NORMAL_WORDS,
    SIGNS,
    NormalWord,
    folded,
    normal_in,
    normal_of,
    state_of,
)  # fmt: skip
from slinediag.model.bay import BayPoint, NormalKind, PointState, Wire

Notes = list[str]
NONES_WITH = {"y", "yes", "f", "full", "fn"}
"""Words beside which a lone N says none."""


NORMALLED: Mapping[NormalKind, str] = {
    "full": "full-normaled", "half": "half-normaled", "reverse-half": "reverse half-normaled",
    "parallel": "parallel", "none": "not normaled",
}  # fmt: skip


class PointMaker:
    """Makes the points of one bay."""

    def __init__(
        self, bay: str, panel: Panel, first: int, wired: Mapping[Jack, PortAddress],
        pairs: set[str], ledger: Ledger,
    ) -> None:  # fmt: skip
        self._bay, self._panel, self._first = bay, panel, first
        self._wired, self._pairs, self._ledger = wired, pairs, ledger
        texts = [e.said["normal"].text for e in panel.entries.values() if "normal" in e.said]
        self._words = {folded(text) for text in texts}
        self.default = self._default()

    def _default(self) -> NormalKind:
        """The normal of most positions; half where the table says nothing of normals."""
        kinds = Counter(
            word.kind
            for entry in self._panel.entries.values()
            if "normal" in entry.said and (word := self._kind(entry.said["normal"].text))
        )
        if kinds:
            return max(kinds, key=lambda kind: kinds[kind])
        texts = (*(said for _, said in self._panel.notes), self._panel.named)
        told = [(said, kind) for said in texts if said and (kind := normal_in(said.text))]
        if len({kind for _, kind in told}) == 1:
            said, kind = told[0]
            what = f"{self._bay}: positions are {NORMALLED[kind]}"
            self._ledger.guess(what, "likely", f"{said.cell} says {quoted(said.text)}")
            return kind
        if not self._panel.one_row:
            what = f"{self._bay}: every position is half-normaled"
            self._ledger.guess(what, "doubtful", "the table says nothing of normals; test them")
        return "half"

    def _kind(self, text: str) -> NormalWord | None:
        small = folded(text)
        if small == "n" and self._words & NONES_WITH:
            return NormalWord("none", "likely")
        return normal_of(text)

    def point(self, entry: Entry, labels: Mapping[str, str], more: Notes) -> BayPoint:
        """The point of an entry; ``labels`` are its printed ones by row, ``more`` further notes."""
        notes: Notes = [*more]
        position = entry.number - self._first + 1
        wires = {
            row: Wire(self._wired[jack])
            for row in ("T", "B")
            if (jack := Jack(self._bay, "T" if row == "T" else "B", position)) in self._wired
        }
        state = self._state(entry, labels, notes)
        normal = self._normal(entry, wires, labels, notes)
        self._cables(entry, wires, notes)
        group = entry.said.get("group")
        if group is not None:
            self._ledger.take(group.cell, "group")
        self._rest(entry, notes)
        return BayPoint(
            top=wires.get("T"),
            bottom=wires.get("B"),
            normal=None if normal == self.default else normal,
            label_top=labels.get("T"),
            label_bottom=labels.get("B"),
            group=group.text if group else None,
            state=state,
            note="; ".join(dict.fromkeys(notes)) or None,
        )

    def _state(self, entry: Entry, labels: Mapping[str, str], notes: Notes) -> PointState | None:
        said = entry.said.get("state")
        found = state_of(said.text) if said else None
        if said is not None:
            self._ledger.read(
                said.cell, said.text, found or "not known: a note", "sure" if found else "doubtful"
            )
            notes += [] if found else [f"state: {said.text}"]
        for row in ("T", "B"):
            name = entry.said.get(f"label {row}") or entry.said.get(f"box {row}")
            state = state_of(name.text) if name and row not in labels else None
            if name is None or state not in ("spare", "reserved"):
                continue
            sign = folded(name.text) in SIGNS
            self._ledger.read(
                name.cell,
                name.text,
                "nothing there" if sign else state,
                "likely" if sign else "sure",
            )
            if not labels and not (sign and found):
                found = found or state
        return found

    def _normal(
        self, entry: Entry, wires: Mapping[str, Wire], labels: Mapping[str, str], notes: Notes
    ) -> NormalKind | None:
        said = entry.said.get("normal")
        if said is None:
            return self._unsaid(entry, wires, labels)
        word = self._kind(said.text)
        if word is None:
            stands = f"{kind_words(self.default)} stands there until you say otherwise"
            self._ledger.mark(said.cell, said.text, f"no known normal: kept as a note; {stands}")
            self._ledger.take(said.cell, "note")
            notes.append(f"normal: {said.text}")
            return None
        self._ledger.read(said.cell, said.text, kind_words(word.kind), word.certainty)
        return word.kind

    def _unsaid(
        self, entry: Entry, wires: Mapping[str, Wire], labels: Mapping[str, str]
    ) -> NormalKind | None:
        """The normal of a position of which the table says none."""
        top, bottom = wires.get("T"), wires.get("B")
        if top and bottom and top.to.equipment == bottom.to.equipment and not self._words:
            why = f"{top.to.equipment} would be fed by itself"
            self._ledger.guess(f"{self._bay} {entry.number}: no normal", "likely", why)
            return "none"
        if self._words and not entry.normals:
            what = f"{self._bay}: where the table has no normals they are as at most positions"
            self._ledger.guess(what, "doubtful", "another part of it states them; test them")
            return None
        if self._words & set(NORMAL_WORDS) and labels:
            what = f"{self._bay}: a blank under the normals is no normal"
            self._ledger.guess(what, "doubtful", "other positions state one")
            return "none"
        return None

    def _cables(self, entry: Entry, wires: dict[str, Wire], notes: Notes) -> None:
        for field in ("cable T", "cable B", "cable"):
            said = entry.said.get(field)
            if said is None:
                continue
            row = field[6:] or (next(iter(wires)) if len(wires) == 1 else "")
            self._cable(said, row, wires, notes)

    def _cable(self, said: Said, row: str, wires: dict[str, Wire], notes: Notes) -> None:
        found = CABLE_USE.match(said.text)
        why = ""
        if row not in wires:
            why = "it is not clear which jack's"
        elif not found:
            why = "no id of a cable, as S12 or S12/3"
        elif found[2] and said.text in self._pairs:
            why = "this pair is used already"
        elif wires[row].cable is not None:
            why = "a second cable"
        self._ledger.take(said.cell, "cable")
        if why:
            self._ledger.mark(said.cell, said.text, f"cable: {why}; kept as a note")
            notes.append(f"cable {said.text}")
            return
        self._pairs.add(said.text)
        wires[row] = Wire(wires[row].to, said.text)

    def _rest(self, entry: Entry, notes: Notes) -> None:
        """What no field holds becomes the position's note."""
        for name, said in entry.notes:
            self._ledger.take(said.cell, "note")
            notes.append(f"{name}: {said.text}" if name else said.text)
        done = ("label", "box", "port", "side", "cable", "place", "normal", "state", "group", "bay")
        for name, said in entry.said.items():
            known = name.split(" ")[0] in done
            if (not known or (said.cell not in self._ledger.fates)) and name != "place":
                self._ledger.take(said.cell, "note")
                why = "" if re.search(r"\w", said.text) else "no letters or figures, "
                what = f"{field_words(name)}: {why}kept as a note"
                self._ledger.mark(said.cell, said.text, what)
                notes.append(f"{field_words(name)}: {said.text}")


def kind_words(kind: NormalKind) -> str:
    """A kind of normal in the words of the report."""
    words: Mapping[NormalKind, str] = {
        "full": "full-normal", "half": "half-normal", "reverse-half": "reverse half-normal",
        "parallel": "parallel", "none": "no normal",
    }  # fmt: skip
    return words[kind]
