"""Lines cross as often as the order in their layers makes them, and no oftener."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from slinediag.layout.graph import Graph
from slinediag.layout.invariants import layout_faults
from slinediag.layout.pipeline import arrange
from slinediag.layout.settings import Settings
from tests.bench.strings import strings
from tests.layout.graphs import fans, plant
from tests.layout.needed import contradictions, crossings_needed, drawn_crossings

STEADY = {"deadline": None, "suppress_health_check": list(HealthCheck)}


@hypothesis_settings(max_examples=100, **STEADY)
@given(fans(), st.sampled_from((0.0, 5.0, 8.0)), st.sampled_from(("fixed", "free")))
def test_any_nets(graph: Graph, pitch: float, ports: str) -> None:
    settings = Settings(pitch=pitch, ports=ports)
    layout = arrange(graph, settings)
    assert layout_faults(layout, graph, settings) == []
    needed = crossings_needed(graph, layout)
    assert needed <= drawn_crossings(layout) <= needed + contradictions(graph, layout)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("ports", ["fixed", "free"])
def test_plants(seed: int, ports: str) -> None:
    graph = plant(60, seed)
    layout = arrange(graph, Settings(ports=ports))
    assert drawn_crossings(layout) == crossings_needed(graph, layout) > 0


def test_lines_that_another_keeps_apart() -> None:
    """Three lines of this graph would cross each other, since others must stand between them."""
    graph = strings(48, 5)
    layout = arrange(graph, Settings())
    assert drawn_crossings(layout) == crossings_needed(graph, layout) > 0
