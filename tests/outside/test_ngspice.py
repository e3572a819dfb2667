"""Levels, treble and tied outputs against ngspice, which solves the same plants contact by contact.

The netlist is built here from the filed values alone: every contact is a node, every joint a
milliohm, an output a voltage behind its impedance from leg to leg, an input a resistance, a cable
or cord a capacitance from tip to ring. One copy of the plant for each output, which sends alone.
"""

from __future__ import annotations

import random
import shutil
import subprocess
from dataclasses import dataclass, field
from math import log10

import networkx as nx
import pytest

from slinediag.tracing.tracer import Tracer
from tests import oracle
from tests.builders import plant

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="ngspice is not installed; Debian has it as the package ngspice",
)

SEED = 5
PLANTS = 80
FEWEST_LINES = 30
JOINT = 1e-3
ZERO_DBU = 0.6**0.5
HALF_POWER = 10 * log10(2)
SWEEP = "ac dec 100 1 100meg"


# ---- plants


def some_plant(rng):
    """The sections of a plant: sources and loads on one bay, with cables and joints of all kinds."""
    width = rng.randint(4, 6)
    jacks = [f"PB.{row}{n}" for row in "TB" for n in range(1, width + 1)]
    outputs = [f"O{n}" for n in range(1, rng.randint(1, 3) + 1)]
    inputs = [f"I{n}" for n in range(1, rng.randint(2, 4) + 1)]
    wires = dict(zip(rng.sample(jacks, width), [*outputs, *inputs, "GONE"], strict=False))
    free = [jack for jack in rng.sample(jacks, len(jacks)) if jack not in wires]
    front = rng.sample(jacks, 4)
    ports = ", ".join(f"{o}: {some_output(rng)}" for o in outputs)
    loads = ", ".join(f"{i}: {{impedance: {log_uniform(rng, 600, 50_000)}}}" for i in inputs)
    points = "".join(f"\n      {n}: {some_point(rng, wires, n)}" for n in range(1, width + 1))
    return f"""
equipment:
  S: {{name: Sources, outputs: {{{ports}}}}}
  D: {{name: Loads, inputs: {{{loads}}}}}
  R: {{name: Removed load, state: removed, inputs: {{GONE: {{impedance: 100}}}}}}
bays:
  PB:
    name: Bay
    positions: {width}
    points:{points}
mults: {{M: [{", ".join(rng.sample(jacks, rng.randint(2, 4)))}]}}
lines: {{TL: {{from: {free[0]}, to: {free[1]}, cable: C1}}}}
cables:
  C1: {{length: {log_uniform(rng, 10, 300)}, capacitance: {log_uniform(rng, 50, 200)}}}
  C2: {{length: {log_uniform(rng, 10, 300)}}}
  C3: {{capacitance: 90}}
cords:
  - {{from: {front[0]}, to: {front[1]}, length: {log_uniform(rng, 0.3, 30)}}}
  - {{from: {front[2]}, to: {front[3]}, length: {log_uniform(rng, 0.3, 30)}}}
"""


def some_output(rng):
    impedance, level = log_uniform(rng, 50, 10_000), round(rng.uniform(-20, 8), 2)
    return f"{{impedance: {impedance}, level: {level}, max: {level + 18}}}"


def some_point(rng, wires, n):
    kind = rng.choice(["full", "half", "half", "reverse-half", "parallel", "none"])
    parts = [f"normal: {kind}"]
    for row, key in (("T", "top"), ("B", "bottom")):
        port = wires.get(f"PB.{row}{n}")
        if port is not None:
            box, side = {"O": ("S", "out"), "I": ("D", "in"), "G": ("R", "in")}[port[0]]
            cable = rng.choice(
                [", cable: C1", f", cable: C2/{2 * n + len(parts)}", ", cable: C3", ""]
            )
            swapped = rng.choice(["", "", ", swapped: true"])
            parts.append(f"{key}: {{to: {box}.{port}:{side}{cable}{swapped}}}")
    return f"{{{', '.join(parts)}}}"


def log_uniform(rng, low, high):
    return round(10 ** rng.uniform(log10(low), log10(high)), 1)


# ---- netlists


