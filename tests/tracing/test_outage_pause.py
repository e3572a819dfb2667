"""The collector is held off for a search and left as it was."""

from __future__ import annotations

import gc

import pytest

import slinediag
from slinediag.problems import RequestError
from slinediag.tracing.outage.pause import collector_paused


def fail_while_paused():
    with collector_paused():
        assert not gc.isenabled()
        raise ZeroDivisionError


def test_the_collector_runs_again_afterwards_also_on_errors():
    assert gc.isenabled()
    plant = slinediag.load("samples/larkfen.yaml")
    slinediag.outage(plant, failed=["COMP"])
    assert gc.isenabled()
    with pytest.raises(RequestError):
        slinediag.outage(plant, failed=["COMP"], moves=9)
    with pytest.raises(ZeroDivisionError):
        fail_while_paused()
    assert gc.isenabled()


def test_a_collector_that_was_off_stays_off():
    gc.disable()
    try:
        with collector_paused():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
