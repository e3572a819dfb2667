"""The sample's set on A3, drawn once for all that look at it."""

from __future__ import annotations

from pathlib import Path

import pytest

from slinediag.drawing.marks import Drawing
from slinediag.file.read import load
from slinediag.model.facility import Facility
from tests.chart.plants import drawn_set

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture(scope="session")
def quillmoor_set() -> tuple[Facility, tuple[Drawing, ...]]:
    facility = load(SAMPLES / "quillmoor.yaml").facility
    return facility, drawn_set(facility, "A3")
