"""Which origins each input hears: audio followed from outputs along feeds and paths, round loops.

Sets of outputs are whole numbers with one bit for each, as the circuit numbers them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property, lru_cache

from slinediag.circuit.circuit import Circuit
from slinediag.tracing.order import Order, order_of

Masks = Mapping[int, int]


SETS_KEPT = 1 << 16
"""Of how many sets the numbers are kept at hand."""


@lru_cache(SETS_KEPT)
def bits(mask: int) -> tuple[int, ...]:
    """The numbers of the set bits, lowest first."""
    numbers = []
    while mask:
        low = mask & -mask
        numbers.append(low.bit_length() - 1)
        mask ^= low
    return tuple(numbers)


class Hearing:
    """Feeds and hearing at rest, and what changes in them when some feeds or boxes do.

    ``failed`` boxes are dead at rest already: they send nothing and pass along bypasses alone.
    """

    def __init__(self, circuit: Circuit, failed: Iterable[str] = ()) -> None:
        self._read_paths(circuit, frozenset(failed))
        self.feeds = [circuit.feeds(number) for number in range(len(circuit.inputs))]
        self._fed: list[set[int]] = [set() for _ in circuit.outputs]
        for number, mask in enumerate(self.feeds):
            for output in bits(mask):
                self._fed[output].add(number)
        self.hears = [0] * len(circuit.inputs)
        self._audio = [0] * len(circuit.outputs)
        settled = self._settle({}, frozenset(), range(len(self.hears)), range(len(self._audio)))
        for number, mask in settled[0].items():
            self.hears[number] = mask
        for number, mask in settled[1].items():
            self._audio[number] = mask

    def _read_paths(self, circuit: Circuit, failed: frozenset[str]) -> None:
        """Number the paths: for each output its inputs, for each input its outputs."""
        self._outputs_of: dict[str, list[int]] = {}
        for number, port in enumerate(circuit.outputs):
            self._outputs_of.setdefault(port.equipment, []).append(number)
        self._ways_in: list[list[int]] = [[] for _ in circuit.outputs]
        self._bypass_in: list[list[int]] = [[] for _ in circuit.outputs]
        self._ways_out: list[list[int]] = [[] for _ in circuit.inputs]
        self._bypass_out: list[list[int]] = [[] for _ in circuit.inputs]
        outputs = {(p.equipment, p.port): n for n, p in enumerate(circuit.outputs)}
        inputs = {(p.equipment, p.port): n for n, p in enumerate(circuit.inputs)}
        self._origins = 0
        for box in circuit.facility.equipment.values():
            standing = box.bypass_ways if box.id in failed else box.ways
            for ways, into, out in (
                (standing, self._ways_in, self._ways_out),
                (box.bypass_ways, self._bypass_in, self._bypass_out),
            ):
                for entry, leaving in ways:
                    i, o = inputs[box.id, entry], outputs[box.id, leaving]
                    into[o].append(i)
                    out[i].append(o)
            for leaving_port in box.outputs if box.id not in failed else ():
                number = outputs[box.id, leaving_port.id]
                if not self._ways_in[number] or box.facts[leaving_port.id, "out"].origin:
                    self._origins |= 1 << number

    @property
    def origins(self) -> int:
        """The outputs at which audio starts."""
        return self._origins

    def audio(self, output: int) -> int:
        """The origins whose audio an output carries at rest."""
        return self._audio[output]

    def outputs_beyond(self, number: int) -> list[int]:
        """The outputs that an input's audio goes on to at rest."""
        return self._ways_out[number]

    @cached_property
    def passing_on(self) -> int:
        """The outputs that pass on the audio of any input."""
        return sum(1 << output for output, ways in enumerate(self._ways_in) if ways)

    def outputs_far_beyond(self, number: int) -> int:
        """All outputs that an input's audio comes to at rest, one bit each."""
        found = 0
        seen, queue = {number}, [number]
        for entry in queue:
            for output in self._ways_out[entry]:
                if not found >> output & 1:
                    found |= 1 << output
                    queue += self._fed[output] - seen
                    seen |= self._fed[output]
        return found

    def inputs_behind(self, output: int) -> list[int]:
        """The inputs whose audio an output carries at rest."""
        return self._ways_in[output]

    def fed_by(self, output: int) -> set[int]:
        """The inputs that an output feeds at rest."""
        return self._fed[output]

    def outputs_of(self, failed: Iterable[str]) -> frozenset[int]:
        """The numbers of the outputs of the boxes named."""
        return frozenset(n for box in failed for n in self._outputs_of.get(box, ()))

    def after(self, changed: Masks, failed: Iterable[str] = ()) -> dict[int, int]:
        """What inputs hear once some feeds have changed and some boxes have failed.

        ``changed`` maps inputs to the outputs that feed them now. The answer holds every input
        whose hearing may differ from rest, with what it hears.
        """
        dead = self.outputs_of(failed)
        inputs, outputs = self._downstream(changed, dead)
        return self._settle(changed, dead, inputs, outputs)[0]

    def spread(self, changed: Masks) -> tuple[dict[int, int], dict[int, int]]:
        """What inputs hear and outputs carry once some feeds have changed, where it may differ.

        All inputs whose feeds have changed are among them.
        """
        order = self._order
        if order is None:
            inputs, outputs = self._downstream(changed, frozenset())
            return self._settle(changed, frozenset(), inputs, outputs)
        new = {number: mask & ~self.feeds[number] for number, mask in changed.items()}
        if not order.goes_round(new):
            return self._follow(order, changed)
        left = {number: mask & self.feeds[number] for number, mask in changed.items()}
        hears, audio = self._follow(order, left)
        self._grow(changed, new, hears, audio)
        return hears, audio

    @cached_property
    def _order(self) -> Order | None:
        return order_of(self._ways_out, self._ways_in, self._fed)

    @cached_property
    def _alike(self) -> list[int]:
        """For each output a number that is the same for all with the same inputs behind them."""
        numbers: dict[tuple[int, ...], int] = {}
        return [numbers.setdefault(tuple(ways), len(numbers)) for ways in self._ways_in]

    def _follow(self, order: Order, changed: Masks) -> tuple[dict[int, int], dict[int, int]]:
        """The same where nothing goes round: no further than something differs.

        Without a loop there is one solution only, whatever the order. Along new feeds that run
        against the order of rest a port may be looked at again.
        """
        hears: dict[int, int] = {}
        audio: dict[int, int] = {}
        ports, onward = order.ports, order.onward
        ways_in, heard, sent = self._ways_in, self.hears, self._audio
        alike, mixes = self._alike, dict[int, int]()
        waiting = 0
        newly_fed: dict[int, int] = {}
        for number, mask in changed.items():
            place = 1 << order.inputs[number]
            waiting |= place
            for output in bits(mask & ~self.feeds[number]):
                newly_fed[output] = newly_fed.get(output, 0) | place
        while waiting:
            next_place = waiting & -waiting
            waiting ^= next_place
            place = next_place.bit_length() - 1
            sends, number = ports[place]
            if sends:
                mix = mixes.get(alike[number])
                if mix is None:
                    mix = 0
                    for entry in ways_in[number]:
                        mix |= hears[entry] if entry in hears else heard[entry]
                    mixes[alike[number]] = mix
                mask = mix | self._origins & (1 << number)
                if mask == (audio[number] if number in audio else sent[number]):
                    continue
                audio[number] = mask
                if number in newly_fed:
                    waiting |= newly_fed[number]
            else:
                mask = 0
                feeds = changed[number] if number in changed else self.feeds[number]
                for output in bits(feeds):
                    mask |= audio[output] if output in audio else sent[output]
                was = hears[number] if number in hears else heard[number]
                hears[number] = mask
                if mask == was:
                    continue
                mixes.clear()
            waiting |= onward[place]
        return hears, audio

    def _grow(
        self, changed: Masks, new: Masks, hears: dict[int, int], audio: dict[int, int]
    ) -> None:
        """Let audio spread along new feeds too, and round the loops that they close.

        ``hears`` and ``audio``, what differs from rest without them, are added to. With a feed
        more, what is heard only ever grows, so it is followed until nothing does.
        """
        heard, sent = self.hears, self._audio
        newly_fed = self._newly_fed(new)
        growing: list[int] = []

        def hear(number: int, more: int) -> None:
            known = hears[number] if number in hears else heard[number]
            if more & ~known:
                hears[number] = known | more
                growing.append(number)

        for number, mask in new.items():
            for output in bits(mask):
                hear(number, audio[output] if output in audio else sent[output])
        while growing:
            number = growing.pop()
            for output in self._ways_out[number]:
                known = audio[output] if output in audio else sent[output]
                if not hears[number] & ~known:
                    continue
                audio[output] = known = known | hears[number]
                for entry in self._fed[output]:
                    if entry not in changed or changed[entry] >> output & 1:
                        hear(entry, known)
                for entry in newly_fed.get(output, ()):
                    hear(entry, known)

    def _downstream(self, changed: Masks, dead: frozenset[int]) -> tuple[set[int], set[int]]:
        """The inputs and outputs that audio from the changed feeds and dead boxes may reach."""
        newly_fed = self._newly_fed(changed)
        inputs, outputs = set(changed), set(dead)
        open_inputs, open_outputs = list(inputs), list(outputs)
        while open_inputs or open_outputs:
            while open_inputs:
                for output in self._ways_from(open_inputs.pop(), dead):
                    if output not in outputs:
                        outputs.add(output)
                        open_outputs.append(output)
            while open_outputs:
                output = open_outputs.pop()
                fed = self._fed[output].union(newly_fed.get(output, ()))
                for number in fed - inputs:
                    inputs.add(number)
                    open_inputs.append(number)
        return inputs, outputs

    @staticmethod
    def _newly_fed(changed: Masks) -> dict[int, list[int]]:
        fed: dict[int, list[int]] = {}
        for number, mask in changed.items():
            for output in bits(mask):
                fed.setdefault(output, []).append(number)
        return fed

    def _ways_from(self, number: int, dead: frozenset[int]) -> list[int]:
        """The outputs an input's audio goes on to: along bypasses where the box has failed."""
        if not dead:
            return self._ways_out[number]
        alive = [o for o in self._ways_out[number] if o not in dead]
        return alive + [o for o in self._bypass_out[number] if o in dead]

    def _settle(
        self, changed: Masks, dead: frozenset[int], inputs: Iterable[int], outputs: Iterable[int]
    ) -> tuple[dict[int, int], dict[int, int]]:
        """Hearing of these inputs and audio of these outputs, all others standing as they are.

        The least solution: all start silent, and audio spreads until nothing changes.
        """
        hears = dict.fromkeys(inputs, 0)
        audio = dict.fromkeys(outputs, 0)
        fed: dict[int, list[int]] = {}
        for number in hears:
            for output in bits(changed.get(number, self.feeds[number])):
                if output in audio:
                    fed.setdefault(output, []).append(number)
                else:
                    hears[number] |= self._audio[output]
        for output in audio:
            audio[output] = self._sent(output, dead, hears)
        self._spread_on(hears, audio, fed, dead)
        return hears, audio

    def _sent(self, output: int, dead: frozenset[int], unsettled: Masks) -> int:
        """What an output carries of its own and from inputs that stand as they are."""
        own, ways = self._origins & (1 << output), self._ways_in[output]
        if output in dead:
            own, ways = 0, self._bypass_in[output]
        for number in ways:
            if number not in unsettled:
                own |= self.hears[number]
        return own

    def _spread_on(
        self,
        hears: dict[int, int],
        audio: dict[int, int],
        fed: Mapping[int, list[int]],
        dead: frozenset[int],
    ) -> None:
        """Let audio spread from inputs and outputs to those behind them until nothing changes."""
        open_inputs = {number for number, mask in hears.items() if mask}
        open_outputs = {output for output, mask in audio.items() if mask}
        while open_inputs or open_outputs:
            while open_outputs:
                output = open_outputs.pop()
                mask = audio[output]
                for number in fed.get(output, ()):
                    if mask & ~hears[number]:
                        hears[number] |= mask
                        open_inputs.add(number)
            while open_inputs:
                number = open_inputs.pop()
                mask = hears[number]
                for output in self._ways_from(number, dead):
                    if output in audio and mask & ~audio[output]:
                        audio[output] |= mask
                        open_outputs.add(output)

    def closes_cycle(
        self, output: int, number: int, feeds: Masks, failed: Iterable[str] = ()
    ) -> bool:
        """Whether audio from an input finds its way round to the output that feeds it.

        ``feeds`` maps inputs whose feeds differ from rest to the outputs that feed them.
        """
        dead = self.outputs_of(failed)
        if not dead and not self._may_come_round(output, number, feeds):
            return False
        newly_fed = self._newly_fed(feeds)
        seen, queue = {number}, [number]
        for entry in queue:
            for leaving in self._ways_from(entry, dead):
                if leaving == output:
                    return True
                fed = {n for n in self._fed[leaving] if n not in feeds}
                fed.update(newly_fed.get(leaving, ()))
                queue += fed - seen
                seen |= fed
        return False

    def _may_come_round(self, output: int, number: int, feeds: Masks) -> bool:
        """The same, told at once, as though no feed of rest were gone."""
        order = self._order
        if order is None:
            return True
        comes_to = order.beyond[number]
        onward = [(order.beyond[entry], mask) for entry, mask in feeds.items()]
        while not comes_to >> output & 1:
            before = comes_to
            for beyond, mask in onward:
                if mask & comes_to:
                    comes_to |= beyond
            if comes_to == before:
                return False
        return True
