"""What is written reads back the same, and no other line has changed, whatever the facility."""

from __future__ import annotations

import random

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from slinediag.file.edits import Lines
from slinediag.file.nodes import Mapping, Node, Scalar, Sequence
from slinediag.file.outline import outline
from slinediag.file.panels import read_span
from slinediag.file.read import Document, parse
from slinediag.file.write import new_file, render
from slinediag.model.facility import Facility
from tests.file.changes import Keys, changes
from tests.file.strategies import facilities
from tests.file.styles import Hand, shortened

SETTINGS = settings(
    max_examples=30, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)
dice = st.integers(0, 2**32).map(random.Random)


def by_hand(facility: Facility, chance: random.Random, anchors: bool = True) -> Document:
    text = Hand(chance, anchors).file(shortened(outline(facility), chance))
    return parse(text.encode(), "hand.yaml")


@SETTINGS
@given(facilities())
def test_a_new_file_reads_back_as_its_facility(facility: Facility) -> None:
    document = parse(new_file(facility), "new.yaml")
    assert document.facility == facility
    assert render(document, facility) == document.data


@SETTINGS
@given(facilities(), dice)
def test_what_hands_write_reads_as_its_facility(facility: Facility, chance: random.Random) -> None:
    document = by_hand(facility, chance)
    assert document.facility == facility
    assert render(document, document.facility) == document.data


@SETTINGS
@given(facilities(), facilities(), dice)
def test_any_file_can_be_turned_into_any_other(
    before: Facility, after: Facility, chance: random.Random
) -> None:
    document = by_hand(before, chance)
    assert parse(render(document, after), "new.yaml").facility == after


@settings(SETTINGS, max_examples=40)
@given(facilities(), dice)
def test_one_change_reads_back(facility: Facility, chance: random.Random) -> None:
    change = changes(facility, chance)
    assume(change is not None)
    assert change is not None
    document = by_hand(facility, chance)
    assert parse(render(document, change.facility), "new.yaml").facility == change.facility


@settings(SETTINGS, max_examples=40)
@given(facilities(), dice)
def test_one_change_leaves_all_other_lines(facility: Facility, chance: random.Random) -> None:
    change = changes(facility, chance)
    assume(change is not None)
    assert change is not None
    document = by_hand(facility, chance, anchors=False)
    before = document.source.text
    after = render(document, change.facility).decode()
    region = item_region(document, change.keys)
    if region is None:
        assert only_inserted(before, after), f"{change.keys}\n{before}\n=====\n{after}"
        return
    start, end = region
    kept = after.startswith(before[:start]) and after.endswith(before[end:])
    assert kept, f"{change.keys}\n{before}\n=====\n{after}"


def only_inserted(before: str, after: str) -> bool:
    """Whether the text has lost nothing, and gained in one place only."""
    front = common(before, after)
    back = common(before[::-1], after[::-1])
    return front + back >= len(before)


def common(left: str, right: str) -> int:
    """How many characters two texts have in common from their start."""
    pairs = enumerate(zip(left, right, strict=False))
    return next((n for n, (a, b) in pairs if a != b), min(len(left), len(right)))


def item_region(document: Document, keys: Keys) -> tuple[int, int] | None:
    """The lines of an item, or of the brackets that are to take it; None where it is to stand on
    lines of its own."""
    lines = Lines(document.source.text, document.source.line_end)
    node: Node = document.root
    start, end = node.start, node.end
    for key in keys:
        found = part(lines, node, key)
        if found is None:
            flow = isinstance(node, Scalar) or node.flow
            return (lines.start(start), lines.after(end)) if flow else None
        start, node = found
        end = max(start, node.end)
        if isinstance(node, Scalar) and node.start == node.end:
            end = node.end
    return lines.start(start), lines.after(end)


def part(lines: Lines, node: Node, key: str | int) -> tuple[int, Node] | None:
    """Where the part of a key or index begins, and its value. A dash may stand above its item."""
    if isinstance(node, Sequence) and isinstance(key, int) and key < len(node.items):
        start = node.items[key].start
        if not node.flow:
            start = lines.after(node.items[key - 1].end) if key else node.start
        return start, node.items[key]
    for entry in node.entries if isinstance(node, Mapping) else ():
        assert isinstance(entry.key, Scalar)
        span = read_span(entry.key.text) or range(0)
        if entry.key.text == key or (isinstance(key, int) and key in span):
            return entry.key.start, entry.value
    return None