@dataclass
class Netlist:
    """Elements of all copies of all plants, and what to measure by name."""

    elements: list = field(default_factory=list)
    measures: dict = field(default_factory=dict)
    nodes: dict = field(default_factory=dict)

    def node(self, copy, contact):
        """The node of a contact in one copy."""
        return self.nodes.setdefault((copy, contact), f"n{len(self.nodes) + 1}")

    def add(self, kind, one, other, value):
        """One element; its name."""
        name = f"{kind}{len(self.elements) + 1}"
        self.elements.append(f"{name} {one} {other} {value}")
        return name

    def measure(self, key, expression):
        """Have an expression measured over the sweep."""
        self.measures[key] = (f"m{len(self.measures) + 1}", expression)

    def text(self, out):
        """The whole deck, which writes the sweep to a file."""
        lets = [f"let {name} = {expression}" for name, expression in self.measures.values()]
        names = " ".join(name for name, _ in self.measures.values())
        commands = ["set wr_singlescale", SWEEP, *lets, f"wrdata {out} {names}"]
        return "\n".join(["* plants", *self.elements, ".control", *commands, ".endc", ".end", ""])


def add_plant(netlist, number, facility):
    """One copy of the plant for each output, with what its inputs get and its sources drive."""
    graph = oracle.contact_graph(facility, oracle.at_rest(facility))
    outputs = list(facility.outputs())
    for sender in outputs:
        copy = (number, sender)
        live = nx.node_connected_component(graph, (*sender, "+"))
        live |= nx.node_connected_component(graph, (*sender, "-"))
        for one, other in graph.subgraph(live).edges:
            netlist.add("R", netlist.node(copy, one), netlist.node(copy, other), JOINT)
        for output in outputs:
            if (*output, "+") in live:
                add_output(netlist, copy, output, facility, sending=output == sender)
        for entry in facility.inputs():
            if (*entry, "+") in live:
                add_input(netlist, copy, entry, facility)
        for (bay, row, n), picofarads in capacitances(facility):
            tip, ring = ((bay, row, n, spring) for spring in "TR")
            if tip in live:
                ends = netlist.node(copy, tip), netlist.node(copy, ring)
                netlist.add("C", *ends, picofarads * 1e-12)


def add_output(netlist, copy, output, facility, sending):
    plus, minus = (netlist.node(copy, (*output, sign)) for sign in "+-")
    inner = netlist.node(copy, (*output, "inner"))
    source = netlist.add("V", inner, minus, f"DC 0 AC {int(sending)}")
    netlist.add("R", inner, plus, keys(facility, output).impedance)
    # Where the whole line floats, ngspice needs a way to earth; it is far too weak to load it.
    netlist.add("R", minus, 0, 1e11)
    if not sending:
        netlist.measure(("current", copy, output), f"mag(i({source.lower()}))")


def add_input(netlist, copy, entry, facility):
    plus, minus = (netlist.node(copy, (*entry, sign)) for sign in "+-")
    netlist.add("R", plus, minus, keys(facility, entry).impedance)
    netlist.measure(("level", copy, entry), f"db(v({plus})-v({minus}))")


def keys(facility, port):
    """The filed keys of a port."""
    box = facility.equipment[port.equipment]
    ports = box.outputs if port.side == "out" else box.inputs
    return next(p.keys for p in ports if p.id == port.port)


def capacitances(facility):
    """Each cable run and cord as (jack at one of its ends, pF)."""
    for bay in facility.bays.values():
        for n, point in bay.points.items():
            for row, wire in (("T", point.top), ("B", point.bottom)):
                if wire is not None and wire.cable and wire.to.equipment != "R":
                    yield (bay.id, row, n), run_capacitance(facility, wire.cable)
    for line in facility.lines.values():
        yield line.source, run_capacitance(facility, line.cable)
    for cord in facility.cords:
        yield cord.source, 100 * cord.length


def run_capacitance(facility, name):
    cable = facility.cables[name.split("/")[0]]
    return (cable.length or 0) * (cable.capacitance or 100)


