"""The lists of drawing data: title block, limits, notes, revisions, accepted findings, words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from slinediag.checks.table import RULES, rule_named
from slinediag.editor.lists import kinds, names
from slinediag.editor.lists.kinds import DATE, TEXT, Kind
from slinediag.editor.lists.listing import (
    Column,
    Key,
    Listing,
    Name,
    Shelf,
    field_column,
    fixed_column,
    read_column,
    texts_named,
)
from slinediag.file.practice import CORD_LENGTH, LIMIT, PRACTICES
from slinediag.model.facility import Acceptance, Facility, Practice, Revision
from slinediag.model.items import with_row, without_rows
from slinediag.problems import RequestError, problem

DATA: dict[str, tuple[str, Kind, str]] = {
    "name": ("Name", TEXT, "The facility's name, printed everywhere; it may not be empty"),
    "owner": ("Owner", TEXT, "Whose it is"),
    "drawing": ("Drawing number", TEXT, "In the title block"),
    "revision": ("Revision", TEXT, "The one that the papers show"),
    "date": ("Date", DATE, "Of the revision: 2026-03-01"),
    "drawn_by": ("Drawn by", TEXT, "In the title block"),
    "checked_by": ("Checked by", TEXT, "In the title block"),
    "approved_by": ("Approved by", TEXT, "In the title block"),
    "shields": (
        "Shields joined at",
        kinds.word(PRACTICES),
        "Where wires' shields are joined unless said: bay, equipment, both or none",
    ),
    "cord_lengths": (
        "Cords in stock",
        kinds.several(kinds.number(CORD_LENGTH)),
        "Lengths in metres: 0.3, 0.6, 0.9",
    ),
}
LIMITS: dict[str, tuple[str, str]] = {
    "loss": ("Limit of loss", "dB"),
    "treble": ("Limit of treble loss", "dB"),
    "mismatch": ("Limit of level mismatch", "dB"),
    "cord_age": ("Limit of a standing cord's age", "days"),
    "contact": ("Limit of a contact", "milliohm"),
    "normal": ("Limit of a normal", "milliohm"),
}
UNITS = {"cord_lengths": "m"}
PEOPLE = ("drawn_by", "checked_by", "approved_by")


def with_practice(facility: Facility, **changes: Any) -> Facility:
    """The facility with other drawing data."""
    return replace(facility, practice=replace(facility.practice, **changes))


def data_text(facility: Facility, key: str) -> str:
    """One of the drawing data, or a limit."""
    if key in LIMITS:
        value = getattr(facility.practice.limits, key)
        return "" if value is None else kinds.show_number(value)
    value = getattr(facility.practice, key)
    return "" if value is None or value == () else DATA[key][1].show(value)


def put_data(facility: Facility, key: str, typed: str) -> Facility:
    """Another of the drawing data, or a limit."""
    if key in LIMITS:
        value = kinds.says(kinds.number(LIMIT), typed)
        return with_practice(facility, limits=replace(facility.practice.limits, **{key: value}))
    value = kinds.says(DATA[key][1], typed)
    empty: Any = () if key == "cord_lengths" else "" if key == "name" else None
    return with_practice(facility, **{key: empty if value is None else value})


def data_names(facility: Facility, key: str) -> Sequence[Name]:
    """What one of the drawing data may be completed to."""
    if key in PEOPLE:
        return names.words(names.people(facility))
    return names.words(DATA[key][1].words) if key in DATA else ()


class DrawingData(Listing):
    """The drawing data and limits, one a row."""

    title = "Drawing data"
    one = "line of drawing data"
    columns = (
        fixed_column(
            "What",
            lambda _facility, key: DATA[key][0] if key in DATA else LIMITS[key][0],
            "What the papers and checks go by",
            width=27,
        ),
        Column(
            "Value",
            data_text,
            put_data,
            "Printed in the title block, or used by the checks",
            names=data_names,
            width=44,
            help_for=lambda _facility, key: DATA[key][2] if key in DATA else LIMITS[key][1],
        ),
        fixed_column(
            "Unit",
            lambda _facility, key: LIMITS[key][1] if key in LIMITS else UNITS.get(key, ""),
            "What its figure is in",
            width=10,
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """Always the same ones."""
        del facility
        return (*DATA, *LIMITS)

    def name(self, facility: Facility, key: Any) -> str:
        """What it is."""
        del facility
        return DATA[key][0] if key in DATA else LIMITS[key][0]

    def edit_name(self, facility: Facility, key: Any, column: Column) -> str:
        """As "Owner"."""
        del column
        return f"{self.name(facility, key)} of the facility"


def rows_shelf(field: str) -> Shelf:
    """The rows of one of the drawing data's tables, by number from 0."""
    return Shelf(
        lambda facility, key: getattr(facility.practice, field)[key],
        lambda facility, key, row: with_practice(
            facility, **{field: with_row(getattr(facility.practice, field), key, row)}
        ),
    )


