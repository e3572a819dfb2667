"""Charts against golden files: look at the SVG before refreshing it with --refresh-golden."""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.paint.svg import paint
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import jack
from tests.chart.plants import station

TRIALS = {
    "patched": Trial(cords=((jack("PB1.T3"), jack("PB2.B3")),)),
    "doubled": Trial(
        cords=((jack("PB1.T1"), jack("PB1.T3")),),
        pulled_cords=((jack("PB1.T4"), jack("PB2.T10")),),
        plugs=(jack("PB1.B2"),),
    ),
    "failed": Trial(
        cords=((jack("PB1.T1"), jack("PB1.B8")), (jack("PB2.T8"), jack("PB2.B3"))),
        failed=("LIM",),
    ),
}


def test_the_station_at_rest(golden):
    golden("station.svg", paint(draw(station())[0]))


@pytest.mark.parametrize("name", sorted(TRIALS))
def test_the_station_under_a_trial(golden, name):
    plant = station()
    answer = ask(plant, TRIALS[name])
    words = ("What the caller says of the trial stands here, a sentence to a line.",)
    golden(f"station-{name}.svg", paint(draw(plant, answer, words=words)[0]))
