"""The commands and their keys, read off the window's own actions and tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

from slinediag.editor.canvas_keys import HANDS, KEYS

NATIVE = QKeySequence.SequenceFormat.NativeText


@dataclass(frozen=True, slots=True)
class Row:
    """What one does, and with what keys or with what hand."""

    words: str
    keys: str


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under a heading: a menu, or where the pointer is."""

    heading: str
    rows: tuple[Row, ...]


def sections(menus: Mapping[str, QMenu]) -> tuple[Section, ...]:
    """Everything that has keys: the menus' commands, and what works on a drawing."""
    found = [Section(name, _rows(menu.actions())) for name, menu in menus.items()]
    drawing = (
        *(Row(words, " or ".join(_key_name(key) for key in keys)) for keys, words, _ in KEYS),
        *(Row(words, hand) for hand, words in HANDS),
    )
    found.append(Section("On a drawing", drawing))
    return tuple(section for section in found if section.rows)


def _rows(actions: Sequence[QAction]) -> tuple[Row, ...]:
    return tuple(
        Row(plain(action.text()), ", ".join(key.toString(NATIVE) for key in action.shortcuts()))
        for action in actions
        if action.shortcuts()
    )


def _key_name(key: Qt.Key | QKeyCombination) -> str:
    return QKeySequence(key).toString(NATIVE)


def plain(words: str) -> str:
    """A command's words without its mark for the keyboard and its dots."""
    return words.replace("&", "").replace("…", "").strip()


def keys_of(menus: Mapping[str, QMenu], words: str) -> str:
    """The keys of the command of these words; KeyError where there is none."""
    for menu in menus.values():
        for action in menu.actions():
            if plain(action.text()) == words:
                return action.shortcut().toString(NATIVE)
    raise KeyError(words)
