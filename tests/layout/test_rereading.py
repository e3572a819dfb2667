"""A layout followed from the result it was written as: as well as from the layout itself."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings

from slinediag.layout.command import run
from slinediag.layout.graph import Graph
from slinediag.layout.invariants import layout_faults
from slinediag.layout.jsonfile import read_earlier
from slinediag.layout.layout import Layout
from slinediag.layout.pipeline import arrange
from slinediag.layout.resultfile import write_result
from slinediag.layout.settings import Settings
from tests.bench.strings import strings
from tests.layout.graphs import graphs
from tests.layout.test_keeping import (
    drawn,
    kept,
    with_one_more,
    with_one_moved,
    with_two_swapped,
)


def written(layout: Layout, folder: Path) -> Path:
    path = folder / "earlier.json"
    write_result(path, layout, 0.0)
    return path


@pytest.mark.parametrize("ports", ["fixed", "free"])
@pytest.mark.parametrize("seed", range(4))
def test_layers_and_lines_are_read_off_whole(tmp_path, ports, seed) -> None:
    graph = strings(48, seed)
    layout = arrange(graph, Settings(ports=ports))
    read = read_earlier(written(layout, tmp_path), graph)
    assert read.layers == layout.layers
    lines = [(source, target) for source, target, _ in read.standing.lines]
    assert sorted(lines) == sorted((edge.source, edge.target) for edge in graph.edges)
    assert read.standing.nodes.keys() == layout.standing.nodes.keys()


@pytest.mark.parametrize("change", [with_one_more, with_one_moved, with_two_swapped])
def test_as_much_is_kept_as_from_the_layout_itself(tmp_path, change) -> None:
    shares = {"memory": 0.0, "file": 0.0}
    crossings = {"memory": 0, "file": 0}
    for seed in range(4):
        graph, first = drawn(seed)
        changed = change(graph, random.Random(seed))
        read = read_earlier(written(first, tmp_path), changed)
        for way, previous in (("memory", first), ("file", read)):
            second = arrange(changed, Settings(previous=previous))
            assert layout_faults(second, changed, Settings()) == []
            shares[way] += kept(first, second) / 4
            crossings[way] += second.crossings
    assert shares["file"] >= shares["memory"] - 0.02
    assert crossings["file"] <= 1.05 * crossings["memory"] + 3


def test_a_box_that_has_grown_keeps_its_column(tmp_path) -> None:
    """Wider than to the next column: what begins at its right edge tells where that was."""
    graph, first = drawn(0)
    path = written(first, tmp_path)
    wide = tuple(
        replace(node, width=node.width + 60) if node.outputs else node for node in graph.nodes
    )
    assert read_earlier(path, Graph(wide, graph.edges)).layers == first.layers


@hypothesis_settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(graphs(), graphs())
def test_any_graph_after_the_result_of_any_other(tmp_path: Path, one: Graph, other: Graph) -> None:
    path = written(arrange(one), tmp_path)
    names = {node.id for node in one.nodes}
    if other.nodes and not any(node.id in names for node in other.nodes):
        return
    settings = Settings(previous=read_earlier(path, other))
    assert layout_faults(arrange(other, settings), other, settings) == []


def box(name: str, inputs: int, outputs: int) -> dict[str, Any]:
    """A box of rows of 8 mm."""
    return {
        "id": name,
        "width": 20,
        "height": 8 * max(inputs, outputs),
        "inputs": [{"id": f"i{k}", "y": 8 * k + 4} for k in range(inputs)],
        "outputs": [{"id": f"o{k}", "y": 8 * k + 4} for k in range(outputs)],
    }


GRAPH = {
    "nodes": [box("a", 0, 2), box("b", 1, 1), box("c", 1, 1), box("d", 2, 0)],
    "edges": [
        {"from": ["a", "o0"], "to": ["b", "i0"]},
        {"from": ["a", "o1"], "to": ["c", "i0"]},
        {"from": ["b", "o0"], "to": ["d", "i0"]},
        {"from": ["c", "o0"], "to": ["d", "i1"]},
    ],
}


def saved(path: Path, data: object) -> str:
    path.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return str(path)


def test_the_command_keeps_what_its_result_shows(tmp_path) -> None:
    """The result is the one it is written over."""
    graph, result = saved(tmp_path / "g.json", GRAPH), str(tmp_path / "r.json")
    assert run([graph, result]) == 0
    before = json.loads(Path(result).read_text(encoding="utf-8"))
    assert before["nodes"]["b"][1] < before["nodes"]["c"][1]
    more = {**GRAPH, "nodes": [*GRAPH["nodes"], box("e", 1, 0), box("f", 0, 1)]}
    more["edges"] = [*GRAPH["edges"], {"from": ["f", "o0"], "to": ["e", "i0"]}]
    saved(tmp_path / "g.json", more)
    assert run([graph, result, "--keep", result]) == 0
    after = json.loads(Path(result).read_text(encoding="utf-8"))
    assert {name: after["nodes"][name] for name in "abcd"} == before["nodes"]
    assert after["crossings"] == 0


POINT = [0, 0]
GOOD: dict[str, Any] = {
    "nodes": {"a": [0, 0]},
    "ports": {"a": {"o0": 4}},
    "edges": [[[20, 4], [60, 4]]],
}


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("{", "not JSON"),
        ("[]", "the file holds no object. Give an object with the keys of a result"),
        ({}, "nodes: is missing"),
        ({**GOOD, "nodes": []}, "nodes: is not an object"),
        ({**GOOD, "nodes": {"a": [1]}}, "nodes.a: is no point [x, y]"),
        ({**GOOD, "nodes": {"a": [1, True]}}, "nodes.a: is no point [x, y]"),
        ('{"nodes": {"a": [1, NaN]}, "ports": {}, "edges": []}', "nodes.a: is no point"),
        ('{"nodes": {"a": [1, 1e999]}, "ports": {}, "edges": []}', "nodes.a: is no point"),
        ({**GOOD, "ports": {"a": 4}}, "ports.a: is not an object"),
        ({**GOOD, "ports": {"a": {"o0": "4"}}}, "ports.a.o0: is no y in millimetres"),
        ({**GOOD, "edges": {}}, "edges: is not a list"),
        ({**GOOD, "edges": [[[0, 0]]]}, "edges[0]: is no list of two points or more"),
        ({**GOOD, "edges": [[POINT, [0]]]}, "edges[0].1: is no point [x, y]"),
        ({**GOOD, "nodes": {"z": POINT}}, "this result shows none of the graph's nodes"),
        (GRAPH, "nodes: is not an object"),
    ],
)
def test_what_is_no_result_is_refused(tmp_path, capsys, data, words) -> None:
    graph = saved(tmp_path / "g.json", GRAPH)
    earlier = saved(tmp_path / "earlier.json", data)
    assert run([graph, str(tmp_path / "r.json"), "--keep", earlier]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert "earlier.json" in told
    assert not (tmp_path / "r.json").exists()


def test_a_result_that_is_not_there_is_refused(tmp_path, capsys) -> None:
    graph = saved(tmp_path / "g.json", GRAPH)
    assert run([graph, str(tmp_path / "r.json"), "--keep", str(tmp_path / "none.json")]) == 2
    assert "none.json" in capsys.readouterr().err
