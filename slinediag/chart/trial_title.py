"""What a chart's title says of the trial or the failure that is shown on it, in short."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from slinediag.address import Jack
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name
from slinediag.tracing.values import CordEnds, Trial

MOST = 6
"""Things that are named."""


def trial_title(facility: Facility, trial: Trial, broken: Iterable[str] = ()) -> str:
    """``with LIMITER failed, a cord DISC 1 L – LINK L``: what has failed first; empty of no trial.
    Where several jacks read alike, the jack is named, too: ``CODEC L (PB1 T15)``; both ends of a
    cord that do, in short: ``CODEC L (PB1 T15 – PB2 B32)``.

    ``broken``: what has failed beside boxes, in words.
    """
    shared = _shared_labels(facility)
    said = [*_failed(facility, trial), *broken, *_plugged(facility, trial, shared)]
    more = [f"{len(said) - MOST} more"] if len(said) > MOST else []
    return f"with {', '.join([*said[:MOST], *more])}" if said else ""


def _failed(facility: Facility, trial: Trial) -> Iterator[str]:
    for box in trial.failed:
        yield f"{facility.equipment[box].printed} failed"


def _plugged(facility: Facility, trial: Trial, shared: Collection[str]) -> Iterator[str]:
    def printed(jack: Jack) -> str:
        label, name = jack_label(facility, jack), jack_name(facility, jack)
        if not label:
            return name
        return f"{label} ({name})" if _as_read(label) in shared else label

    def ends(cord: CordEnds) -> str:
        one, other = (_as_read(jack_label(facility, jack) or "") for jack in cord)
        if one and one == other:
            names = " – ".join(jack_name(facility, jack) for jack in cord)
            return f"{jack_label(facility, cord[0])} ({names})"
        return " – ".join(map(printed, cord))

    yield from (f"a cord {ends(cord)}" for cord in trial.cords)
    yield from (f"a dummy plug in {printed(jack)}" for jack in trial.plugs)
    yield from (f"the cord {ends(cord)} pulled" for cord in trial.pulled_cords)
    yield from (f"the plug in {printed(jack)} pulled" for jack in trial.pulled_plugs)


def _shared_labels(facility: Facility) -> frozenset[str]:
    """What several jacks read, so that a label alone does not say which of them is meant."""
    labels = (jack_label(facility, jack) for jack in facility.jacks)
    counts = Counter(_as_read(label) for label in labels if label)
    return frozenset(label for label, count in counts.items() if count > 1)


def _as_read(label: str) -> str:
    """A label without what is overlooked: its case and how wide its spaces are."""
    return " ".join(label.split()).casefold()
