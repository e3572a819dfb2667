"""What an outage answers, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

from slinediag.address import Jack, PortAddress
from slinediag.model.facility import Facility, Normal
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.values import CordEnds, Effect, cord_text

NormalChange = Effect | Literal["closes"]
Dummies = dict[CordEnds, tuple[Jack, ...]]
"""Cords that dummy plugs in these jacks can replace."""

Manner = Literal["all", "part", "instead"]

FEW = 4
"""Cords put in or pulled up to which it is worked out what the first patches come to by themselves:
as many as are read off a wall."""

PHANTOM, FREE_PLUG = "phantom power from", "the free plug"
"""How cautions of a plug begin, by which they are known among others."""
OTHER_MIX = "another mix"
"""How the caution of a patch begins that gives an input the same origins by another mix."""
EXCHANGED = "left and right exchanged"
"""How the caution of a patch begins that gives an input the other side of a stereo pair."""


@dataclass(frozen=True, slots=True)
class NormalAct:
    """What one plug going in or out does to one normal at its jack."""

    normal: Normal
    effect: NormalChange


@dataclass(frozen=True, slots=True)
class Heard:
    """How an input is restored: it hears all that it heard, a part of it, or something instead.

    Where instead, ``now`` is what it hears in place of ``was``; where ``mix``, those are the mixes
    by which the same origins come.
    """

    input: PortAddress
    manner: Manner = "all"
    now: tuple[PortAddress, ...] = ()
    was: tuple[PortAddress, ...] = ()
    mix: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One plug put in or pulled: what it does to normals, whom it restores and interrupts then.

    ``caution`` says what the free plug of the cord may touch or carry, or None. ``second`` where
    the cord's other plug has been moved before. ``length`` of the cord in metres where it is of
    the stock that the facility files, else None. ``heard`` says how each input is restored.
    ``dummy`` where it is a dummy plug that stands in for the cord. ``last``: of its patch.
    ``hangs``: the jack that holds the cord's other plug, where another cord hangs by one plug too.
    """

    act: Literal["put", "pull"]
    jack: Jack
    cord: CordEnds
    acts: tuple[NormalAct, ...]
    restores: tuple[PortAddress, ...]
    interrupts: tuple[PortAddress, ...]
    caution: str | None
    second: bool = False
    length: float | None = None
    heard: tuple[Heard, ...] = ()
    dummy: bool = False
    last: bool = False
    hangs: Jack | None = None


@dataclass(frozen=True, slots=True)
class Patch:
    """Cords put in and standing cords pulled that restore an input, with what that costs.

    ``level_change`` in dB against before, None where unknown; ``length`` of all cords in metres.
    ``exchanged``: an input gets the other side of a stereo pair; the cautions say which.
    ``steps_back`` take it out again once what failed is mended. ``heard`` says how the input is
    restored, ``dummies`` which cords dummy plugs can replace; ``by_hand`` are the steps with these,
    ``harmed_by_hand`` whom that harms.
    """

    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    fits: bool
    full: bool
    exchanged: bool
    hears: tuple[PortAddress, ...]
    heard: Heard
    harmed: tuple[PortAddress, ...]
    level_change: float | None
    length: float
    dummies: Dummies = field(hash=False)
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]
    steps_back: tuple[Step, ...]
    by_hand: tuple[Step, ...]
    harmed_by_hand: tuple[PortAddress, ...]


@dataclass(frozen=True, slots=True)
class SilencedInput:
    """An input that falls silent: what it heard, its patches best first, or why there is none.

    ``hears_after``: the standby origins that it hears all the same.
    ``cure`` says what wiring would give it a patch, where it has none. ``cut_short``: not all moves
    were tried, so that a better patch, or one at all, may exist. ``missed`` unless what it passed
    on led into failed equipment alone.
    """

    input: PortAddress
    priority: int | None
    hears_before: tuple[PortAddress, ...]
    patches: tuple[Patch, ...]
    reason: str | None
    cure: str | None
    cut_short: bool = False
    hears_after: tuple[PortAddress, ...] = ()
    missed: bool = True


