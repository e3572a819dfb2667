"""The same facility gives the same bytes, whatever the hash seed and the order of the file."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from slinediag.chart.chart import draw
from slinediag.paint.svg import paint
from tests.chart.plants import station
from tests.strategies import facilities

# A chart takes its time: what fails is shown as found, not shrunk for minutes.
FEW = settings(
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
PROGRAM = """
import sys
from slinediag.chart.chart import draw
from slinediag.paint.svg import paint
from tests.chart.plants import station
sys.stdout.buffer.write(paint(draw(station())[0]).encode())
"""


def painted_with(seed: str) -> bytes:
    """The station's chart from a process of its own with this hash seed."""
    env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.run(
        [sys.executable, "-c", PROGRAM], env=env, check=True, capture_output=True
    ).stdout


def test_two_hash_seeds_give_the_same_bytes():
    first = painted_with("1")
    assert first.startswith(b"<?xml")
    assert first == painted_with("4242")


def shuffled(draw_from, plant):
    """The facility with everything whose order says nothing in another order."""

    def again(things):
        return dict(draw_from(st.permutations(list(things.items()))))

    def anew(things):
        return tuple(draw_from(st.permutations(things)))

    return replace(
        plant,
        equipment=again(plant.equipment),
        bays={
            name: replace(bay, points=again(bay.points)) for name, bay in again(plant.bays).items()
        },
        mults={name: replace(m, jacks=anew(m.jacks)) for name, m in again(plant.mults).items()},
        lines=again(plant.lines),
        cross_normals=anew(plant.cross_normals),
        cords=anew(plant.cords),
        plugs=anew(plant.plugs),
    )


@given(st.data())
@settings(FEW, max_examples=8)
def test_the_order_of_the_file_does_not_matter(data):
    plant = data.draw(facilities())
    other = shuffled(data.draw, plant)
    assert paint(draw(plant)[0]) == paint(draw(other)[0])


def test_the_station_in_any_order_is_the_same():
    plant = station()
    backwards = replace(
        plant,
        equipment=dict(reversed(plant.equipment.items())),
        bays=dict(reversed(plant.bays.items())),
    )
    assert paint(draw(plant)[0]) == paint(draw(backwards)[0])
