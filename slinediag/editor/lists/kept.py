"""How the lists stood when the window was last closed: which was shown, its columns, its filter."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from PySide6.QtCore import QSettings

KEY = "lists"


@dataclass(frozen=True, slots=True)
class KeptLists:
    """The title of the list shown; by titles, pixels of columns and texts of filters.

    Filters are those of one file: in another they would hide rows that nobody meant.
    """

    shown: str = ""
    widths: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    filters: Mapping[str, str] = field(default_factory=dict)


def keep(path: str, lists: KeptLists) -> None:
    """Keep how the lists of a file stand."""
    QSettings().setValue(KEY, json.dumps(asdict(lists) | {"file": os.path.realpath(path)}))


def kept_lists(path: str) -> KeptLists:
    """How the lists stood, with the filters of this file; as new where that cannot be read."""
    try:
        found = json.loads(str(QSettings().value(KEY) or "{}"))
        own = found.get("file") == os.path.realpath(path)
        return KeptLists(
            str(found.get("shown", "")),
            {
                str(title): tuple(int(width) for width in widths)
                for title, widths in found.get("widths", {}).items()
            },
            {str(k): str(v) for k, v in found.get("filters", {}).items()} if own else {},
        )
    except (AttributeError, TypeError, ValueError):
        return KeptLists()
