"""What is said beside the drawing: what a trial's cords do, what an outage needs."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.tracing.values import Trial


@dataclass(frozen=True, slots=True)
class OutageTable:
    """A heading, and for each thing that may fail its name and what then is to be done.

    ``closing``: what is said below these of all that they do not name, in the same way.
    """

    heading: str
    rows: tuple[tuple[str, str], ...]
    closing: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do now that something has failed: steps in their order, and what is said of them;
    ``before`` them what has to be minded before the first plug moves."""

    steps: tuple[str, ...]
    beside: tuple[str, ...] = ()
    before: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Said:
    """Sentences on a trial under their heading, what to do where something has failed, and the
    table of outages; all empty unless asked for. ``done``: what is done in a trial and what has
    failed, thing by thing."""

    words: tuple[str, ...] = ()
    outages: OutageTable | None = None
    heading: str = "What the cords do"
    remedy: Remedy | None = None
    done: tuple[str, ...] = ()


def heading_of(trial: Trial, fails: bool) -> str:
    """What sentences on a trial are about: its cords, its plugs, what has failed.

    ``fails``: whether bays, places or cables have failed beside the boxes of the trial.
    """
    put_in = trial.cords or trial.plugs
    if not (put_in or trial.pulled_cords or trial.pulled_plugs):
        return "What the failure does"
    said = ["failure"] if fails or trial.failed else []
    if not put_in and not said:
        return "What pulling does"
    said += ["cords"] if trial.cords or trial.pulled_cords else []
    said += ["plugs"] if trial.plugs or trial.pulled_plugs else []
    *others, last = said
    what = f"{', '.join(others)} and {last}" if others else last
    return f"What {what} do" if fails or trial.failed else f"What the {what} do"
