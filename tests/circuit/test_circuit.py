"""Questions to the circuit that trials ask only in passing."""

from __future__ import annotations

from slinediag.circuit.circuit import Circuit
from tests.builders import entry, jack, one_normal, output


def test_the_jacks_on_a_way_and_none_where_there_is_no_way():
    circuit = Circuit(one_normal("half"))
    assert circuit.jacks_between(output("S.O"), entry("D.I")) == (jack("PB.T1"), jack("PB.B1"))
    assert circuit.jacks_between(output("X.O"), entry("D.I")) == ()
