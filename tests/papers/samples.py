"""The sample facilities, loaded once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from slinediag.file.read import load
from slinediag.model.facility import Facility

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def sample(name: str) -> Facility:
    """A sample by its file's stem."""
    return load(SAMPLES / f"{name}.yaml").facility
