"""What a trial does to levels and treble, in sentences: only what matters."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.model.facility import Facility
from slinediag.tracing.levels import HALVED, Arrival, TiedOutput
from slinediag.tracing.line import LineFacts
from slinediag.tracing.phrases import listed, port_name
from slinediag.tracing.treble import Treble
from slinediag.tracing.values import Answer

HEARD = 0.5
"""dB of change in level from which it is told."""

MISMATCH = 12.0
"""dB off the level an input is made for from which it is told, where the file sets no limit."""

TREBLE = 1.0
"""dB of loss at 20 kHz from which it is told, where the file sets no limit."""

MICROPHONE = -40.0
LINE = -20.0
"""dBu up to which a level is a microphone's, and from which it is a line's; between the ranges of
the Sound Engineer's Pocket Book, ch. 14: -70 to -50 and -15 to +20 dBu."""


def line_sentences(answer: Answer) -> list[str]:
    """Sentences for lines whose level, treble or outputs a trial changes enough to matter.

    In natural order of inputs; a line with several inputs tells of its tied outputs once.
    """
    said: dict[str, None] = {}
    for line in answer.lines:
        said.update(dict.fromkeys(_sentences(answer.facility, line.before, line.after)))
    return list(said)


def _sentences(facility: Facility, before: LineFacts, after: LineFacts) -> Iterator[str]:
    name = port_name(facility, after.input)
    if after.tied and after.tied != before.tied:
        yield _tied_sentence(facility, after.tied)
    yield from _grounding_sentences(facility, before, after)
    if after.arrival is not None:
        yield from _level_sentences(name, before.arrival, after.arrival)
        yield from _match_sentences(facility, after, before.arrival, after.arrival)
    if after.treble is not None:
        yield from _treble_sentences(facility, name, before.treble, after.treble)


def _grounding_sentences(facility: Facility, before: LineFacts, after: LineFacts) -> Iterator[str]:
    """Unbalanced inputs that newly ground a leg of a driven output."""
    if after.arrival is None or facility.facts(after.arrival.output).drive != "driven":
        return
    entries = [port for port in after.unbalanced if port.side == "in"]
    was = before.arrival is not None and before.arrival.output == after.arrival.output
    if entries and not (was and set(entries) <= set(before.unbalanced)):
        names = listed(port_name(facility, port) for port in entries)
        output = port_name(facility, after.arrival.output)
        does = "is unbalanced and grounds" if len(entries) == 1 else "are unbalanced and ground"
        yield (
            f"{names} {does} one leg of {output}, "
            f"whose level falls {HALVED:.0f} dB on the whole line."
        )


def _level_sentences(name: str, before: Arrival | None, after: Arrival) -> Iterator[str]:
    rise = after.level - before.level if before is not None else 0.0
    if abs(rise) > HEARD:
        way = "rises" if rise > 0 else "falls"
        yield f"{name}: the level {way} {abs(rise):.1f} dB, to {dbu(after.level)}."


def _match_sentences(
    facility: Facility, line: LineFacts, before: Arrival | None, after: Arrival
) -> Iterator[str]:
    """Levels far off, and clipping, where it was not so before from the same output."""
    limit = facility.practice.limits.mismatch
    limit = MISMATCH if limit is None else limit
    entry = facility.facts(line.input)
    clips = after.level > entry.max
    if not clips and abs(after.excess) <= limit:
        return
    if before is not None and before.output == after.output:
        was = before.level > entry.max, abs(before.excess) > limit
        if was == (clips, abs(after.excess) > limit):
            return
    name, output = port_name(facility, line.input), port_name(facility, after.output)
    arrives = f"{name} gets {output} at {dbu(after.level)}"
    kinds = _kinds(facility.facts(after.output).level, entry.level)
    if clips:
        yield f"{arrives}{kinds} and CLIPS: it takes {dbu(entry.max)} at most. Put a pad in."
    elif after.excess > 0:
        yield (
            f"{arrives}{kinds}, {after.excess:.0f} dB above what it is made for. "
            "Expect it to overload."
        )
    else:
        yield (
            f"{arrives}{kinds}, {-after.excess:.0f} dB below what it is made for. "
            "Expect noise; it wants a preamplifier."
        )


def _kinds(output: float, entry: float) -> str:
    """What kinds of level meet, where a microphone's and a line's do."""
    if output <= MICROPHONE and entry >= LINE:
        return " (a microphone onto a line input)"
    if output >= LINE and entry <= MICROPHONE:
        return " (a line onto a microphone input)"
    return ""


def _treble_sentences(
    facility: Facility, name: str, before: Treble | None, after: Treble
) -> Iterator[str]:
    limit = facility.practice.limits.treble
    limit = TREBLE if limit is None else limit
    if after.corner is None or after.loss <= limit:
        return
    if before is not None and before.loss >= after.loss:
        return
    yield (
        f"{name} loses {after.loss:.1f} dB of treble at 20 kHz: cables and cords of "
        f"{after.capacitance / 1000:.1f} nF, 3 dB down at {after.corner / 1000:.1f} kHz."
    )


def _tied_sentence(facility: Facility, tied: tuple[TiedOutput, ...]) -> str:
    levels = [
        f"{port_name(facility, t.output)} falls {t.loss:.1f} dB to {dbu(t.level)}"
        for t in tied
        if t.loss is not None and t.level is not None
    ]
    names = listed(port_name(facility, t.output) for t in tied)
    if not levels:
        return f"{names} are tied together; none of them works."
    most = max(t.current for t in tied if t.current is not None)
    flow = f"; at full level up to {most:.0f} mA flow from one into the other"
    return f"With {names} tied together, {listed(levels)}{flow if most >= 1 else ''}."


def dbu(level: float) -> str:
    """A level in words, to a tenth of a dB."""
    figure = round(level, 1) + 0.0
    sign = "−" if figure < 0 else "+" if figure > 0 else ""
    return f"{sign}{abs(figure):.1f} dBu"