@dataclass(frozen=True, slots=True)
class WeakenedInput:
    """An input that still hears something: what it hears no longer, and what it did not before.

    ``hears`` is all that it hears now.
    """

    input: PortAddress
    lost: tuple[PortAddress, ...]
    gained: tuple[PortAddress, ...] = ()
    hears: tuple[PortAddress, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an input comes to with all patches that stand side by side.

    ``missing`` is what it heard before and hears no more, ``gained`` the reverse; ``level_change``
    in dB against before, None where unknown.
    """

    heard: Heard
    hears: tuple[PortAddress, ...]
    missing: tuple[PortAddress, ...]
    gained: tuple[PortAddress, ...]
    fits: bool
    level_change: float | None

    @property
    def input(self) -> PortAddress:
        """The input restored."""
        return self.heard.input


@dataclass(frozen=True, slots=True)
class Sufferer:
    """An input that patches harm: what it loses, what it hears that it should not.

    ``tied`` are the outputs on its net where a second one has come onto it.
    """

    input: PortAddress
    lost: tuple[PortAddress, ...]
    stray: tuple[PortAddress, ...]
    silent: bool
    tied: tuple[PortAddress, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """What patches side by side come to as a person does them, with dummy plugs for some cords.

    ``outcomes`` are those of the inputs that they restore, in their order; ``sufferers`` say how
    those are that they harm; ``cautions`` as of a patch. ``steps`` do one patch after another.
    """

    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    dummies: Dummies = field(hash=False)
    outcomes: tuple[Outcome, ...]
    sufferers: tuple[Sufferer, ...]
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]

    @property
    def restores(self) -> tuple[PortAddress, ...]:
        """The inputs restored."""
        return tuple(outcome.input for outcome in self.outcomes)


@dataclass(frozen=True, slots=True)
class Together:
    """The patches that can stand side by side: cords, pulls, whom they restore and harm.

    ``outcomes`` are those of the inputs restored, in their order; ``cautions`` as of a patch.
    ``steps`` do one patch after another, ``steps_back`` take them out again in turn.
    ``stages``: no patch, the first as a person does it, the first two, and so on while they come to
    few cords; then those for inputs of a priority, and all. ``back_by_hand`` takes that out again.
    """

    cords: tuple[CordEnds, ...]
    pulls: tuple[CordEnds, ...]
    restores: tuple[PortAddress, ...]
    harmed: tuple[PortAddress, ...]
    outcomes: tuple[Outcome, ...]
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]
    steps_back: tuple[Step, ...]
    stages: tuple[Stage, ...]
    back_by_hand: tuple[Step, ...]

    @property
    def by_hand(self) -> Stage:
        """All patches as a person does them."""
        return self.stages[-1]

    def first(self, most: int) -> Stage:
        """The first patches that come to so many cords put in or pulled at most, FEW or less."""
        fitting = [s for s in self.stages if len(s.cords) + len(s.pulls) <= most]
        return fitting[-1]


@dataclass(frozen=True, slots=True)
class Outage:
    """What falls silent in a failure, by priority then natural order, and what restores it.

    ``gaining`` are inputs that lose nothing and hear more, by a bypass.
    """

    facility: Facility
    failure: Failure
    moves: int
    silenced: tuple[SilencedInput, ...]
    weakened: tuple[WeakenedInput, ...]
    gaining: tuple[WeakenedInput, ...]
    together: Together

    @property
    def missed(self) -> tuple[SilencedInput, ...]:
        """The silent inputs but for those that led into failed equipment alone."""
        return tuple(each for each in self.silenced if each.missed)

    def to_dict(self) -> dict[str, Any]:
        """The answer as plain values, ready for JSON; levels in dB, lengths in metres."""
        facility = self.facility
        return {
            "facility": facility.name,
            "failed": list(self.failure.named),
            "moves": self.moves,
            "silenced": [_silenced_dict(facility, silenced) for silenced in self.silenced],
            "weakened": [
                {
                    "input": facility.spelled(weakened.input),
                    "lost": _spelled(facility, weakened.lost),
                    **_if_any(facility, "gained", weakened.gained),
                }
                for weakened in self.weakened
            ],
            **self._gaining_dict(),
            "together": {
                "cords": _cords(self.together.cords),
                "pulls": _cords(self.together.pulls),
                "restores": _spelled(facility, self.together.restores),
                "harmed": _spelled(facility, self.together.harmed),
                "outcomes": [_outcome_dict(facility, o) for o in self.together.outcomes],
                "cautions": list(self.together.cautions),
                "steps": [_step_dict(facility, step) for step in self.together.steps],
                "steps_back": [_step_dict(facility, step) for step in self.together.steps_back],
            },
        }

    def _gaining_dict(self) -> dict[str, list[dict[str, Any]]]:
        facility = self.facility
        gaining = [
            {"input": facility.spelled(each.input), "gained": _spelled(facility, each.gained)}
            for each in self.gaining
        ]
        return {"gaining": gaining} if gaining else {}


def _silenced_dict(facility: Facility, silenced: SilencedInput) -> dict[str, Any]:
    return {
        "input": facility.spelled(silenced.input),
        "priority": silenced.priority,
        "hears_before": _spelled(facility, silenced.hears_before),
        **_if_any(facility, "hears_after", silenced.hears_after),
        "patches": [_patch_dict(facility, patch) for patch in silenced.patches],
        "reason": silenced.reason,
        "cure": silenced.cure,
        **({} if silenced.missed else {"missed": False}),
    }


def _patch_dict(facility: Facility, patch: Patch) -> dict[str, Any]:
    return {
        "cords": _cords(patch.cords),
        "pulls": _cords(patch.pulls),
        "fits": patch.fits,
        "full": patch.full,
        "hears": _spelled(facility, patch.hears),
        "harmed": _spelled(facility, patch.harmed),
        "level_change": patch.level_change,
        "length": patch.length,
        "cautions": list(patch.cautions),
        "steps": [_step_dict(facility, step) for step in patch.steps],
        "steps_back": [_step_dict(facility, step) for step in patch.steps_back],
    }


def _outcome_dict(facility: Facility, outcome: Outcome) -> dict[str, Any]:
    return {
        "input": facility.spelled(outcome.input),
        "hears": _spelled(facility, outcome.hears),
        "missing": _spelled(facility, outcome.missing),
        "fits": outcome.fits,
        "level_change": outcome.level_change,
    }


def _step_dict(facility: Facility, step: Step) -> dict[str, Any]:
    return {
        step.act: str(step.jack),
        "cord": cord_text(step.cord),
        "length": step.length,
        "acts": [
            {"normal": str(act.normal), "kind": act.normal.kind, "effect": act.effect}
            for act in step.acts
        ],
        "restores": _spelled(facility, step.restores),
        "interrupts": _spelled(facility, step.interrupts),
        "caution": step.caution,
    }


def _spelled(facility: Facility, ports: tuple[PortAddress, ...]) -> list[str]:
    return [facility.spelled(port) for port in ports]


def _if_any(facility: Facility, key: str, ports: tuple[PortAddress, ...]) -> dict[str, list[str]]:
    """A key that is there only where it says something."""
    return {key: _spelled(facility, ports)} if ports else {}


def _cords(cords: tuple[CordEnds, ...]) -> list[str]:
    return [cord_text(cord) for cord in cords]
