"""The chart's bare graph: every line of it joins what the circuit joins, and Graphviz reads it."""

from __future__ import annotations

from pathlib import Path

import pytest

from slinediag.file.read import load
from slinediag.outline import graph_of, marks_of
from slinediag.paint import gv

SAMPLES = Path(__file__).parent.parent / "samples"


@pytest.fixture(scope="module", params=["quillmoor", "larkfen"])
def facility(request):
    return load(SAMPLES / f"{request.param}.yaml").facility


def test_every_wired_port_and_jack_is_a_port_of_the_graph(facility):
    graph = graph_of(facility)
    labels = {port.label for box in graph.boxes for port in (*box.inputs, *box.outputs)}
    for jack, wire in facility.wires.items():
        if not facility.equipment[wire.to.equipment].removed:
            assert facility.facts(wire.to).label in labels
            assert graph.edges, jack


def test_every_edge_ends_on_ports_that_are_there(facility):
    graph = graph_of(facility)
    outputs = {(box.id, port.id) for box in graph.boxes for port in box.outputs}
    inputs = {(box.id, port.id) for box in graph.boxes for port in box.inputs}
    for edge in graph.edges:
        assert edge.tail in outputs
        assert edge.head in inputs


@pytest.mark.skipif(not gv.available(), reason="Graphviz is not installed")
def test_graphviz_reads_it(facility):
    assert b"<svg" in gv.run(gv.source(graph_of(facility)))


def test_the_marks_say_what_breaks():
    # Which plug breaks which normal: trade press on jackfield normals, common practice.
    marks = [marks_of(kind) for kind in ("full", "half", "reverse-half", "parallel", "none")]
    assert marks == ["◁—▷", "•—▷", "◁—•", "•—•", ""]