def solve(netlist, folder):
    """Measure → its values over the sweep; and the frequencies."""
    deck = folder / "plants.cir"
    deck.write_text(netlist.text("plants.txt"), encoding="ascii")
    run = subprocess.run(
        ["ngspice", "-n", "-b", deck.name], cwd=folder, capture_output=True, text=True, check=False
    )
    table = folder / "plants.txt"
    assert table.exists(), run.stderr[-2000:]
    rows = [list(map(float, line.split())) for line in table.read_text().splitlines()]
    columns = list(zip(*rows, strict=True))
    assert len(columns) == 1 + len(netlist.measures)
    return columns[0], dict(zip(netlist.measures, columns[1:], strict=True))


def corner_of(frequencies, curve):
    """Where the curve has fallen to half power, between the points of the sweep."""
    goal = curve[0] - HALF_POWER
    n = next(n for n, value in enumerate(curve) if value <= goal)
    part = (curve[n - 1] - goal) / (curve[n - 1] - curve[n])
    return frequencies[n - 1] * (frequencies[n] / frequencies[n - 1]) ** part


def value_at(frequencies, curve, frequency):
    n = next(n for n, f in enumerate(frequencies) if f >= frequency)
    part = log10(frequency / frequencies[n - 1]) / log10(frequencies[n] / frequencies[n - 1])
    return curve[n - 1] + part * (curve[n] - curve[n - 1])


# ---- the comparison


@pytest.fixture(scope="module")
def solved(tmp_path_factory):
    """The plants as tracers, and what ngspice says of them."""
    rng = random.Random(SEED)
    netlist = Netlist()
    tracers = [Tracer(plant(some_plant(rng))) for _ in range(PLANTS)]
    for number, tracer in enumerate(tracers):
        add_plant(netlist, number, tracer.facility)
    return tracers, *solve(netlist, tmp_path_factory.mktemp("ngspice"))


def lines_of(tracers):
    """Plant number, facility and line of every input that has an output on its line."""
    for number, tracer in enumerate(tracers):
        with tracer.lock:
            lines = [tracer.line_at_rest(n) for n in range(len(tracer.circuit.inputs))]
        yield from ((number, tracer.facility, line) for line in lines if line.treble is not None)


def test_the_same_inputs_get_something(solved):
    tracers, _, found = solved
    mine = {(n, line.input) for n, _, line in lines_of(tracers)}
    assert {(copy[0], entry) for what, copy, entry in found if what == "level"} == mine


def test_levels_of_single_feeds(solved):
    tracers, _, found = solved
    compared = set()
    for number, facility, line in lines_of(tracers):
        if line.arrival is not None:
            sender = line.arrival.output
            gain = found["level", (number, sender), line.input][0]
            level = keys(facility, sender).level + gain
            assert line.arrival.level == pytest.approx(level, abs=0.01)
            compared.add((number, sender))
    assert len(compared) >= FEWEST_LINES


def test_treble(solved):
    tracers, frequencies, found = solved
    compared = set()
    for number, facility, line in lines_of(tracers):
        curves = [
            found["level", (number, sender), line.input]
            for sender in facility.outputs()
            if ("level", (number, sender), line.input) in found
        ]
        for curve in curves:
            lost = curve[0] - value_at(frequencies, curve, 20_000)
            assert line.treble.loss == pytest.approx(lost, abs=0.01)
            if line.treble.corner is not None and line.treble.corner < 50e6:
                corner = corner_of(frequencies, curve)
                assert line.treble.corner == pytest.approx(corner, rel=0.01)
                compared.add((number, line.input))
    assert len(compared) >= FEWEST_LINES


def test_tied_outputs(solved):
    tracers, _, found = solved
    compared = set()
    for number, facility, line in lines_of(tracers):
        for tied in line.tied:
            copy = (number, tied.output)
            filed = keys(facility, tied.output)
            level = filed.level + found["level", copy, line.input][0]
            assert tied.level == pytest.approx(level, abs=0.01)
            per_volt = sum(v[0] for (w, c, _), v in found.items() if (w, c) == ("current", copy))
            current = 1000 * per_volt * ZERO_DBU * 10 ** (filed.max / 20)
            assert tied.current == pytest.approx(current, rel=0.001)
            compared.add((number, tied.output))
    assert len(compared) >= FEWEST_LINES
