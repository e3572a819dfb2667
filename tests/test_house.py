"""Who may import whom: data flows file → model → circuit → tracing → chart → paint, never back.

Checked over every module's syntax tree, deferred and TYPE_CHECKING imports included.
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

import slinediag

PACKAGE = Path(slinediag.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

ROOMS = (
    "problems",
    "saving",
    "address",
    "geometry",
    "resources",
    "clockless",
    "text",
    "progress",
    "stopping",
    "model",
    "file",
    "circuit",
    "tracing",
    "checks",
    "comparing",
    "commissioning",
    "layout",
    "chart",
    "drawing",
    "paint",
    "papers",
    "outline",
    "recall",
    "choices",
    "damage",
    "sheetfiles",
    "output",
    "clouding",
    "publish",
    "history",
    "cli",
    "editor",
)

MAY_IMPORT = {
    "problems": set(),
    "saving": {"problems"},
    "address": set(),
    "geometry": set(),
    "resources": set(),
    "clockless": set(),
    "text": {"resources"},
    "progress": set(),
    "stopping": set(),
    "model": {"address", "problems"},
    "file": {"model", "address", "clockless", "problems", "saving"},
    "circuit": {"model", "address"},
    "tracing": {"circuit", "model", "address", "problems", "progress"},
    "checks": {"tracing", "circuit", "model", "address", "text", "problems"},
    "comparing": {"tracing", "model", "address", "problems", "progress"},
    "commissioning": {"tracing", "circuit", "model", "address", "problems", "progress"},
    "layout": {"geometry", "problems", "progress", "saving", "stopping"},
    "drawing": {"geometry", "text"},
    "chart": {
        "progress",
        "layout",
        "drawing",
        "tracing",
        "circuit",
        "model",
        "address",
        "geometry",
        "text",
        "resources",
        "problems",
    },
    "paint": {"drawing", "geometry", "text", "resources", "problems", "progress"},
    "papers": {
        "progress",
        "clockless",
        "chart",
        "checks",
        "commissioning",
        "drawing",
        "tracing",
        "circuit",
        "model",
        "address",
        "geometry",
        "text",
        "resources",
        "problems",
    },
    "outline": {"address", "layout", "chart", "paint", "circuit", "model"},
    "recall": {"chart", "paint", "problems"},
    "choices": {"problems"},
    "damage": {"chart", "drawing", "geometry", "text", "tracing", "model", "address"},
    "sheetfiles": {"chart", "drawing", "model", "paint", "problems", "saving", "stopping"},
    "output": {
        "saving",
        "sheetfiles",
        "choices",
        "damage",
        "progress",
        "recall",
        "outline",
        "file",
        "tracing",
        "layout",
        "chart",
        "drawing",
        "paint",
        "model",
        "problems",
    },
    "clouding": {
        "progress",
        "sheetfiles",
        "comparing",
        "file",
        "layout",
        "chart",
        "drawing",
        "geometry",
        "model",
        "address",
        "problems",
    },
    "publish": {
        "saving",
        "papers",
        "chart",
        "file",
        "paint",
        "drawing",
        "model",
        "problems",
        "progress",
        "stopping",
    },
    "history": {"model"},
    "cli": {"saving", *ROOMS} - {"editor", "cli"},
    "editor": {"saving", *ROOMS} - {"editor"},
    "": {*ROOMS} - {"editor"},
    "__main__": {"cli", "stopping"},
}
"""Room → the rooms it may import from; a room may always import from itself."""

ONLY_IN = {
    "PySide6": ("editor", "paint/qt.py", "paint/pdf.py"),
    "svgwrite": ("paint/svg.py",),
    "graphviz": ("paint/gv.py",),
    "yaml": ("file",),
    "openpyxl": ("papers/spreadsheet.py", "file/tables"),
    "pypdf": ("paint/binding.py",),
    "numpy": ("layout", "chart"),
}
"""Library → the rooms and modules of the package that may import it."""


def room_of(path: Path) -> str:
    """The room a module belongs to; the package's own ``__init__`` is the empty room."""
    first = path.relative_to(PACKAGE).parts[0]
    return "" if first == "__init__.py" else first.removesuffix(".py")


def imported(path: Path) -> list[tuple[int, str]]:
    """Every module a file imports, with the line, wherever in the file the import stands."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute"
            found += [(node.lineno, f"{node.module}.{alias.name}") for alias in node.names]
    return found


def named(path: Path) -> str:
    return str(path.relative_to(PACKAGE))


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_imports_go_down_only(path):
    room = room_of(path)
    for line, module in imported(path):
        parts = module.split(".")
        if parts[0] != "slinediag" or len(parts) < 2 or parts[1] not in ROOMS:
            continue
        allowed = MAY_IMPORT[room] | {room}
        assert parts[1] in allowed, f"{named(path)}:{line}: {room} may not import {module}"


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_each_library_has_its_room(path):
    place = named(path).replace(os.sep, "/")
    for line, module in imported(path):
        homes = ONLY_IN.get(module.split(".")[0])
        if homes is not None:
            at_home = any(place == home or place.startswith(f"{home}/") for home in homes)
            assert at_home, f"{place}:{line}: {module} is not imported here"


def test_the_table_knows_every_room():
    assert {room_of(path) for path in MODULES} <= set(MAY_IMPORT)


AUDIO_WORDS = ("jack", "normal_", "cord", "bay", "equipment", "audio", "mult", "patch")
GRAPH_WORDS = ("node", "edge")


def identifiers(path: Path) -> set[str]:
    """Every name that a module defines or uses."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Name):
            names.add(node.id)
        elif isinstance(node, ast.Attribute):
            names.add(node.attr)
        elif isinstance(node, ast.arg):
            names.add(node.arg)
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            names.add(node.name)
    return names


def words(name: str) -> set[str]:
    spaced = "".join(f"_{c.lower()}" if c.isupper() else c for c in name)
    return {word.rstrip("s") for word in spaced.split("_") if word}


@pytest.mark.parametrize(
    ("room", "banned"),
    [("layout", AUDIO_WORDS), ("model", GRAPH_WORDS), ("tracing", GRAPH_WORDS)],
)
def test_rooms_keep_to_their_own_words(room, banned):
    for path in MODULES:
        if room_of(path) == room:
            for name in identifiers(path):
                assert not words(name) & set(banned), f"{named(path)}: {name}"


def run_python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout


def test_importing_slinediag_is_light():
    code = "import sys, slinediag; print([m for m in sys.modules if 'PySide6' in m or m == 'numpy' or m == 'yaml'])"
    assert run_python(code).strip() == "[]"


def test_ask_never_loads_qt_or_numpy():
    sample = PACKAGE.parent / "samples" / "quillmoor.yaml"
    code = (
        "import sys; from slinediag.cli.main import main; "
        f"main(['ask', {str(sample)!r}, '--all', '--json']); "
        "print([m for m in sys.modules if 'PySide6' in m or m == 'numpy' or m == 'svgwrite'])"
    )
    assert run_python(code).strip().endswith("[]")
