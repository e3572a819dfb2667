"""A found candidate as a patch to be read: cords source end first, steps, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from slinediag.address import Jack, PortAddress, jack_order
from slinediag.tracing.hearing import bits
from slinediag.tracing.outage.detour import Detours
from slinediag.tracing.outage.dummies import Plugging, dummy_cautions
from slinediag.tracing.outage.heard import Listener
from slinediag.tracing.outage.rank import Candidate
from slinediag.tracing.outage.situation import Effect, Situation
from slinediag.tracing.outage.steps import Work, plan
from slinediag.tracing.outage.values import (
    EXCHANGED,
    OTHER_MIX,
    Dummies,
    Heard,
    Outcome,
    Patch,
    Stage,
    Step,
    Sufferer,
)
from slinediag.tracing.outage.view import upstream_of
from slinediag.tracing.phrases import ALL, listed, port_name, port_names
from slinediag.tracing.values import CordEnds

NO_DUMMIES: Dummies = {}
Moved = tuple[tuple[CordEnds, ...], tuple[CordEnds, ...]]
"""Cords put in and cords pulled."""


class PatchWriter:
    """Writes the patches of one situation; ``mended`` is the facility with nothing failed."""

    def __init__(self, situation: Situation, mended: Situation) -> None:
        self._situation = situation
        self._mended = mended
        self._listener = Listener(situation)

    def write(self, candidate: Candidate, number: int) -> Patch:
        """The patch of a candidate for the input of this number."""
        situation = self._situation
        effect = situation.effect(candidate.moves)
        change = situation.level_change(number, situation.level(number, effect))
        cords = self.turned(candidate.cords, candidate.pulls)
        dummies = self.dummies(cords, candidate.pulls, [number])
        moved = [(cords, candidate.pulls)]
        steps = self.steps(moved)
        plugged = Plugging(situation, cords, candidate.pulls).effect(dummies) if dummies else effect
        return Patch(
            cords=cords,
            pulls=candidate.pulls,
            fits=not candidate.grade.misfit,
            full=not candidate.grade.part,
            hears=situation.tracer.named(effect.hears.get(number, situation.hears[number])),
            heard=self.heard(effect, number),
            harmed=self.named(effect.harmed & ~(1 << number)),
            level_change=None if change is None else round(change, 2) + 0.0,
            length=candidate.length / 1000,
            exchanged=bool(candidate.grade.exchanged),
            cautions=(
                *self.bypassed(effect, number),
                *self.exchanged(effect),
                *self.misfits(effect, number),
                *self.unsuited(effect, [number]),
                *self.other_mixes(effect, [number]),
                *dummy_cautions(dummies),
                *live(steps),
            ),
            steps=steps,
            steps_back=self.steps_back(moved),
            dummies=dummies,
            by_hand=self.steps(moved, dummies) if dummies else steps,
            harmed_by_hand=self.named(plugged.harmed & ~(1 << number)),
        )

    def stage(
        self,
        patches: Sequence[Moved],
        restored: Iterable[int],
        dummies: Dummies,
        steps: Sequence[Step],
    ) -> Stage:
        """What patches come to with dummy plugs in place of some of their cords.

        ``restored``: the inputs that these and further patches restore, of which those are told
        that these alone do.
        """
        situation = self._situation
        cords = tuple(cord for put, _ in patches for cord in put)
        pulls = tuple(cord for _, pulled in patches for cord in pulled)
        own = {cord: dummies[cord] for cord in cords if cord in dummies}
        effect = Plugging(situation, cords, pulls).effect(own)
        back = [n for n in restored if situation.restored(n, effect)]
        harmed = effect.harmed & ~sum(1 << n for n in back)
        cautions = dict.fromkeys((*self.cautions(effect, back), *live(steps)))
        return Stage(
            cords=cords,
            pulls=pulls,
            dummies=own,
            outcomes=tuple(self.outcome(effect, n) for n in back),
            sufferers=self.sufferers(effect, harmed),
            cautions=tuple(cautions),
            steps=tuple(steps),
        )

    def cautions(self, effect: Effect, restored: Sequence[int]) -> Iterator[str]:
        """What to beware of where these inputs are restored together, but not of single plugs."""
        for number in restored:
            yield from self.bypassed(effect, number)
        for number in restored:
            yield from self.misfits(effect, number)
        yield from self.unsuited(effect, restored)
        yield from self.other_mixes(effect, restored)
        yield from self.exchanged(effect)

    def heard(self, effect: Effect, number: int) -> Heard:
        """How moves restore an input."""
        return self._listener.heard(number, effect)

    def outcome(self, effect: Effect, number: int) -> Outcome:
        """What moves come to for an input that they restore."""
        situation = self._situation
        change = situation.level_change(number, situation.level(number, effect))
        hears = effect.hears.get(number, situation.hears[number])
        return Outcome(
            heard=self.heard(effect, number),
            hears=situation.tracer.named(hears),
            missing=situation.tracer.named(situation.heard[number] & ~hears),
            gained=situation.tracer.named(hears & ~situation.heard[number]),
            fits=situation.fits(change),
            level_change=None if change is None else round(change, 2) + 0.0,
        )

    def sufferers(self, effect: Effect, harmed: int) -> tuple[Sufferer, ...]:
        """What each of the inputs that suffer has of it, against the failure alone."""
        situation, named = self._situation, self._situation.tracer.named

        def sufferer(n: int) -> Sufferer:
            rest, hears = situation.hears[n], effect.hears.get(n, situation.hears[n])
            fed = effect.feeds.get(n, situation.feeds[n])
            doubled = fed.bit_count() > 1 and situation.feeds[n].bit_count() < 2
            stray = hears & ~situation.known[n] if situation.heard[n] else 0
            return Sufferer(
                input=situation.inputs[n],
                lost=named(rest & ~hears),
                stray=named(stray),
                silent=bool(rest) and not hears,
                tied=named(fed) if doubled else (),
            )

        return tuple(sufferer(n) for n in bits(harmed))

    def named(self, inputs: int) -> tuple[PortAddress, ...]:
        """The inputs of a set, in natural order."""
        return tuple(self._situation.inputs[n] for n in bits(inputs))

    def turned(
        self, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]
    ) -> tuple[CordEnds, ...]:
        """These cords, each from the end where the audio is, in natural order."""
        turned = [self._turn(cord, cords, pulls) for cord in cords]
        return tuple(sorted(turned, key=lambda cord: [*map(jack_order, cord)]))

    def _turn(
        self, cord: CordEnds, cords: tuple[CordEnds, ...], pulls: tuple[CordEnds, ...]
    ) -> CordEnds:
        """The end first on whose side, without the cord, the audio is; else the lower address."""
        situation, board = self._situation, self._situation.board
        one, other = sorted(cord, key=jack_order)
        standing = [c for c in board.cords if c not in pulls]
        standing += [c for c in cords if c != cord]
        plugs = {jack for c in (*standing, cord) for jack in c} | self._dummies()
        jacks = {jack for c in (*cords, *pulls) for jack in c}
        without = situation.effect_of(board.with_plugs(plugs, standing), board.cells_at(jacks))
        heard = [_audio_at(situation, board.kind_of[jack], without) for jack in (one, other)]
        return (other, one) if heard[1] and not heard[0] else (one, other)

    def _dummies(self) -> frozenset[Jack]:
        return frozenset(plug.jack for plug in self._situation.now.plugs)

    def dummies(
        self, cords: Sequence[CordEnds], pulls: Sequence[CordEnds], restored: Iterable[int]
    ) -> Dummies:
        """Which of these cords dummy plugs can replace, the inputs restored as before."""
        return Plugging(self._situation, cords, pulls).dummies(restored)

    def steps(self, patches: Sequence[Moved], dummies: Dummies = NO_DUMMIES) -> tuple[Step, ...]:
        """The steps of patches, one after another, each on top of those before it.

        ``dummies`` go in place of the cords that they replace.
        """
        plugging = _Plugged.at_rest(self._situation, dummies)
        found: list[Step] = []
        for cords, pulls in patches:
            own = plan(plugging.work(cords, pulls))
            found += [*own[:-1], *(replace(step, last=True) for step in own[-1:])]
            plugging.move(cords, pulls)
        return tuple(found)

    def steps_back(
        self, patches: Sequence[Moved], dummies: Dummies = NO_DUMMIES
    ) -> tuple[Step, ...]:
        """The same cords taken out and put back, the last patch first, with nothing failed."""
        plugging = _Plugged.at_rest(self._mended, dummies)
        for cords, pulls in patches:
            plugging.move(cords, pulls)
        found: list[Step] = []
        for cords, pulls in reversed(patches):
            found += plan(plugging.work(pulls, cords[::-1]))
            plugging.move(pulls, cords)
        return tuple(found)

    def misfits(self, effect: Effect, number: int) -> list[str]:
        """The inputs on the way whose level no longer fits, though that of the last one may."""
        situation = self._situation
        detours = Detours(situation, number)
        return [
            f"level {change:+.1f} dB at {port_name(situation.filed, situation.inputs[n])}: "
            "set it there"
            for n, change in detours.misfits(effect)
        ]

    def unsuited(self, effect: Effect, numbers: Iterable[int]) -> list[str]:
        """The inputs on the ways to these that had no level before and get one not made for them.

        A microphone's, say, in a compressor's input: what comes out is filed at line level.
        """
        situation = self._situation
        found = dict(e for n in numbers for e in Detours(situation, n).unsuited(effect))
        groups: dict[str, list[PortAddress]] = {}
        for number in sorted(found):
            groups.setdefault(f"{found[number]:+.1f}", []).append(situation.inputs[number])
        return [
            f"level {off} dB at {listed(port_names(situation.filed, inputs), ALL)} against what "
            f"{'that is' if len(inputs) == 1 else 'those are'} made for: set it there, or put "
            f"{'a preamplifier' if off.startswith('-') else 'a pad'} between"
            for off, inputs in groups.items()
        ]

    def other_mixes(self, effect: Effect, numbers: Iterable[int]) -> list[str]:
        """The inputs that get another mix than before: these, on the way to them and elsewhere."""
        facility, situation = self._situation.filed, self._situation
        groups: dict[str, list[str]] = {}
        for number in self._mixed(effect, numbers):
            mixes = [
                listed(port_names(facility, situation.tracer.named(outputs)))
                for outputs in situation.another_mix(number, effect)
            ]
            into = groups.setdefault(f"fed with {mixes[0]}, not with {mixes[1]}", [])
            into.append(port_name(facility, situation.inputs[number]))
        return [f"{OTHER_MIX}: {listed(names, ALL)} {words}" for words, names in groups.items()]

    def _mixed(self, effect: Effect, numbers: Iterable[int]) -> list[int]:
        """The inputs to be told of another mix; on the way where it is not told farther on."""
        found: dict[int, None] = {}
        for number in numbers:
            on_the_way, elsewhere = self._situation.fed_another_mix(number, effect)
            own = self.heard(effect, number).mix
            found.update(dict.fromkeys((number,) if own else on_the_way))
            found.update(dict.fromkeys(elsewhere))
        return list(found)

    def exchanged(self, effect: Effect) -> list[str]:
        """The inputs that get the other side of a stereo pair."""
        situation = self._situation
        return [
            f"{EXCHANGED}: {port_name(situation.filed, situation.inputs[entry])} gets "
            f"{port_name(situation.filed, situation.outputs[output])}"
            for entry, output in situation.exchanged(effect)
        ]

    def bypassed(self, effect: Effect, number: int) -> list[str]:
        """The cautions of equipment that the audio passed through and now does not."""
        situation = self._situation
        now = upstream_of(situation.hearing, number, effect.feeds)
        was = upstream_of(self._mended.hearing, number)
        boxes = dict.fromkeys(situation.inputs[n].equipment for n in bits(was & ~(1 << number)))
        passed = {situation.inputs[n].equipment for n in bits(now)} - {*situation.dead_boxes}
        equipment = situation.filed.equipment
        return [
            f"{box}: {equipment[box].caution}"
            for box in boxes
            if equipment[box].caution is not None and box not in passed
        ]


class _Plugged:
    """Which cords stand and which plugs without a cord are in, while patches go in and out.

    ``dummies`` stand in for the cords that they replace.
    """

    def __init__(
        self,
        situation: Situation,
        standing: Iterable[CordEnds],
        plugs: Iterable[Jack],
        dummies: Dummies,
    ) -> None:
        self._situation, self._dummies = situation, dummies
        self._standing, self._plugs = list(standing), set(plugs)

    @classmethod
    def at_rest(cls, situation: Situation, dummies: Dummies) -> _Plugged:
        """What stands before anything is moved."""
        now = situation.now
        standing = [(c.source, c.target) for c in now.cords]
        return cls(situation, standing, (plug.jack for plug in now.plugs), dummies)

    def work(self, puts: Sequence[CordEnds], pulls: Sequence[CordEnds]) -> Work:
        """These cords to put in and to pull, on what stands."""
        return Work(
            self._situation,
            tuple(self._standing),
            frozenset(self._plugs),
            tuple(puts),
            tuple(pulls),
            self._dummies,
        )

    def move(self, puts: Iterable[CordEnds], pulls: Iterable[CordEnds]) -> None:
        """Have these cords put in and pulled."""
        for cord in pulls:
            if cord in self._dummies:
                self._plugs.difference_update(self._dummies[cord])
            else:
                self._standing.remove(cord)
        for cord in puts:
            if cord in self._dummies:
                self._plugs.update(self._dummies[cord])
            else:
                self._standing.append(cord)


def _audio_at(situation: Situation, kind: int, effect: Effect) -> int:
    """The origins that stand at the springs of a kind, standby ones left out."""
    board, found = situation.board, 0
    for net in board.nets_of(board.kinds[kind].springs, effect.plugs):
        for cell in net:
            for output in bits(board.outputs[cell]):
                found |= effect.audio.get(output, situation.hearing.audio(output))
    return found & ~situation.standby


def live(steps: Sequence[Step]) -> list[str]:
    """What the steps say of phantom power, each jack once."""
    return [
        f"{step.jack}: {step.caution}"
        for step in steps
        if step.caution is not None and step.caution.startswith("phantom")
    ]
