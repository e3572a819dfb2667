"""Every box of a whole plant: its first patch, done plug by plug through ``ask``.

For a box on the way to a priority input that is the patch of its card.
"""

from __future__ import annotations

import functools

import pytest

import slinediag
from slinediag.model.facility import Facility
from slinediag.tracing.outage.answer import Inquiry
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.patches import PatchWriter
from slinediag.tracing.outage.search import Search
from slinediag.tracing.outage.situation import Situation
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial

BOXES = tuple(slinediag.load("samples/quillmoor.yaml").equipment)


@functools.cache
def quillmoor() -> Facility:
    return slinediag.load("samples/quillmoor.yaml")


@functools.cache
def mended() -> Situation:
    return Situation(quillmoor(), quillmoor())


def first_patch(box):
    """The input to be brought back first, and its best patch; None where none has one."""
    inquiry = Inquiry(quillmoor(), Failure(boxes=(box,)), 2, False)
    situation = inquiry.situation
    for number in situation.silenced:
        found = Search(inquiry.base, inquiry.choice, inquiry.proof, number, False).run(2, 1)
        if found:
            writer = PatchWriter(situation, mended())
            return situation.inputs[number], writer.write(found[0], number)
    return None


def states(trial):
    """What ``ask`` says of every input: feeds and origins heard, before and after."""
    answer = ask(quillmoor(), trial, every_input=True)
    return {o.input: o for o in answer.inputs}, answer


def trial_after(box, steps):
    """The trial once these plugs are moved: a cord with one plug in is a dummy plug there."""
    half, cords, pulled = {}, [], []
    for step in steps:
        if step.act == "put":
            if half.pop(step.cord, None):
                cords.append(step.cord)
            else:
                half[step.cord] = step.jack
        elif step.cord in half:
            del half[step.cord]
        else:
            pulled.append(step.cord)
            half[step.cord] = next(jack for jack in step.cord if jack != step.jack)
    return Trial(tuple(cords), tuple(pulled), plugs=tuple(half.values()), failed=(box,))


def harmed(alone, now, but, box):
    """The other inputs of working equipment that suffer against the failure alone."""
    facts = quillmoor().facts
    found = set()
    for port, then in alone.items():
        if port == but or port.equipment == box:
            continue
        after = now[port]
        before, heard = set(then.hears_before), set(then.hears_after)
        hears = set(after.hears_after)
        known = before | heard | set(facts(port).instead)
        doubled = len(after.feeds_after) > 1 and len(then.feeds_after) < 2
        if heard - hears or (before and hears - known) or doubled:
            found.add(port)
    return found


def fine(alone, now, box):
    """The inputs that hear as they should: silent ones restored, others not harmed."""
    facts = quillmoor().facts
    bad = harmed(alone, now, None, box)
    for port, then in alone.items():
        quiet = {p for p in (*then.hears_before, *now[port].hears_after) if facts(p).standby}
        if set(then.hears_before) - quiet and not set(then.hears_after) - quiet:
            wanted = (set(then.hears_before) | set(facts(port).instead)) - quiet
            hears = set(now[port].hears_after)
            good = hears & wanted and not hears - wanted - quiet
            if not good or len(now[port].feeds_after) > 1:
                bad.add(port)
    return {port for port in alone if port.equipment != box} - bad


@pytest.mark.parametrize("box", BOXES)
def test_the_first_patch_does_what_it_says_step_by_step(box):
    found = first_patch(box)
    if found is None:
        return
    entry, patch = found
    alone, _ = states(Trial(failed=(box,)))
    before = fine(alone, alone, box)
    assert entry not in before
    for number, step in enumerate(patch.steps, 1):
        now, answer = states(trial_after(box, patch.steps[:number]))
        after = fine(alone, now, box)
        assert set(step.restores) == after - before
        assert set(step.interrupts) == before - after
        before = after
    assert trial_after(box, patch.steps).plugs == ()
    assert set(now[entry].hears_after) == set(patch.hears)
    assert patch.full == (set(patch.hears) == set(alone[entry].hears_before))
    assert entry in before
    assert harmed(alone, now, entry, box) == set(patch.harmed)
    assert not any(cord.feedback for cord in answer.cords)
    assert not any(reach.new for reach in answer.phantom)


def test_patches_of_cards_and_others_are_among_them():
    """So that the test above tests something."""
    assert [quillmoor().facts(first_patch(box)[0]).priority for box in ("LIM", "DA2", "CMP")] == [
        1,
        None,
        None,
    ]
