"""Past, present and future of a facility; facts of any undo list, no outside source."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from slinediag import history
from tests.builders import one_normal

FIRST = one_normal("half")


def named(name):
    return replace(FIRST, practice=replace(FIRST.practice, name=name))


def test_a_step_back_and_forward_again():
    made = history.changed(history.opened(FIRST), "Rename", named("B"))
    assert made.undoes == "Rename"
    back = history.undone(made)
    assert back.facility is FIRST
    assert back.redoes == "Rename"
    assert history.redone(back) == made


def test_nothing_changed_is_no_step():
    begun = history.opened(FIRST)
    assert history.changed(begun, "Nothing", named(FIRST.name)) is begun


def test_back_at_what_was_saved_nothing_is_unsaved():
    made = history.changed(history.opened(FIRST), "Rename", named("B"))
    assert made.unsaved
    assert not history.undone(made).unsaved
    kept = history.saved(made)
    assert not kept.unsaved
    assert history.undone(kept).unsaved
    assert not history.redone(history.undone(kept)).unsaved


def test_a_new_facility_is_unsaved():
    assert history.opened(FIRST, on_disk=False).unsaved


def test_a_change_after_a_step_back_ends_the_old_future():
    made = history.undone(history.changed(history.opened(FIRST), "Rename", named("B")))
    other = history.changed(made, "Otherwise", named("C"))
    assert other.redoes is None
    assert history.redone(other) is other


@given(st.lists(st.sampled_from("abcdeUR"), max_size=30))
def test_any_steps_then_all_undone_and_redone(steps):
    now = history.opened(FIRST)
    for step in steps:
        if step == "U":
            now = history.undone(now)
        elif step == "R":
            now = history.redone(now)
        else:
            now = history.changed(now, step, named(step))
    end = now
    while end.redoes is not None:
        end = history.redone(end)
    back = end
    while back.undoes is not None:
        back = history.undone(back)
    assert back.facility is FIRST
    while back.redoes is not None:
        back = history.redone(back)
    assert back == end
