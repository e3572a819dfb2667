"""What a chart's title says of the trial or the failure that is shown on it, in short."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slinediag.address import Jack
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.tracing.values import CordEnds, Trial

MOST = 6
"""Things that are named."""


def trial_title(facility: Facility, trial: Trial, broken: Iterable[str] = ()) -> str:
    """``with LIMITER failed, a cord DISC 1 L – LINK L``: what has failed first; empty of no trial.

    ``broken``: what has failed beside boxes, in words.
    """
    said = [*_failed(facility, trial), *broken, *_plugged(facility, trial)]
    more = [f"{len(said) - MOST} more"] if len(said) > MOST else []
    return f"with {', '.join([*said[:MOST], *more])}" if said else ""


def _failed(facility: Facility, trial: Trial) -> Iterator[str]:
    for box in trial.failed:
        yield f"{facility.equipment[box].printed} failed"


def _plugged(facility: Facility, trial: Trial) -> Iterator[str]:
    def ends(cord: CordEnds) -> str:
        return " – ".join(_printed(facility, jack) for jack in cord)

    yield from (f"a cord {ends(cord)}" for cord in trial.cords)
    yield from (f"a dummy plug in {_printed(facility, jack)}" for jack in trial.plugs)
    yield from (f"the cord {ends(cord)} pulled" for cord in trial.pulled_cords)
    yield from (f"the plug in {_printed(facility, jack)} pulled" for jack in trial.pulled_plugs)


def _printed(facility: Facility, jack: Jack) -> str:
    return jack_label(facility, jack) or jack_name(facility, jack)
