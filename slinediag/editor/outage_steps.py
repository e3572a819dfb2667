"""A patch against an outage as a trial: all of it, or as far as the hands have come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slinediag.address import Jack
from slinediag.model.facility import Facility
from slinediag.tracing.outage.failure import Failure, cables
from slinediag.tracing.outage.values import Patch, Step, Together
from slinediag.tracing.places import places
from slinediag.tracing.values import CordEnds, Trial


def whole_trial(facility: Facility, failure: Failure, patch: Patch | Together) -> Trial:
    """The trial of a failure with a patch against it; failed bays and cables are told beside."""
    dummies = patch.by_hand.dummies if isinstance(patch, Together) else patch.dummies
    return Trial(
        cords=tuple(cord for cord in patch.cords if cord not in dummies),
        pulled_cords=patch.pulls,
        plugs=tuple(jack for jacks in dummies.values() for jack in jacks),
        failed=failure.dead_boxes(facility),
    )


def steps_of(patch: Patch | Together) -> tuple[Step, ...]:
    """The steps of a patch as a person takes them, dummy plugs in place of some cords."""
    return patch.by_hand.steps if isinstance(patch, Together) else patch.by_hand


def trial_after(facility: Facility, failure: Failure, steps: Sequence[Step]) -> Trial:
    """The trial as it stands once these steps are done.

    A cord with one plug in acts as a dummy plug there; one with one plug out still has its other
    plug in its jack. The steps put dummy plugs in, and pull none.
    """
    plugs = [step.jack for step in steps if step.dummy]
    half: dict[CordEnds, Jack] = {}
    put: list[CordEnds] = []
    pulled: list[CordEnds] = []
    for step in steps:
        if step.dummy:
            continue
        if step.act == "put":
            if half.pop(step.cord, None) is None:
                half[step.cord] = step.jack
            else:
                put.append(step.cord)
        elif step.cord in half:
            del half[step.cord]
        else:
            pulled.append(step.cord)
            half[step.cord] = next(jack for jack in step.cord if jack != step.jack)
    return Trial(
        cords=tuple(put),
        pulled_cords=tuple(pulled),
        plugs=(*plugs, *half.values()),
        failed=failure.dead_boxes(facility),
    )


def what_may_fail(facility: Facility) -> Iterator[tuple[str, Failure]]:
    """Everything that may fail by its name: equipment, bays, places, cables."""
    for box in facility.equipment.values():
        if not box.removed:
            named = f" – {box.name}" if box.name != box.printed else ""
            yield f"{box.printed}{named}", Failure(boxes=(box.id,))
    for bay in facility.bays.values():
        yield f"Bay {bay.printed} – {bay.name}", Failure(bays=(bay.id,))
    for place in places(facility):
        yield f"All at {place}", Failure(places=(place,))
    for cable in cables(facility):
        yield f"Cable {cable}", Failure(cables=(cable,))


def both(one: Failure, other: Failure) -> Failure:
    """Two failures at once."""
    return Failure(
        *(
            tuple(dict.fromkeys((*getattr(one, kind), *getattr(other, kind))))
            for kind in ("boxes", "bays", "places", "cables")
        )
    )


def without(failure: Failure, what: Failure) -> Failure:
    """A failure but for what is named in another."""
    return Failure(
        *(
            tuple(name for name in getattr(failure, kind) if name not in getattr(what, kind))
            for kind in ("boxes", "bays", "places", "cables")
        )
    )


def parts(failure: Failure) -> Iterator[Failure]:
    """Each thing that has failed, alone."""
    yield from (Failure(boxes=(name,)) for name in failure.boxes)
    yield from (Failure(bays=(name,)) for name in failure.bays)
    yield from (Failure(places=(name,)) for name in failure.places)
    yield from (Failure(cables=(name,)) for name in failure.cables)
