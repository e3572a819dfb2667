"""The workplace: one copy of everything, every change told, nothing half done."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from slinediag.editor.trials import (
    Item,
    item_words,
    items,
    pull_at,
    trial_of,
    with_item,
    without_item,
)
from slinediag.editor.workplace import Workplace
from slinediag.file.read import load, parse
from slinediag.model import edits
from slinediag.model.edits import Position
from slinediag.tracing.values import Trial
from tests.builders import jack


@pytest.fixture
def workplace(plant_file):
    return Workplace(load(plant_file))


def test_a_cord_that_cannot_be_is_refused_and_changes_nothing(workplace):
    told = []
    workplace.refused.connect(told.append)
    assert not workplace.put_cord(jack("PB1.T4"), jack("PB2.B1"))
    assert workplace.trial.empty
    assert "PB1.T4" in told[0][0].text()


def test_left_in_a_cord_is_in_the_file_with_its_note(workplace, plant_file):
    ends = jack("PB1.T3"), jack("PB2.B1")
    workplace.put_cord(*ends)
    workplace.leave_in(ends, "loan", datetime.date(2026, 5, 1), "T. Ashby")
    assert workplace.trial.empty
    assert workplace.history.undoes == "Leave in PB1 T3 to PB2 B1"
    assert workplace.save()
    cord = load(plant_file).facility.cords[-1]
    assert (str(cord), cord.note, cord.by) == ("PB1.T3=PB2.B1", "loan", "T. Ashby")
    assert "# what plays" in plant_file.read_text(encoding="utf-8")
    assert not workplace.history.unsaved
    workplace.undo()
    assert workplace.history.unsaved


def test_after_undo_a_trial_keeps_what_is_still_possible(workplace):
    workplace.change("Gap", edits.insert_gap(workplace.facility, Position("PB1", 4)))
    # The standing cord has moved on to 5: 4 is free for a trial, until the gap is undone.
    assert workplace.put_cord(jack("PB1.T4"), jack("PB2.B3"))
    assert workplace.put_cord(jack("PB1.T1"), jack("PB2.B1"))
    workplace.undo()
    assert workplace.trial == Trial(cords=((jack("PB1.T1"), jack("PB2.B1")),))


def test_a_file_that_cannot_be_written_stays_whole_and_is_told(workplace, plant_file, tmp_path):
    before = plant_file.read_bytes()
    told = []
    workplace.refused.connect(told.append)
    workplace.change("Gap", edits.insert_gap(workplace.facility, Position("PB1", 1)))
    assert not workplace.save(tmp_path / "no such folder" / "plant.yaml")
    assert told
    assert plant_file.read_bytes() == before
    assert workplace.history.unsaved


def test_a_bad_file_does_not_take_the_place_of_the_open_one(workplace, tmp_path):
    bad = tmp_path / "bad.yaml"
    bad.write_text("slinediag: 1\n", encoding="utf-8")
    told = []
    workplace.refused.connect(told.append)
    before = workplace.facility
    assert not workplace.open(bad)
    assert workplace.facility is before
    assert told


def test_a_trial_is_put_together_and_taken_apart(workplace):
    facility = workplace.facility
    pull = pull_at(facility, jack("PB2.B8"))
    assert pull == Item("pulled cord", (jack("PB1.T4"), jack("PB2.B8")))
    assert pull_at(facility, jack("PB2.T8")) == Item("pulled plug", jack("PB2.T8"))
    assert pull_at(facility, jack("PB2.T9")) is None
    chosen = (Item("failed", "LIM"), pull, Item("plug", jack("PB2.T9")))
    trial = trial_of(chosen)
    assert items(trial) == chosen
    assert with_item(without_item(trial, pull), pull) == trial
    assert [item_words(facility, item) for item in chosen] == [
        "LIM failed",
        "Pull PB1 T4 (DISC 2 R) to PB2 B8",
        "Dummy plug in PB2 T9",
    ]


def test_left_in_a_cord_takes_the_place_of_what_is_pulled_for_it(workplace):
    ends = jack("PB1.T4"), jack("PB2.T8")
    for item in (
        Item("pulled cord", (jack("PB1.T4"), jack("PB2.B8"))),
        Item("pulled plug", jack("PB2.T8")),
        Item("cord", ends),
    ):
        assert workplace.put(item)
    before = workplace.facility
    workplace.leave_in(ends, "", None)
    assert [str(cord) for cord in workplace.facility.cords] == ["PB1.T4=PB2.T8"]
    assert workplace.facility.plugs == ()
    assert workplace.trial.empty
    workplace.undo()
    assert workplace.facility == before


def test_what_is_saved_is_read_back_once_and_is_what_a_reader_finds(
    workplace, plant_file, tmp_path, monkeypatch
):
    """The reading that is compared is the one that is kept: a large file takes long to read."""
    read = []

    def counted(data, name):
        read.append(name)
        return parse(data, name)

    monkeypatch.setattr("slinediag.file.write.parse", counted)
    for path in (None, tmp_path / "other.yaml"):
        boxes = workplace.facility.equipment
        renamed = replace(boxes["LIM"], name=f"{boxes['LIM'].name}, repaired")
        changed = replace(workplace.facility, equipment={**boxes, "LIM": renamed})
        workplace.change("Rename", changed)
        read.clear()
        assert workplace.save(path)
        name = str(path or plant_file)
        assert len(read) == 1
        found, kept = load(name), workplace.document
        assert kept.name == found.name == name
        assert (kept.data, kept.facility, kept.source) == (found.data, found.facility, found.source)
        assert workplace.on_disk == found.data
    # Saved again, only what changes is touched: the kept nodes are those of the new text.
    before = load(name).data.decode().splitlines()
    workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    workplace.leave_in((jack("PB1.T3"), jack("PB2.B1")), "loan", None)
    assert workplace.save()
    after = load(name).data.decode().splitlines()
    assert len([line for line in after if line not in before]) == 1
