"""Whatever bytes a file holds, it is read or refused with mistakes; nothing else is ever raised."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slinediag.file import compose as composing
from slinediag.file.read import Document, parse
from slinediag.file.write import render
from slinediag.problems import FileErrors, Problem

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))
PIECES = [
    b"~", b"null", b"[", b"]", b"{", b"}", b": ", b"- ", b"\n", b"  ", b"&a ", b"*a", b"!!str ", b"'", b'"', b"|\n", b"#",
    b"\t", b"\r", b"\xc2\x85", b"\xff", b"\0", b"%", b"@", b"...\n", b"---\n", b"<<: ", b"? ", b"1-2", b"PB1.T1", b",", b"0",
    b"-1", b"1e999", b"\xef\xbb\xbf", b"\xf0\x9f\x8e\x9a", b"equipment:\n", b"to: ", b"9" * 30,
]  # fmt: skip
SETTINGS = settings(
    max_examples=200, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)


def read_or_refuse(data: bytes) -> None:
    """Read the bytes; what can be read can be written, with a change and without."""
    document = read(data)
    if document is None:
        return
    assert render(document, document.facility) == data
    practice = replace(document.facility.practice, owner="Someone: else")
    changed = replace(document.facility, practice=practice)
    assert parse(render(document, changed), "again.yaml").facility.practice == practice


def read(data: bytes) -> Document | None:
    """The document, or None where the bytes are refused, with mistakes."""
    errors: tuple[Problem, ...] = ()
    try:
        return parse(data, "fuzz.yaml")
    except FileErrors as refused:
        errors = refused.errors
    assert errors
    assert all(p.line >= 0 and p.column >= 0 and p.what for p in errors)
    return None


@SETTINGS
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    read_or_refuse(data)


@SETTINGS
@given(st.lists(st.sampled_from(PIECES), max_size=40))
def test_any_pieces_of_yaml(pieces: list[bytes]) -> None:
    read_or_refuse(b"".join(pieces))
    read_or_refuse(b"slinediag: 1\nfacility: {name: A}\n" + b"".join(pieces))


def mutated(data: bytes, chance: random.Random) -> bytes:
    """A file with up to three pieces put in, taken out, or moved."""
    for _ in range(chance.randint(1, 3)):
        at = chance.randint(0, len(data))
        to = min(len(data), at + chance.choice([0, 0, 1, 3, 40]))
        data = data[:at] + chance.choice([b"", *PIECES]) + data[to:]
    return data if chance.random() < 0.9 else data[: chance.randint(0, len(data))]


@pytest.mark.parametrize("loader", ["CSafeLoader", "SafeLoader"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_mutated_and_truncated_samples(
    path: Path, loader: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(composing, "Loader", getattr(yaml, loader, yaml.SafeLoader))
    chance = random.Random(path.stem)
    data = path.read_bytes()[:9_000] if loader == "SafeLoader" else path.read_bytes()
    for _ in range(40 if loader == "CSafeLoader" else 4):
        read_or_refuse(mutated(data, chance))
