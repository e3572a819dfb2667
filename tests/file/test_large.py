"""A large plant is read whole, and reading loads nothing heavy."""

from __future__ import annotations

import subprocess
import sys

from slinediag.file.read import parse
from slinediag.file.write import new_file
from tests.file.large import large_file


def test_a_plant_of_1920_positions_is_read_and_written_anew() -> None:
    facility = parse(large_file(40), "large.yaml").facility
    assert len(facility.equipment) == 240
    assert len(facility.wires) == 2 * 40 * 48
    assert parse(new_file(facility), "new.yaml").facility == facility


def test_reading_and_writing_load_nothing_heavy() -> None:
    code = (
        "import sys, slinediag.file.read, slinediag.file.write;"
        "print([m for m in ('numpy', 'PySide6', 'svgwrite', 'graphviz') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