class PracticeRows(Listing):
    """One of the drawing data's tables; rows are known by their numbers."""

    own_rows = True
    field = ""

    def rows(self, practice: Practice) -> tuple[Any, ...]:
        """The rows."""
        rows: tuple[Any, ...] = getattr(practice, self.field)
        return rows

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(range(len(self.rows(facility.practice))))

    def name(self, facility: Facility, key: Any) -> str:
        """By number."""
        del facility
        return f"{self.one} {key + 1}"

    def added(self, facility: Facility, row: Any) -> tuple[Facility, Key]:
        """With one row more."""
        rows = self.rows(facility.practice)
        return with_practice(facility, **{self.field: (*rows, row)}), len(rows)

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some rows."""
        left = without_rows(self.rows(facility.practice), frozenset(keys))
        return with_practice(facility, **{self.field: left})

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """Rows keep their numbers."""
        del facility, column, text
        number: int = key
        return number


def not_empty(typed: str) -> str:
    """A text that may not be empty; RequestError where it is."""
    value = kinds.says(TEXT, typed)
    if not value:
        hint = "Type it, or remove the row (Alt+Del)"
        raise RequestError([problem("", "this may not be empty", hint)])
    return str(value)


def put_note(facility: Facility, key: int, typed: str) -> Facility:
    """Another note."""
    notes = with_row(facility.practice.notes, key, not_empty(typed))
    return with_practice(facility, notes=notes)


class Notes(PracticeRows):
    """The notes on the drawing."""

    title = "Notes"
    one = "note"
    field = "notes"
    columns = (
        Column(
            "Note",
            lambda facility, key: kinds.show_text(facility.practice.notes[key]),
            put_note,
            "Printed on the chart and in the book",
            width=90,
            needed=True,
        ),
    )

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """One note more."""
        return self.added(facility, not_empty(texts["Note"]))


REVISIONS = rows_shelf("revisions")
ACCEPTED = rows_shelf("accept")


def by_column(shelf: Shelf) -> Column:
    """Whose it is."""
    return field_column(shelf, "by", "By", TEXT, "Who", names=texts_named(names.people), width=14)


def needed_text(shelf: Shelf, field: str, title: str, about: str, **more: Any) -> Column:
    """A text that may not be empty."""
    return read_column(
        shelf,
        field,
        title,
        lambda _facility, typed: not_empty(typed),
        lambda _facility, value: kinds.show_text(value),
        about,
        needed=True,
        **more,
    )


class Revisions(PracticeRows):
    """The revision table."""

    title = "Revisions"
    one = "revision"
    field = "revisions"
    columns = (
        needed_text(REVISIONS, "revision", "Revision", "Its letter or number", width=9),
        field_column(REVISIONS, "date", "Date", DATE, "2026-03-01"),
        by_column(REVISIONS),
        field_column(REVISIONS, "what", "What", TEXT, "What was changed", width=60),
    )

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """One revision more."""
        return self.added(facility, Revision(not_empty(texts["Revision"])))


def read_rule(_facility: Facility, typed: str) -> str:
    """The rule that a text names; RequestError where there is none of that name."""
    return rule_named(not_empty(typed)).name


class Accepted(PracticeRows):
    """The findings that the facility accepts."""

    title = "Accepted"
    one = "accepted finding"
    field = "accept"
    columns = (
        read_column(
            ACCEPTED,
            "rule",
            "Rule",
            read_rule,
            lambda _facility, rule: str(rule),
            "The rule whose finding is accepted",
            names=lambda _facility, _key: tuple(Name(rule.name, rule.summary) for rule in RULES),
            needed=True,
            width=16,
        ),
        field_column(
            ACCEPTED, "where", "Where", TEXT, "The places it names, parted by commas", width=16
        ),
        field_column(ACCEPTED, "reason", "Reason", TEXT, "Why it may stay so", width=40),
        by_column(ACCEPTED),
        field_column(ACCEPTED, "date", "Date", DATE, "2026-03-01"),
    )

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """One finding more."""
        return self.added(facility, Acceptance(read_rule(facility, texts["Rule"])))


def check_new_word(facility: Facility, typed: str) -> str:
    """A word that has no short form yet; RequestError where it has one."""
    word = not_empty(typed)
    if word in facility.practice.abbreviations:
        raise RequestError([problem("", f"{word} has a short form already", "Change that one")])
    return word


def rename_word(facility: Facility, key: str, typed: str) -> Facility:
    """Another word for a short form, in the same place."""
    if typed.strip() == key:
        return facility
    word = check_new_word(facility, typed)
    words = facility.practice.abbreviations.items()
    return with_practice(facility, abbreviations={word if w == key else w: s for w, s in words})


def put_short(facility: Facility, key: str, typed: str) -> Facility:
    """Another short form for a word."""
    words = {**facility.practice.abbreviations, key: not_empty(typed)}
    return with_practice(facility, abbreviations=words)


class ShortForms(Listing):
    """Words with the short forms that strips may use."""

    title = "Short forms"
    one = "short form"
    own_rows = True
    columns = (
        Column(
            "Word",
            lambda _facility, key: kinds.show_text(key),
            rename_word,
            "As labels have it",
            check=check_new_word,
            width=20,
            needed=True,
            renames=True,
        ),
        Column(
            "Short form",
            lambda facility, key: kinds.show_text(facility.practice.abbreviations[key]),
            put_short,
            "What strips print where the word has no room",
            width=14,
            needed=True,
        ),
    )

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """As filed."""
        return tuple(facility.practice.abbreviations)

    def name(self, facility: Facility, key: Any) -> str:
        """The word."""
        del facility
        return str(key)

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """A word with its short form."""
        word = check_new_word(facility, texts["Word"])
        return put_short(facility, word, texts["Short form"]), word

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """Without some words."""
        words = facility.practice.abbreviations.items()
        return with_practice(facility, abbreviations={w: s for w, s in words if w not in keys})

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The word as it is read."""
        del facility, key, column
        return not_empty(text)
