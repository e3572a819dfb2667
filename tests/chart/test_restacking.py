"""Rows of a box pushed apart, and closed up again for a sheet without what they made room for."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from slinediag.address import PortAddress
from slinediag.chart.equipment import plan_part
from slinediag.chart.restacking import closed_up, restacked
from tests.chart.test_folding import FEW
from tests.chart.test_true_of_each import desks


@given(st.data())
@FEW
def test_rows_that_are_closed_up_stand_as_they_did_before_they_were_pushed_apart(data):
    """Labels of ports without a line between them too; unless its paths are told otherwise now."""
    box = data.draw(desks())
    ports = [PortAddress(box.id, port.id, port.side) for port in box.ports]
    wired = frozenset(port for port in ports if data.draw(st.booleans()))
    plan = plan_part(box, box.inputs, box.outputs, wired, None)
    gaps = st.lists(st.integers(1, 7), min_size=8, max_size=8)
    apart = restacked(plan, tuple(data.draw(gaps)), tuple(data.draw(gaps)))
    closed = closed_up(apart)
    if apart.style == plan.style and apart.said == plan.said:
        assert closed == plan
    else:
        assert closed.height <= apart.height
        assert (closed.style, closed.said) == (apart.style, apart.said)
