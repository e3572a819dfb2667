"""The hard rules of a chart, on the samples and on random facilities and trials."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from slinediag.chart.chart import draw
from slinediag.tracing.trial import ask
from tests.chart import plants
from tests.chart.rules import check_all, covered
from tests.strategies import facilities, trials

# A chart takes its time: what fails is shown as found, not shrunk for minutes.
FEW = settings(
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module", params=["quillmoor", "larkfen"])
def sample(request):
    return plants.sample(request.param), plants.sample_sheet(request.param)


def test_samples_keep_every_rule(sample):
    plant, drawing = sample
    check_all(plant, drawing)


def test_no_cord_of_a_sample_covers_lettering(sample):
    _, drawing = sample
    assert covered(drawing) == []


@given(facilities())
@settings(FEW, max_examples=15)
def test_random_facilities_keep_every_rule(plant):
    check_all(plant, draw(plant)[0])


@given(st.data())
@settings(FEW, max_examples=15)
def test_random_trials_keep_every_rule(data):
    plant = data.draw(facilities())
    trial = data.draw(trials(plant))
    check_all(plant, draw(plant, ask(plant, trial))[0])
