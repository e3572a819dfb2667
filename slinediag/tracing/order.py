"""The order in which audio runs at rest, by which a change is followed to its end."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Order:
    """A place for every input and output, behind all that its audio comes from.

    ``ports`` says for each place whether an output stands there, and its number or the input's;
    ``beyond`` for each input the outputs that its audio comes to, one bit each; ``onward`` for
    each place those that audio goes on to from there, one bit each.
    """

    inputs: tuple[int, ...]
    outputs: tuple[int, ...]
    ports: tuple[tuple[bool, int], ...]
    beyond: tuple[int, ...]
    onward: tuple[int, ...]

    def goes_round(self, new: Mapping[int, int]) -> bool:
        """Whether audio may go round once inputs are fed by these outputs as well.

        It goes on from one new feed to the next; where none is left that leads on to none of the
        others, it goes round. Feeds taken away are not looked at, so that this may be too strict.
        """
        left = [(self.beyond[number], mask) for number, mask in new.items() if mask]
        while left:
            sources = 0
            for _, mask in left:
                sources |= mask
            onward = [feed for feed in left if feed[0] & sources]
            if len(onward) == len(left):
                return True
            left = onward
        return False


def order_of(
    ways_out: Sequence[Sequence[int]], ways_in: Sequence[Sequence[int]], fed: Sequence[set[int]]
) -> Order | None:
    """The order of audio along paths and feeds; None where it goes round anywhere.

    ``ways_out`` are the outputs that each input's audio goes on to, ``ways_in`` the inputs behind
    each output, ``fed`` the inputs that each output feeds. Outputs come as early as they can, and
    inputs from which nothing goes on last, so that most feeds one may add run along.
    """
    feeding = [0] * len(ways_out)
    for numbers in fed:
        for number in numbers:
            feeding[number] += 1
    behind = [len(numbers) for numbers in ways_in]
    places = [-1] * len(feeding), [-1] * len(behind)
    free_outputs = [output for output, count in enumerate(behind) if not count]
    free_inputs = [(not ways_out[n], n) for n, count in enumerate(feeding) if not count]
    heapq.heapify(free_inputs)
    ports: list[tuple[bool, int]] = []
    while free_outputs or free_inputs:
        if free_outputs:
            output = free_outputs.pop()
            places[1][output] = len(ports)
            ports.append((True, output))
            for number in sorted(fed[output]):
                feeding[number] -= 1
                if not feeding[number]:
                    heapq.heappush(free_inputs, (not ways_out[number], number))
            continue
        number = heapq.heappop(free_inputs)[1]
        places[0][number] = len(ports)
        ports.append((False, number))
        for output in ways_out[number]:
            behind[output] -= 1
            if not behind[output]:
                free_outputs.append(output)
    if len(ports) < len(feeding) + len(behind):
        return None
    onward = [
        _set_of(places[0][entry] for entry in fed[number])
        if sends
        else _set_of(places[1][output] for output in ways_out[number])
        for sends, number in ports
    ]
    beyond = _beyond(ports, ways_out, fed)
    return Order(tuple(places[0]), tuple(places[1]), tuple(ports), tuple(beyond), tuple(onward))


def _beyond(
    ports: Sequence[tuple[bool, int]], ways_out: Sequence[Sequence[int]], fed: Sequence[set[int]]
) -> list[int]:
    """For each input the outputs that its audio comes to, from the last place to the first."""
    from_input, from_output = [0] * len(ways_out), [0] * len(fed)
    for sends, number in reversed(ports):
        if sends:
            for entry in fed[number]:
                from_output[number] |= from_input[entry]
        else:
            for output in ways_out[number]:
                from_input[number] |= from_output[output] | 1 << output
    return from_input


def _set_of(numbers: Iterable[int]) -> int:
    """These numbers as one with a bit each."""
    found = 0
    for number in numbers:
        found |= 1 << number
    return found
