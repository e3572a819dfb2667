"""A change in one plain sentence, with the addresses that it is at."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from slinediag.address import Jack, PortAddress
from slinediag.comparing.change import FactChange, Kind
from slinediag.comparing.facts import Key
from slinediag.comparing.grouping import Group
from slinediag.model.facility import Facility
from slinediag.tracing.phrases import listed, port_name
from slinediag.tracing.words import NORMAL_NAMES

SHIELDS = {
    "both": "joined at both ends",
    "equipment": "joined at the unit only",
    "bay": "joined at the bay only",
    "from": "joined where the line starts only",
    "to": "joined where the line ends only",
    "none": "joined nowhere",
}
FIELDS = {
    "max": "level at clipping",
    "x": "metres from the left",
    "earthed": "bond to earth",
    "normals_out": "break contacts brought out",
    "first": "first number",
    "label_top": "label of the top jack",
    "label_bottom": "label of the bottom jack",
    "drawn_by": "drawn by",
    "checked_by": "checked by",
    "approved_by": "approved by",
    "cord_lengths": "cords in stock",
    "cord_age": "days a cord may stand",
    "source": "first-named end",
    "swapped": "polarity",
}
Told = tuple[tuple[str, ...], str]
"""The addresses of a change, and its sentence."""


@dataclass(frozen=True)
class Wording:
    """Names as people know them: the new revision's, the old one's for what is gone."""

    old: Facility
    new: Facility

    def port(self, port: PortAddress) -> str:
        """The printed label of a port, with its side where its id is both."""
        for facility in (self.new, self.old):
            box = facility.equipment.get(port.equipment)
            if box is not None and (port.port, port.side) in box.facts:
                return port_name(facility, port)
        return str(port)

    def spelled(self, port: PortAddress) -> str:
        """The address of a port as answers write it."""
        facility = self.new if port.equipment in self.new.equipment else self.old
        return facility.spelled(port)

    def value(self, value: Any) -> str:
        """A value as a sentence says it."""
        if value is None:
            return "unset"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, PortAddress):
            return self.port(value)
        if isinstance(value, float):
            return f"{value:g}"
        if isinstance(value, (Jack, datetime.date, int)):
            return str(value)
        if isinstance(value, str):
            return f"“{value}”" if value != value.strip() or " " in value or not value else value
        if isinstance(value, (tuple, frozenset)):
            return ", ".join(self.value(part) for part in value)
        return " ".join(str(getattr(value, f)) for f in ("revision", "what"))


def told(group: Group, wording: Wording) -> Told:
    """The addresses of a group of facts, and the sentence that tells it."""
    kind, key, facts = group
    return TELLERS[kind](wording, key, facts)


def from_to(wording: Wording, fact: FactChange) -> str:
    """A fact before and after: ``4 to -10``, ``now 4``, ``no longer 4``."""
    before, after = wording.value(fact.before), wording.value(fact.after)
    if fact.before is None:
        return f"now {after}"
    return f"{before} to {after}" if fact.after is not None else f"no longer {before}"


def _field(key: Key) -> str:
    return FIELDS.get(str(key[-1]), str(key[-1]).replace("_", " "))


def _fields(wording: Wording, facts: tuple[FactChange, ...]) -> str:
    """All that differs of one thing, joined by semicolons."""
    return "; ".join(f"{_field(fact.key)}: {from_to(wording, fact)}" for fact in facts)


def _about(what: str) -> Callable[[Wording, Key, tuple[FactChange, ...]], Told]:
    """A sentence on the item that a key names, with all that differs."""

    def tell(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
        name = key[1]
        return (str(name),), f"{what} {name}: {_fields(wording, facts)}"

    return tell


def _item(what: str) -> Callable[[Wording, Key, tuple[FactChange, ...]], Told]:
    def tell(_: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
        names = [fact for fact in facts if fact.key == (*key, "name")]
        name = f" ({names[0].after or names[0].before})" if names else ""
        return (str(key[1]),), f"{what} {key[1]}{name}"

    return tell


def _equipment(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    if len(key) > 3:
        return _port(wording, key, facts)
    return (key[1],), f"equipment {key[1]}: {_fields(wording, facts)}"


def _port(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    port = PortAddress(key[1], key[3], key[2])
    name = wording.spelled(port)
    if len(key) == 4:
        word = "output" if port.side == "out" else "input"
        act = "added" if facts[0].before is None else "taken out"
        return (name,), f"{word} {act}: {name} ({wording.port(port)})"
    return (name,), f"{name} ({wording.port(port)}): {_fields(wording, facts)}"


def _path(_: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    word = "path inside" if key[2] == "path" else "bypass of"
    come = [f"{f.key[3]} to {f.key[4]}" for f in facts if f.before is None]
    gone = [f"{f.key[3]} to {f.key[4]}" for f in facts if f.after is None]
    parts = [f"now {listed(come)}"] if come else []
    parts += [f"no longer {listed(gone)}"] if gone else []
    return (key[1],), f"{word} {key[1]}: {'; '.join(parts)}"


def _place_or_label(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    if key[0] == "equipment":
        return _equipment(wording, key, facts)
    if key[0] == "racks":
        return (key[1],), f"rack {key[1]}: {_fields(wording, facts)}"
    if key[0] == "bays" and len(key) > 3:
        row = {"label_top": "T", "label_bottom": "B"}.get(key[3])
        at = str(Jack(key[1], "T" if row == "T" else "B", key[2])) if row else f"{key[1]} {key[2]}"
        return (at,), f"{at}: {_fields(wording, facts)}"
    return (key[1],), f"bay {key[1]}: {_fields(wording, facts)}"


def _normal(_: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    fact = facts[0]
    before, after = (NORMAL_NAMES[v] if v else "no position" for v in (fact.before, fact.after))
    at = f"{key[1]} {key[2]}"
    return (at,), f"{at}: {before} to {after}"


def _across(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    target, ends = key[1], {fact.key: fact for fact in facts}
    source, kind = ends.get(key), ends.get((*key, "kind"))
    if source is None:
        detail = f"to {target}: {from_to(wording, facts[0])}"
    elif source.before is None:
        wired = NORMAL_NAMES[kind.after] if kind else "normal"
        detail = f"{wired} wired from {source.after} to {target}, in place of the position's own"
    elif source.after is None:
        detail = f"from {source.before} to {target} taken out; the position's own is back"
    else:
        detail = f"to {target} comes from {source.after} and no longer from {source.before}"
    return (str(target),), f"normal across: {detail}"


def _wire(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    port = key[1]
    name, fact = wording.port(port), facts[0]
    jack = wording.new.carriers.get(port) or wording.old.carriers.get(port)
    at = (wording.spelled(port), str(jack))
    if len(key) == 3 and key[2] == "shield":
        before, after = (SHIELDS[v] for v in (fact.before, fact.after))
        return at, f"shield of {name} at {jack}: {before} to {after}"
    if len(key) == 3 and key[2] == "swapped":
        return at, f"polarity of {name} at {jack}: {_crossed(fact.after)}"
    if len(key) == 3:
        return at, f"cable of {name} at {jack}: {from_to(wording, fact)}"
    ends = {f.key: f for f in facts}[key]
    if ends.before is None:
        return at, f"{name} wired to {ends.after}"
    if ends.after is None:
        return at, f"{name} taken off {ends.before}"
    return (*at[:1], str(ends.before), str(ends.after)), (
        f"{name} re-terminated from {ends.before} to {ends.after}"
    )


def _crossed(swapped: bool) -> str:
    return "now crossed, + to ring and - to tip" if swapped else "now straight, + to tip"


def _mult(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    before, after = (set(v or ()) for v in (facts[0].before, facts[0].after))
    come, gone = sorted(after - before), sorted(before - after)
    parts = [f"ties {wording.value(tuple(come))} in"] if come else []
    parts += [f"no longer ties {wording.value(tuple(gone))}"] if gone else []
    return (key[1], *map(str, come), *map(str, gone)), f"mult {key[1]} {'; '.join(parts)}"


def _line(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    if len(key) == 2:
        ends = {f.key[-1]: f.after if f.after is not None else f.before for f in facts[1:]}
        act = "added" if facts[0].before is None else "removed"
        ways = [wording.value(ends[word]) for word in ("source", "target")]
        return (key[1],), f"line {key[1]} {act}: {ways[0]} to {ways[1]}"
    fact = facts[0]
    if key[2] == "shield":
        before, after = (SHIELDS[v] for v in (fact.before, fact.after))
        return (key[1],), f"shield of line {key[1]}: {before} to {after}"
    if key[2] == "swapped":
        return (key[1],), f"polarity of line {key[1]}: {_crossed(fact.after)}"
    return (key[1],), f"line {key[1]}: {_fields(wording, facts)}"


def _cord(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    one, other = key[1], key[2]
    sources = [f.after or f.before for f in facts if f.key == (*key[:3], "source")]
    if sources and sources[0] == other:
        one, other = other, one
    cord = f"{one}={other}"
    if len(key) > 3:
        return (cord,), f"cord {cord}: {_fields(wording, facts)}"
    come = facts[0].before is None
    notes = [f.after or f.before for f in facts if f.key[-1] == "note"]
    why = f" ({notes[0]})" if notes else ""
    return (cord,), f"cord {'left in' if come else 'taken out'}: {cord}{why}"


def _plug(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    jack = str(key[1])
    if len(key) > 2:
        return (jack,), f"dummy plug in {jack}: {_fields(wording, facts)}"
    act = "left in" if facts[0].before is None else "taken out of"
    return (jack,), f"dummy plug {act} {jack}"


def _data(wording: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    name = f"{FIELDS.get(key[1], key[1].replace('_', ' '))}"
    if key[1] in ("notes", "revisions"):
        return ("facility",), f"{name} of the facility changed"
    if len(key) > 2:
        name += f" {FIELDS.get(key[2], key[2])}"
    return ("facility",), f"{name}: {from_to(wording, facts[0])}"


def _accepted(_: Wording, key: Key, facts: tuple[FactChange, ...]) -> Told:
    fact = facts[0]
    act = "accepted" if fact.before is None else "no longer accepted"
    if fact.before is not None and fact.after is not None:
        act = "accepted on other grounds"
    return (key[2] or "facility",), f"finding {key[1]} at {key[2] or 'any place'} {act}"


TELLERS: Mapping[Kind, Callable[[Wording, Key, tuple[FactChange, ...]], Told]] = {
    "equipment added": _item("equipment added:"),
    "equipment taken out": _item("equipment taken out:"),
    "equipment": _equipment,
    "port added": _port,
    "port taken out": _port,
    "port": _port,
    "path": _path,
    "bay added": _item("bay added:"),
    "bay taken out": _item("bay taken out:"),
    "bay": _about("bay"),
    "normal": _normal,
    "normal across": _across,
    "wire added": _wire,
    "wire removed": _wire,
    "wire re-terminated": _wire,
    "polarity": _wire,
    "shield": _wire,
    "cable of a wire": _wire,
    "mult": _mult,
    "line added": _line,
    "line removed": _line,
    "line": _line,
    "cable": _about("cable"),
    "cord left in": _cord,
    "cord taken out": _cord,
    "cord": _cord,
    "dummy plug left in": _plug,
    "dummy plug taken out": _plug,
    "dummy plug": _plug,
    "label": _place_or_label,
    "note": _place_or_label,
    "place": _place_or_label,
    "practice": _data,
    "drawing data": _data,
    "accepted finding": _accepted,
}
