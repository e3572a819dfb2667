"""The make/break truth table of every normal.

Sources: none, full, half and parallel from trade press articles on jackfield normals; the reverse
half-normal is derived from the half-normal, common practice. S is the source
on jack A, D the destination on jack B; cA and cB are what a cord in that jack leads to.
"""

from __future__ import annotations

import pytest

from slinediag.circuit.circuit import Circuit
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from tests.builders import entry, jack, one_normal, output

S, D = output("S.O"), entry("D.I")
A, B = jack("PB.T1"), jack("PB.B1")
CORD_A, CORD_B = jack("PB.T2"), jack("PB.B3")
C_A, C_B = output("X.O"), entry("Y.I")

EACH_STATE = {
    # kind: joined groups with no plug, with a cord in A, in B, in both
    "none": ("S D", "S=cA D", "S D=cB", "S=cA D=cB"),
    "full": ("S=D", "S=cA D", "S D=cB", "S=cA D=cB"),
    "half": ("S=D", "S=D=cA", "S D=cB", "S=cA D=cB"),
    "reverse-half": ("S=D", "S=cA D", "S=D=cB", "S=cA D=cB"),
    "parallel": ("S=D", "S=D=cA", "S=D=cB", "S=D=cA=cB"),
}


def states():
    for kind, groups in EACH_STATE.items():
        for (in_a, in_b), text in zip(
            ((False, False), (True, False), (False, True), (True, True)), groups, strict=True
        ):
            yield pytest.param(kind, in_a, in_b, text, id=f"{kind}-{'A' * in_a}{'B' * in_b}")


@pytest.mark.parametrize("leg", [0, 1], ids=["tip", "ring"])
@pytest.mark.parametrize(("kind", "in_a", "in_b", "text"), list(states()))
def test_truth_table(kind, in_a, in_b, text, leg):
    circuit = Circuit(one_normal(kind))
    if in_a:
        put(circuit, A, CORD_A)
    if in_b:
        put(circuit, B, CORD_B)
    ends = {"S": S, "D": D, "cA": C_A, "cB": C_B}
    wanted = [set(group.split("=")) for group in text.split()]
    for one in ends:
        for other in ends:
            together = one == other or any({one, other} <= group for group in wanted)
            assert circuit.joined(ends[one], ends[other], leg) == together, (one, other)


def put(circuit, inner, outer):
    circuit.plug_in(inner)
    circuit.plug_in(outer)
    circuit.join_cord(inner, outer)


@pytest.mark.parametrize(
    ("kind", "by_a", "by_b"),
    [
        # Dummy plug: half-normal, in A nothing, in B breaks; full breaks in either (common practice)
        ("none", False, False),
        ("full", True, True),
        ("half", False, True),
        ("reverse-half", True, False),
        ("parallel", False, False),
    ],
)
def test_what_a_dummy_plug_breaks(kind, by_a, by_b):
    assert (broken_by_source(kind), broken_by_target(kind)) == (by_a, by_b)
    for at, breaks in ((A, by_a), (B, by_b)):
        circuit = Circuit(one_normal(kind))
        normals = list(circuit.normals_at(at))
        joined = circuit.joined(S, D)
        circuit.plug_in(at)
        assert [circuit.closed(n) for n in normals] == [not breaks] * (kind != "none")
        assert circuit.joined(S, D) == (joined and not breaks)
        circuit.plug_out(at)
        assert circuit.joined(S, D) == joined
