"""The sections ``facility``, ``racks`` and ``cables``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from slinediag.file.keys import Keys, entries, items, named, unset
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Node, Sequence
from slinediag.file.scalars import Range, read_number, read_text
from slinediag.model.facility import (
    Acceptance,
    Cable,
    Limits,
    Practice,
    Rack,
    Revision,
    ShieldPractice,
)

FACILITY_KEYS = (
    "name", "owner", "drawing", "revision", "date", "drawn_by", "checked_by", "approved_by",
    "notes", "revisions", "shields", "cord_lengths", "abbreviations", "limits", "accept",
)  # fmt: skip
REVISION_KEYS = ("revision", "date", "by", "what")
LIMIT_KEYS = ("loss", "treble", "mismatch", "cord_age", "contact", "normal")
ACCEPT_KEYS = ("rule", "where", "reason", "by", "date")
RACK_KEYS = ("room", "x", "units")
CABLE_KEYS = ("type", "length", "capacitance", "pairs", "colours", "note")
PRACTICES: tuple[ShieldPractice, ...] = get_args(ShieldPractice)

CORD_LENGTH = Range(0, 100, above=True)
LIMIT = Range(0, 1e6)
RACK_PLACE = Range(0, 10_000)
UNITS = Range(1, 100)
CABLE_LENGTH = Range(0, 100_000, above=True)
CAPACITANCE = Range(0, 10_000, above=True)
PAIRS = Range(1, 10_000)


def read_practice(node: Node, mistakes: Mistakes) -> Practice:
    """The ``facility`` section."""
    keys = Keys(node, "facility", mistakes, FACILITY_KEYS)
    return Practice(
        name=keys.name("name", "Give the facility its name: name: …"),
        owner=keys.text("owner"),
        drawing=keys.text("drawing"),
        revision=keys.text("revision"),
        date=keys.date("date"),
        drawn_by=keys.text("drawn_by"),
        checked_by=keys.text("checked_by"),
        approved_by=keys.text("approved_by"),
        notes=read_texts(keys, "notes"),
        revisions=read_revisions(keys),
        shields=keys.word("shields", PRACTICES),
        cord_lengths=read_cord_lengths(keys),
        abbreviations=read_abbreviations(keys),
        limits=read_limits(keys),
        accept=read_acceptances(keys),
    )


def read_texts(keys: Keys, key: str) -> tuple[str, ...]:
    """The texts of a list; an unset item is an error."""
    texts = []
    for number, item in enumerate(keys.items(key) or (), 1):
        text = read_text(item, f"{keys.at(key)}[{number}]", keys.mistakes)
        if text is not None:
            texts.append(text)
    return tuple(texts)


def read_revisions(keys: Keys) -> tuple[Revision, ...]:
    """The revision table, in the order of the file."""
    rows = []
    for number, item in enumerate(keys.items("revisions") or (), 1):
        row = Keys(item, f"{keys.at('revisions')}[{number}]", keys.mistakes, REVISION_KEYS)
        name = row.name("revision", "Give the revision: revision: …")
        rows.append(Revision(name, row.date("date"), row.text("by"), row.text("what")))
    return tuple(rows)


def read_cord_lengths(keys: Keys) -> tuple[float, ...]:
    """The lengths of cords in stock, metres."""
    lengths = []
    for number, item in enumerate(keys.items("cord_lengths") or (), 1):
        at = f"{keys.at('cord_lengths')}[{number}]"
        length = read_number(item, at, keys.mistakes, CORD_LENGTH)
        if length is not None:
            lengths.append(length)
    return tuple(lengths)


def read_abbreviations(keys: Keys) -> dict[str, str]:
    """The short form of each word."""
    node = keys.value("abbreviations")
    if node is None:
        return {}
    return dict(read_short_forms(node, keys.at("abbreviations"), keys.mistakes))


def read_short_forms(node: Node, where: str, mistakes: Mistakes) -> Iterator[tuple[str, str]]:
    """Words with their short forms."""
    for word, key_node, value in entries(node, where, mistakes):
        at = f"{where}.{word}"
        if unset(value):
            mistakes.error(key_node, at, "the short form is missing", "Write word: SHORT")
            continue
        short = read_text(value, at, mistakes)
        if short is not None:
            yield word, short


def read_limits(keys: Keys) -> Limits:
    """The figures that checks use."""
    node = keys.value("limits")
    if node is None:
        return Limits()
    limits = Keys(node, keys.at("limits"), keys.mistakes, LIMIT_KEYS)
    return Limits(**{key: limits.number(key, LIMIT) for key in LIMIT_KEYS})


def read_acceptances(keys: Keys) -> tuple[Acceptance, ...]:
    """The findings that the facility accepts."""
    rows = []
    for number, item in enumerate(keys.items("accept") or (), 1):
        row = Keys(item, f"{keys.at('accept')}[{number}]", keys.mistakes, ACCEPT_KEYS)
        rule = row.name("rule", "Name the rule that is accepted: rule: …")
        rows.append(
            Acceptance(
                rule, row.text("where"), row.text("reason"), row.text("by"), row.date("date")
            )
        )
    return tuple(rows)


def read_racks(node: Node | None, mistakes: Mistakes) -> dict[str, Rack]:
    """The ``racks`` section: where each place stands."""
    racks = {}
    for place, _, value in entries(node, "racks", mistakes) if node is not None else ():
        keys = Keys(value, f"racks.{place}", mistakes, RACK_KEYS)
        racks[place] = Rack(
            place, keys.text("room"), keys.number("x", RACK_PLACE), keys.whole("units", UNITS)
        )
    return racks


def read_cables(node: Node | None, mistakes: Mistakes) -> dict[str, Cable]:
    """The ``cables`` section."""
    cables = {}
    for name, _, value in named(node, "cables", mistakes):
        keys = Keys(value, f"cables.{name}", mistakes, CABLE_KEYS)
        cables[name] = Cable(
            id=name,
            type=keys.text("type"),
            length=keys.number("length", CABLE_LENGTH),
            capacitance=keys.number("capacitance", CAPACITANCE),
            pairs=keys.whole("pairs", PAIRS),
            colours=read_colours(keys),
            note=keys.text("note"),
        )
    return cables


def read_colours(keys: Keys) -> str | tuple[str, ...] | None:
    """The colours of a cable: the name of a scheme, or a list of the pairs' colours."""
    node = keys.value("colours")
    if isinstance(node, Sequence):
        at, mistakes = keys.at("colours"), keys.mistakes
        texts = [read_text(item, at, mistakes) for item in items(node, at, mistakes)]
        return tuple(text for text in texts if text is not None)
    return keys.text("colours")
