"""What a list is: its rows, its columns, and what a typed text makes of the facility."""

# ruff: noqa: ARG002 (answers for lists that know no better)

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from slinediag.editor.lists import kinds
from slinediag.editor.lists.kinds import Kind
from slinediag.editor.things import Thing
from slinediag.model.facility import Facility
from slinediag.problems import Problem, problem

Key = Hashable
"""What a row is about: the same through all edits but a renaming."""


class Name(NamedTuple):
    """What a cell may be completed to, and what it is, in words."""

    text: str
    about: str = ""


def _says_nothing(_facility: Facility, _key: Any) -> str:
    return ""


def _may_be_anything(_facility: Facility, _text: str) -> None:
    return None


def _has_no_names(_facility: Facility, _key: Any) -> Sequence[Name]:
    return ()


@dataclass(frozen=True)
class Column:
    """One column of a list.

    ``text`` is what a cell holds as filed, empty where it is unset; ``assumed`` what holds then.
    ``put`` makes the facility with another text in a cell; RequestError where it cannot be.
    ``called`` and ``place`` name a cell's edit, as in "Label of PB1.T3". ``help`` says what the
    cell is for; ``names`` what it may be completed to. ``check`` raises RequestError for what is
    wrong in whatever row. A ``fixed`` column is only read, but in a new row that needs it; a new
    row cannot be without a ``needed`` one; what is typed in one that ``renames`` is the name of
    the row from then on. ``several`` names stand in a cell, parted by commas.
    ``help_for`` says what a cell is for where that differs from row to row. What ``put`` makes of
    a ``sound`` column needs no judging: it has said itself what cannot be.
    """

    title: str
    text: Callable[[Facility, Any], str]
    put: Callable[[Facility, Any, str], Facility]
    help: str
    assumed: Callable[[Facility, Any], str] = _says_nothing
    names: Callable[[Facility, Any], Sequence[Name]] = _has_no_names
    check: Callable[[Facility, str], Any] = _may_be_anything
    called: str = ""
    place: Callable[[Facility, Any], str] | None = None
    width: int = 12
    fixed: bool = False
    needed: bool = False
    renames: bool = False
    several: bool = False
    help_for: Callable[[Facility, Any], str] | None = None
    sound: bool = False


@dataclass(frozen=True)
class Shelf:
    """Where the items of a list stand in a facility: taken from it and put back into it."""

    get: Callable[[Facility, Any], Any]
    put: Callable[[Facility, Any, Any], Facility]


def field_column(
    shelf: Shelf, field: str, title: str, kind: Kind, about: str, **more: Any
) -> Column:
    """The column of one field of a shelf's items."""
    if kind.words:
        more.setdefault("names", words_named(kind.words))
    return read_column(
        shelf,
        field,
        title,
        lambda _facility, typed: kinds.says(kind, typed),
        lambda _facility, value: kind.show(value),
        about,
        **more,
    )


def read_column(
    shelf: Shelf,
    field: str,
    title: str,
    read: Callable[[Facility, str], Any],
    show: Callable[[Facility, Any], str],
    about: str,
    **more: Any,
) -> Column:
    """The column of one field that takes the facility to read and to show."""

    def text(facility: Facility, key: Any) -> str:
        value = getattr(shelf.get(facility, key), field)
        return "" if value is None else show(facility, value)

    def put(facility: Facility, key: Any, typed: str) -> Facility:
        value = read(facility, typed)
        return shelf.put(facility, key, replace(shelf.get(facility, key), **{field: value}))

    more.setdefault("check", read)
    return Column(title, text, put, about, **more)


def keep(facility: Facility, _key: Any, _typed: str) -> Facility:
    """What cannot be typed over stays."""
    return facility


def fixed_column(
    title: str, text: Callable[[Facility, Any], str], about: str, **more: Any
) -> Column:
    """A column that is only read."""
    return Column(title, text, keep, about, fixed=True, **more)


def words_named(words: Sequence[str]) -> Callable[[Facility, Any], Sequence[Name]]:
    """Completion to some words."""
    names = tuple(Name(word) for word in words)
    return lambda _facility, _key: names


def texts_named(
    texts: Callable[[Facility], Sequence[str]],
) -> Callable[[Facility, Any], Sequence[Name]]:
    """Completion to texts that the facility uses already."""
    return lambda facility, _key: tuple(Name(text) for text in texts(facility))


class Listing:
    """One list. Rows are keys; a list with ``own_rows`` can be added to and taken from."""

    title = ""
    one = ""
    """One of its rows, in words: ``position``, ``cable``."""
    columns: tuple[Column, ...] = ()
    own_rows = False
    parts = ""
    """What the list may be narrowed to, as ``Bay``; empty where it may not."""
    all_parts = ""
    """The words for all of them."""

    def keys(self, facility: Facility) -> tuple[Key, ...]:
        """The rows, in the order of the file."""
        raise NotImplementedError

    def name(self, facility: Facility, key: Any) -> str:
        """A row as messages name it: by its key, an id, unless a list says otherwise."""
        del facility
        return str(key)

    def part(self, key: Any) -> str:
        """Which part of the list a row belongs to."""
        return ""

    def thing(self, facility: Facility, key: Any, column: Column) -> Thing | None:
        """What is selected with a cell."""
        return None

    def key_of(self, facility: Facility, thing: Thing) -> Key | None:
        """The row that a thing is in."""
        return None

    def begin(self, facility: Facility, texts: Mapping[str, str]) -> tuple[Facility, Key]:
        """The facility with a new row of what cannot be left out; the rest is put in after.

        RequestError where something is missing.
        """
        raise NotImplementedError

    def remove(self, facility: Facility, keys: Sequence[Any]) -> Facility:
        """The facility without some rows."""
        raise NotImplementedError

    def renamed(self, facility: Facility, key: Any, column: Column, text: str) -> Key:
        """The key of a row once a renaming column of it holds a text."""
        return text.strip()

    @property
    def a_one(self) -> str:
        """One of its rows with its article."""
        return f"{'an' if self.one[0] in 'aeiou' else 'a'} {self.one}"

    def column(self, title: str) -> Column:
        """The column of a title."""
        return next(column for column in self.columns if column.title == title)

    def lacks(self, texts: Mapping[str, str]) -> Problem | None:
        """What a new row still lacks that it cannot be without."""
        lacking = [c.title for c in self.columns if c.needed and not texts.get(c.title, "").strip()]
        if not lacking:
            return None
        what = f"a new {self.one} still needs {' and '.join(lacking)}"
        return problem("", what, "Type it, or Esc gives the row up")

    def place(self, facility: Facility, key: Any, column: Column) -> str:
        """A cell's place as the name of its edit has it."""
        return column.place(facility, key) if column.place else self.name(facility, key)

    def edit_name(self, facility: Facility, key: Any, column: Column) -> str:
        """The name of the step that an edit of a cell is."""
        called = column.called or column.title
        return f"{called} of {self.place(facility, key, column)}"

    def removal_name(self, facility: Facility, keys: Sequence[Any]) -> str:
        """The name of the step that taking rows out is."""
        if len(keys) == 1:
            return f"Remove {self.name(facility, keys[0])}"
        return f"Remove {len(keys)} of {self.title.casefold()}"
