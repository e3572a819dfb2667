"""Graphviz source against the DOT language and, where it is installed, Graphviz itself."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest

from slinediag.paint import gv
from slinediag.paint.gv import Graph, GraphBox, GraphEdge, GraphPort
from slinediag.problems import RequestError

HOSTILE = 'A:B "q" <i> & &lt; \\N \\l é 漢 \x07'


def ports(*labels: str) -> tuple[GraphPort, ...]:
    return tuple(GraphPort(label, label) for label in labels)


PLANT = Graph(
    "Programme chain",
    (
        GraphBox("DISC", "Disc player", (), ports("L:out", "R"), 0),
        GraphBox("MIC", HOSTILE, (), ports(HOSTILE), 0),
        GraphBox("DESK", "Desk", ports("1", "2", "3"), ports("PGM"), 1),
        GraphBox("XMIT", "", ports("L"), (), 2),
    ),
    (
        GraphEdge(("DISC", "L:out"), ("DESK", "1"), "PB1 1"),
        GraphEdge(("DISC", "R"), ("DESK", "3")),
        GraphEdge(("MIC", HOSTILE), ("DESK", "2"), HOSTILE),
        GraphEdge(("DESK", "PGM"), ("XMIT", "L"), dashed=True),
    ),
)

needs_graphviz = pytest.mark.skipif(not gv.available(), reason="Graphviz is not installed")


def test_source_names_every_box_and_edge_once() -> None:
    text = gv.source(PLANT)
    assert text.startswith("digraph {")
    assert "rankdir=LR" in text
    assert len(re.findall(r"^\tb\d+ \[", text, re.MULTILINE)) == len(PLANT.boxes)
    assert len(re.findall(r"^\tb\d+ -> b\d+ \[", text, re.MULTILINE)) == len(PLANT.edges)
    assert text.count("rank=same") == 3


def test_source_needs_no_graphviz(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    assert gv.source(PLANT)
    assert not gv.available()
    with pytest.raises(RequestError, match="apt install graphviz"):
        gv.run(gv.source(PLANT))


def test_source_is_the_same_every_time() -> None:
    assert gv.source(PLANT) == gv.source(PLANT)


def test_an_edge_to_nowhere_is_a_bug() -> None:
    with pytest.raises(KeyError):
        gv.source(replace(PLANT, edges=(GraphEdge(("DISC", "X"), ("DESK", "1")),)))


@needs_graphviz
def test_graphviz_finds_every_port_and_label() -> None:
    dot = shutil.which("dot")
    assert dot is not None
    done = subprocess.run(
        [dot, "-Tjson"], input=gv.source(PLANT).encode(), capture_output=True, check=True
    )
    assert done.stderr == b""  # it warns of ports that it does not recognise
    laid_out = json.loads(done.stdout)
    assert len(laid_out["edges"]) == len(PLANT.edges)
    shown = list(ET.fromstring(gv.run(gv.source(PLANT))).itertext())
    # As the label of the box, of its output and of the edge; Graphviz makes spaces unbreakable.
    hostile = HOSTILE.replace("\x07", "\ufffd")
    assert [words.replace("\xa0", " ") for words in shown].count(hostile) == 3
    assert "Disc player" in shown


@needs_graphviz
def test_graphviz_ranks_boxes_from_left_to_right() -> None:
    dot = shutil.which("dot")
    assert dot is not None
    plain = subprocess.run(
        [dot, "-Tplain"], input=gv.source(PLANT).encode(), capture_output=True, check=True
    ).stdout
    lines = [line.split() for line in plain.decode().splitlines() if line.startswith("node")]
    x = {words[1]: float(words[2]) for words in lines}
    assert abs(x["b0"] - x["b1"]) < 0.5
    assert all(x[a] < x[b] for a, b in pairwise(["b0", "b2", "b3"]))


@needs_graphviz
def test_graphviz_draws_it() -> None:
    assert b"<svg" in gv.run(gv.source(PLANT))
    with pytest.raises(RequestError, match="refuses"):
        gv.run("this is not a graph {")
