"""Facts that differ, put together to changes as the trade tells them apart."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from slinediag.address import natural
from slinediag.comparing.change import FactChange, Kind
from slinediag.comparing.facts import Key

Group = tuple[Kind, Key, tuple[FactChange, ...]]
"""A kind of change, the key that it is about, and the facts that belong to it."""

LABELS = frozenset({"label", "label_top", "label_bottom"})
WIRE_KINDS: Mapping[str, Kind] = {
    "cable": "cable of a wire",
    "shield": "shield",
    "swapped": "polarity",
}
ORDER: tuple[str, ...] = (
    "equipment", "bays", "wire", "lines", "mults", "cross", "cords", "plugs", "cables", "racks",
    "facility", "accept",
)  # fmt: skip
"""Sections in the order in which changes are told."""


def grouped(changes: Iterable[FactChange]) -> list[Group]:
    """Every differing fact in just one group, in the order of sections, then natural order."""
    sections: dict[str, dict[Key, FactChange]] = {name: {} for name in ORDER}
    for change in changes:
        sections[change.key[0]][change.key] = change
    found: list[Group] = []
    for name in ORDER:
        groups = _GROUPED[name](sections[name])
        found += sorted(groups, key=lambda group: _order(group[1]))
    return found


def _order(key: Key) -> tuple[object, ...]:
    return tuple(
        natural(" ".join(map(str, part)) if isinstance(part, tuple) else str(part)) for part in key
    )


def _with_parts(
    facts: Mapping[Key, FactChange], length: int, come: Kind, gone: Kind
) -> Iterator[Group]:
    """Items that came or went, each with all its parts."""
    for key, change in facts.items():
        if len(key) == length and None in (change.before, change.after):
            parts = tuple(f for k, f in facts.items() if k[:length] == key)
            yield come if change.before is None else gone, key, parts


def _rest(facts: Mapping[Key, FactChange], groups: Iterable[Group]) -> dict[Key, FactChange]:
    told = {fact.key for _, _, parts in groups for fact in parts}
    return {key: fact for key, fact in facts.items() if key not in told}


def _equipment(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    boxes = list(_with_parts(facts, 2, "equipment added", "equipment taken out"))
    yield from boxes
    facts = _rest(facts, boxes)
    ports = list(_with_parts(_without_paths(facts), 4, "port added", "port taken out"))
    yield from ports
    facts = _rest(facts, ports)
    ways: dict[Key, list[FactChange]] = {}
    for key, fact in facts.items():
        if key[2] in ("path", "bypass"):
            ways.setdefault(key[:3], []).append(fact)
        else:
            yield _kind_of_field(key, "port" if len(key) > 3 else "equipment"), key, (fact,)
    yield from (("path", key, tuple(found)) for key, found in ways.items())


def _without_paths(facts: Mapping[Key, FactChange]) -> dict[Key, FactChange]:
    return {key: fact for key, fact in facts.items() if key[2] not in ("path", "bypass")}


def _kind_of_field(key: Key, otherwise: Kind) -> Kind:
    if key[-1] in LABELS:
        return "label"
    if key[-1] == "note":
        return "note"
    return "place" if key[-1] in ("place", "unit") else otherwise


def _bays(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    bays = list(_with_parts(facts, 2, "bay added", "bay taken out"))
    yield from bays
    for key, fact in _rest(facts, bays).items():
        if len(key) > 3 and key[3] == "normal":
            yield "normal", key, (fact,)
        elif len(key) > 3:
            yield "label" if key[3] in LABELS else "note", key, (fact,)
        else:
            yield _kind_of_field(key, "bay"), key, (fact,)


def _wires(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    """Wires that came and went with all their facts; those that end elsewhere; the rest."""
    wires = list(_with_parts(facts, 2, "wire added", "wire removed"))
    yield from wires
    for key, fact in _rest(facts, wires).items():
        yield "wire re-terminated" if len(key) == 2 else WIRE_KINDS[key[2]], key, (fact,)


def _lines(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    lines = list(_with_parts(facts, 2, "line added", "line removed"))
    yield from lines
    for key, fact in _rest(facts, lines).items():
        yield "line", key, (fact,)


def _cords(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    cords = list(_with_parts(facts, 3, "cord left in", "cord taken out"))
    yield from cords
    yield from (("cord", key, (fact,)) for key, fact in _rest(facts, cords).items())


def _plugs(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    plugs = list(_with_parts(facts, 2, "dummy plug left in", "dummy plug taken out"))
    yield from plugs
    yield from (("dummy plug", key, (fact,)) for key, fact in _rest(facts, plugs).items())


def _each_item(kind: Kind) -> Callable[[Mapping[Key, FactChange]], Iterator[Group]]:
    """All that differs of one item as one change."""

    def group(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
        items: dict[Key, list[FactChange]] = {}
        for key, fact in facts.items():
            items.setdefault(key[:2], []).append(fact)
        yield from ((kind, key, tuple(found)) for key, found in items.items())

    return group


def _facility(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    for key, fact in facts.items():
        practice = key[1] in ("shields", "cord_lengths", "limits")
        yield "practice" if practice else "drawing data", key, (fact,)


def _accepted(facts: Mapping[Key, FactChange]) -> Iterator[Group]:
    yield from (("accepted finding", key, (fact,)) for key, fact in facts.items())


_GROUPED: Mapping[str, Callable[[Mapping[Key, FactChange]], Iterator[Group]]] = {
    "equipment": _equipment,
    "bays": _bays,
    "wire": _wires,
    "lines": _lines,
    "mults": _each_item("mult"),
    "cross": _each_item("normal across"),
    "cords": _cords,
    "plugs": _plugs,
    "cables": _each_item("cable"),
    "racks": _each_item("place"),
    "facility": _facility,
    "accept": _accepted,
}
