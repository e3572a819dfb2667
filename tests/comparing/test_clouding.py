"""Clouds stand round what changed, and nowhere else."""

from __future__ import annotations

import pytest

from slinediag.chart.chart import draw
from slinediag.clouding import changed_things, clouded, draw_changes
from slinediag.comparing.compare import compare
from slinediag.drawing.marks import Group
from slinediag.drawing.query import ink_box, walk
from slinediag.geometry import union
from slinediag.paint.svg import paint
from slinediag.problems import RequestError
from tests.comparing.test_compare import OLD, edited


def clouds(drawing):
    return [m for m in drawing.marks if isinstance(m, Group) and "cloud" in m.ref.classes]


def room_of(drawing, **data):
    """The room of what bears this datum."""
    ((name, value),) = data.items()
    return union(p.box for p in walk(drawing) if any((name, value) in r.data for r in p.refs))


@pytest.fixture(scope="module")
def changed():
    told = compare(OLD, edited("normal: full", "normal: half"))
    (drawing,) = draw(told.new, None, effort="quick")
    return told, drawing


def test_a_changed_position_is_clouded(changed):
    told, drawing = changed
    sheet = clouded(drawing, told)
    rooms = [ink_box(cloud.marks[0]) for cloud in clouds(sheet)]
    for top in ("PB.T3", "PB.T4"):
        assert any(room.contains(room_of(drawing, top=top)) for room in rooms)
    assert not any(room.contains(room_of(drawing, top="PB.T1")) for room in rooms)
    assert sheet.marks[: len(drawing.marks)] == drawing.marks


def test_the_cloud_bears_the_proposed_revision(changed):
    told, drawing = changed
    (first, *_) = clouds(clouded(drawing, told))
    assert ("revision", "D") in first.ref.data
    assert 'class="cloud"' in paint(clouded(drawing, told))


def test_a_changed_box_is_clouded():
    told = compare(OLD, edited("priority: 1", "priority: 2"))
    assert changed_things(told) == (frozenset(), {"XMIT"})
    (drawing,) = draw(told.new, None, effort="quick")
    (cloud,) = clouds(clouded(drawing, told))
    assert ink_box(cloud.marks[0]).contains(room_of(drawing, id="XMIT"))


def test_nothing_changed_is_not_clouded():
    told = compare(OLD, OLD)
    (drawing,) = draw(OLD, None, effort="quick")
    assert clouded(drawing, told) == drawing


def test_cords_cloud_the_positions_at_both_ends():
    told = compare(OLD, edited("  - {from: PB.T1, to: QB.B2, note: to the mult}\n", "  []\n"))
    assert changed_things(told) == ({"PB.T1", "QB.B2"}, frozenset())


def test_the_chart_is_written(changed, tmp_path):
    told, _ = changed
    paths = draw_changes(told, tmp_path / "changes.svg", effort="quick")
    assert [path.name for path in paths] == ["changes.svg"]
    chart = paths[0].read_text()
    assert ">proposed: PB 3: full-normal" in chart
    assert "proposed" not in "".join(str(row) for row in told.new.practice.revisions)
    with pytest.raises(RequestError, match="ending"):
        draw_changes(told, tmp_path / "changes.gv")
