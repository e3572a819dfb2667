"""The file against another reader: PyYAML's own loaders see the same texts in it."""

from __future__ import annotations

import datetime
import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slinediag.file.compose import compose
from slinediag.file.nodes import Node, Places, Scalar, Sequence
from slinediag.file.outline import outline
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.write import new_file
from slinediag.model.facility import Facility
from tests.file.strategies import facilities
from tests.file.styles import Hand, shortened

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
SETTINGS = settings(
    max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)


def as_data(node: Node) -> Any:
    """A node as lists, dictionaries and texts."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [as_data(item) for item in node.items]
    return {as_data(entry.key): as_data(entry.value) for entry in node.entries}


def check_nodes(text: str) -> None:
    """Compare the nodes with what PyYAML's loader of plain texts reads."""
    node = compose(text, Places(text))
    assert node is not None
    assert as_data(node) == yaml.load(text, Loader=LOADER)
    check_places(node, text)


def check_places(node: Node, text: str) -> None:
    """A plain scalar of one line stands at its place; parts stand within what holds them."""
    if isinstance(node, Scalar):
        if node.plain and not node.anchor and "\n" not in text[node.start : node.end]:
            assert text[node.start : node.end].strip() == node.text
        return
    parts = (
        node.items
        if isinstance(node, Sequence)
        else [p for e in node.entries for p in (e.key, e.value)]
    )
    for part in parts:
        if not node.alias:
            assert node.start <= part.start <= part.end <= node.end
            check_places(part, text)


@pytest.mark.parametrize("path", [p for p in SAMPLES if p.stem != "broken"], ids=lambda p: p.stem)
def test_samples_hold_what_pyyaml_reads(path: Path) -> None:
    check_nodes(path.read_text(encoding="utf-8"))


@SETTINGS
@given(facilities(), st.integers(0, 2**32).map(random.Random))
def test_files_by_hand_hold_what_pyyaml_reads(facility: Facility, chance: random.Random) -> None:
    check_nodes(Hand(chance).file(shortened(outline(facility), chance)))


@SETTINGS
@given(facilities())
def test_other_programs_read_texts_as_texts_and_numbers_as_numbers(facility: Facility) -> None:
    check_same(outline(facility), yaml.safe_load(new_file(facility)))


def check_same(plain: Plain, data: Any) -> None:
    """Compare a plain value with what PyYAML's safe loader makes of it in a new file."""
    if isinstance(plain, Text):
        assert data == plain.text
    elif isinstance(plain, Word):
        check_word(plain.text, data)
    elif isinstance(plain, Table):
        check_table(plain, data)
    elif isinstance(plain, Points):
        assert isinstance(data, dict)
    elif isinstance(plain, tuple):
        assert len(data) == len(plain)
        for item, found in zip(plain, data, strict=True):
            check_same(item, found)
    else:
        assert data is None


def check_table(table: Table, data: Any) -> None:
    if isinstance(data, list):
        assert [Text(key) for key in data] == list(table.bare_keys() or ())
    elif isinstance(data, dict):
        assert list(data) == list(table.rows)
        for key, value in table.rows.items():
            check_same(value, data[key])
    else:
        check_same(table.lone(), data)


def check_word(text: str, data: Any) -> None:
    if isinstance(data, bool):
        assert text == str(data).lower()
    elif isinstance(data, (int, float)):
        assert float(text) == data
    elif isinstance(data, datetime.date):
        assert text == data.isoformat()
    else:
        # YAML 1.1 takes 1e-05 for a text, as this format takes it for a number where one is due.
        assert data == text
