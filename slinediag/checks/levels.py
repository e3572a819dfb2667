"""Rules on levels: mismatch, loss into the load, treble, clipping, unbalanced ports."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from slinediag.address import PortAddress
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.line import LineFacts
from slinediag.tracing.words import listed

MISMATCH = 12.0
"""dB between what arrives and what an input is made for, where the facility sets no limit."""

LOSS = 1.6
"""dB of loss into the load where the facility sets no limit: that of a load of five times the
source, 1.58 dB. Source: the five-times rule of IEC 60268-15 and IEC 61938 (from memory)."""

TREBLE = 1.0
"""dB of loss at 20 kHz where the facility sets no limit: a corner at twice the top of the band."""

MARGIN = 9.0
"""dB from alignment to the permitted maximum. Source: ITU-R BS.645-2."""

CLIPPED = 0.005
"""dB below which a difference of levels is rounding and not clipping."""


def level_mismatch(rest: Rest) -> Iterator[Case]:
    """Inputs at which the level is far from what they are made for; one case per two boxes."""
    limit = _limit(rest.facility.practice.limits.mismatch, MISMATCH)

    def words(line: LineFacts) -> str:
        assert line.arrival is not None
        excess = line.arrival.excess
        return f"{abs(excess):.1f} dB too {'high' if excess > 0 else 'low'}"

    def far(line: LineFacts) -> bool:
        return line.arrival is not None and abs(line.arrival.excess) > limit + CLIPPED

    yield from _by_boxes(rest, far, words, f"arrives {{}} for it (limit {limit:g} dB)")


def line_loss(rest: Rest) -> Iterator[Case]:
    """Outputs that lose more than the limit into what loads them."""
    limit = _limit(rest.facility.practice.limits.loss, LOSS)

    def words(line: LineFacts) -> str:
        assert line.arrival is not None
        return f"{line.arrival.loss:.1f} dB"

    def heavy(line: LineFacts) -> bool:
        return line.arrival is not None and line.arrival.loss > limit + CLIPPED

    yield from _by_boxes(rest, heavy, words, f"loses {{}} on the way (limit {limit:g} dB)")


def treble_loss(rest: Rest) -> Iterator[Case]:
    """Lines whose cables take more than the limit from the treble."""
    limit = _limit(rest.facility.practice.limits.treble, TREBLE)

    def words(line: LineFacts) -> str:
        assert line.treble is not None
        assert line.treble.corner is not None
        corner = line.treble.corner / 1000
        return f"{line.treble.loss:.1f} dB at 20 kHz (-3 dB at {corner:.1f} kHz"

    def dull(line: LineFacts) -> bool:
        return line.treble is not None and line.treble.loss > limit + CLIPPED

    yield from _by_boxes(rest, dull, words, f"loses {{}}; limit {limit:g} dB)")


def clipping(rest: Rest) -> Iterator[Case]:
    """Inputs and outputs that clip at their nominal level or with less than 9 dB above it."""

    def words(line: LineFacts) -> str:
        assert line.arrival is not None
        headroom = line.arrival.headroom
        if headroom < -CLIPPED:
            return f"clips, its nominal level being {-headroom:.1f} dB beyond the maximum"
        return f"has {headroom:.1f} dB of headroom; programme needs {MARGIN:g} dB"

    def clips(line: LineFacts) -> bool:
        return line.arrival is not None and line.arrival.headroom < -CLIPPED

    def tight(line: LineFacts) -> bool:
        headroom = line.arrival.headroom if line.arrival else MARGIN
        return -CLIPPED <= headroom < MARGIN - CLIPPED

    for case in _by_boxes(rest, clips, words, "{}"):
        yield Case("error", case.where, case.message)
    yield from _by_boxes(rest, tight, words, "{}")


def unbalanced(rest: Rest) -> Iterator[Case]:
    """Balanced ports on a line that an unbalanced port grounds; one case per unbalanced box."""
    found: dict[str, dict[PortAddress, None]] = {}
    others: dict[str, dict[str, None]] = {}
    for line in rest.lines:
        ends = (*rest.tracer.feeds(line.input), line.input)
        for port in line.unbalanced:
            far = [rest.port(end) for end in ends if rest.facility.facts(end).balanced]
            if far:
                found.setdefault(port.equipment, {})[port] = None
                others.setdefault(port.equipment, {}).update(dict.fromkeys(far))
    for box, ports in found.items():
        message = (
            f"{listed(map(rest.port, ports))} {'are' if len(ports) > 1 else 'is'} unbalanced on "
            f"the line of {listed(others[box])}: one leg is grounded there."
        )
        yield Case("note", (box, *rest.spelled(ports)), message)


def _limit(filed: float | None, otherwise: float) -> float:
    return otherwise if filed is None else filed


def _by_boxes(
    rest: Rest,
    concerns: Callable[[LineFacts], bool],
    words: Callable[[LineFacts], str],
    sentence: str,
) -> Iterator[Case]:
    """Warnings for the lines that a test picks out, one for each pair of boxes.

    ``sentence`` is what becomes of the source, with {} for the words of the first line.
    """
    found: dict[tuple[tuple[str, ...], str], list[LineFacts]] = {}
    for line in rest.lines:
        if concerns(line) and rest.in_use(line.input):
            sources = tuple(dict.fromkeys(p.equipment for p in rest.tracer.feeds(line.input)))
            found.setdefault((sources, line.input.equipment), []).append(line)
    for lines in found.values():
        outputs = dict.fromkeys(o for line in lines for o in rest.tracer.feeds(line.input))
        inputs = [line.input for line in lines]
        subject = f"{listed(map(rest.port, outputs))} into {listed(map(rest.port, inputs))}"
        message = f"{subject}: {sentence.format(words(lines[0]))}."
        yield Case("warning", rest.spelled((*inputs, *outputs)), message)


RULES = (
    Rule(
        "level-mismatch",
        "an input that gets a level far from what it is made for",
        "What arrives at an input is set against the input's own level. Far above it the input "
        "clips, far below it noise comes up. The limit is limits.mismatch, 12 dB unless set.",
        "common practice",
        "Put a pad, a preamplifier or a matching amplifier between, or file the true levels.",
        level_mismatch,
    ),
    Rule(
        "line-loss",
        "an output that loses too much into what loads it",
        "Inputs in parallel load an output; its level falls by 20 log((Zs + Zp) / Zp). The limit "
        "is limits.loss; unset 1.6 dB, about what a load of five times the source costs.",
        "five-times rule, IEC 60268-15 and IEC 61938 (from memory)",
        "Take inputs off the line, or feed them through a distribution amplifier.",
        line_loss,
    ),
    Rule(
        "treble-loss",
        "a line whose cables take the treble away",
        "The capacitance of cables and cords against source and load is a low pass, -3 dB at "
        "1/(2 pi R C). The limit is limits.treble in dB at 20 kHz, 1 dB unless set.",
        "Handbook for Sound Engineers, Grounding and Interfacing",
        "Use a source of lower impedance, a shorter cable, or one of lower capacitance.",
        treble_loss,
    ),
    Rule(
        "clipping",
        "a line that clips, or nearly does, at its nominal level",
        "Output and input each have a maximum. At nominal level there should be 9 dB or more "
        "before the first of them clips.",
        "ITU-R BS.645-2: permitted maximum 9 dB above alignment",
        "Lower the level of the source, put a pad before the input, or file the true maximum.",
        clipping,
    ),
    Rule(
        "unbalanced",
        "an unbalanced port on a balanced line",
        "An unbalanced port ties its ring to its sleeve. The line gives up what it gained by being "
        "balanced, a driven output loses 6 dB, and phantom power must never meet it.",
        "common practice; AES48-2005",
        "Balance it with a transformer or a matching amplifier beside the unit.",
        unbalanced,
    ),
)
