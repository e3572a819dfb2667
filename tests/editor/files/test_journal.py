"""The journal: nothing that was told is lost; damage costs only what is damaged.

Checks the record's checksum against zlib as a reader outside the program would.
"""

from __future__ import annotations

import json
import os
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slinediag.editor.files.journal import (
    WHOLE_EVERY,
    Beginning,
    Journal,
    Ledger,
    Stage,
    begin_line,
    is_held,
    read,
)

BEGIN = Beginning("/plant/station.yaml", "slinediag: 1\n", "2026-03-01T10:00:00+00:00", 7, "here")
texts = st.text(alphabet="ab\nü🎚:", max_size=12)
acts = st.lists(st.one_of(texts, st.integers(0, 30)), max_size=25)


def played(todo):
    """The lines of a journal, and each state that was reached after them."""
    ledger, lines, states = Ledger(), [begin_line(BEGIN)], [(0, ())]
    for act in todo:
        if isinstance(act, int):
            lines.append(ledger.move(min(act, len(ledger.stages))))
        else:
            lines.append(ledger.step(f"to {act!r}", act))
        states.append((ledger.at, tuple(ledger.stages)))
    return lines, states


@given(acts)
def test_what_is_read_is_what_was_told(todo):
    lines, states = played(todo)
    kept = read(b"".join(lines))
    assert kept.begin == BEGIN
    assert not kept.damaged
    at, stages = states[-1]
    # Equal texts are the same state, whichever of them one went back to.
    assert kept.stages == stages
    assert (kept.stage.text if kept.stage else None) == (stages[at - 1].text if at else None)


@given(acts, st.data())
def test_a_torn_end_costs_only_the_record_that_is_torn(todo, data):
    lines, states = played(todo)
    whole = b"".join(lines)
    cut = data.draw(st.integers(len(lines[0]), len(whole)))
    kept = read(whole[:cut])
    count = sum(1 for n in range(1, len(lines) + 1) if sum(map(len, lines[:n])) <= cut) - 1
    at, stages = states[count]
    assert (kept.stage.text if kept.stage else None) == (stages[at - 1].text if at else None)
    assert kept.damaged == (cut != sum(map(len, lines[: count + 1])))


def test_after_damage_in_the_middle_a_whole_state_is_found_again():
    lines, _ = played([f"line {n}\nall the rest\n" for n in range(WHOLE_EVERY + 5)])
    lines[10] = lines[10].replace(b"line", b"lime")
    kept = read(b"".join(lines))
    assert kept.damaged
    assert kept.stage.text == f"line {WHOLE_EVERY + 4}\nall the rest\n"


def test_no_beginning_is_no_journal():
    assert read(b"") is None
    assert read(b"anything else\n") is None
    assert read(begin_line(BEGIN)[:-9]) is None


def test_a_line_is_a_crc_and_its_json():
    line = Ledger().step("Gap", "a\n")
    head, _, body = line.rstrip(b"\n").partition(b" ")
    assert int(head, 16) == zlib.crc32(body)
    assert json.loads(body) == {"step": "Gap", "at": 1, "text": "a\n"}


def test_a_write_that_fails_leaves_what_was_there(tmp_path, monkeypatch):
    path = str(tmp_path / ".station.yaml.unsaved")
    journal, ledger = Journal(path, BEGIN), Ledger()
    journal.add(ledger.step("One", "one\n"))
    real, written = os.write, []

    def full(descriptor, data):
        if written:
            raise OSError(28, "No space left on device")
        written.append(1)
        return real(descriptor, bytes(data)[:9])

    second = ledger.step("Two", "two\n")
    monkeypatch.setattr(os, "write", full)
    with pytest.raises(OSError, match="No space left"):
        journal.add(second)
    monkeypatch.setattr(os, "write", real)
    kept = read((tmp_path / ".station.yaml.unsaved").read_bytes())
    assert (kept.stages, kept.damaged) == ((Stage("One", "one\n"),), False)
    journal.add(second)
    assert read((tmp_path / ".station.yaml.unsaved").read_bytes()).stage.text == "two\n"
    assert is_held(path)
    journal.close()
    assert not is_held(path)


def test_a_journal_that_was_deleted_under_ones_hands_is_noticed(tmp_path):
    path = tmp_path / ".station.yaml.unsaved"
    journal = Journal(str(path), BEGIN)
    path.unlink()
    with pytest.raises(OSError, match="gone"):
        journal.add(b"")
    journal.close()
