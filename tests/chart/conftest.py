"""The sample's set on A3, drawn once for all that look at it."""

from __future__ import annotations

import pytest

from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from tests.chart.plants import drawn_set, sample


@pytest.fixture(scope="session")
def quillmoor_set() -> tuple[Facility, tuple[Drawing, ...]]:
    facility = sample("quillmoor")
    return facility, drawn_set(facility, "A3")
