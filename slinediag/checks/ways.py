"""Rules on whole ways: audio that goes round, and priority inputs with one source only."""

from __future__ import annotations

from collections.abc import Iterator

from slinediag.address import PortAddress
from slinediag.checks.normals import normaled_to_itself
from slinediag.checks.rest import Rest
from slinediag.checks.rule import Case, Rule
from slinediag.tracing.hearing import bits
from slinediag.tracing.words import listed

Feed = tuple[int, int]
"""An output and an input that it feeds, by their numbers."""


def feedback_at_rest(rest: Rest) -> Iterator[Case]:
    """Audio that finds its way back to where it came from; one case for each set of boxes."""
    groups: dict[tuple[str, ...], list[list[Feed]]] = {}
    for cycle in cycles_at_rest(rest):
        boxes = dict.fromkeys(rest.circuit.inputs[i].equipment for _, i in cycle)
        groups.setdefault(tuple(sorted(boxes)), []).append(cycle)
    for cycles in groups.values():
        outputs, inputs = rest.circuit.outputs, rest.circuit.inputs
        round_once = " – ".join(
            f"{rest.port(outputs[o])} – {rest.port(inputs[i])}" for o, i in cycles[0]
        )
        ports = [port for cycle in cycles for o, i in cycle for port in (outputs[o], inputs[i])]
        more = f" (and {len(cycles) - 1} more alike)" if len(cycles) > 1 else ""
        message = (
            f"Audio goes round at rest: {round_once} – {rest.port(outputs[cycles[0][0][0]])}{more}."
        )
        yield Case("danger", rest.spelled(ports), message)


def cycles_at_rest(rest: Rest) -> Iterator[list[Feed]]:
    """Ways round, each the shortest through a feed that no earlier one took.

    A box normaled to itself is left to its own rule.
    """
    own = {where for case in normaled_to_itself(rest) for where in case.where[2:]}
    ways, feeds = _on_the_way_round(rest)
    taken: set[Feed] = set()
    for output in sorted(feeds):
        for number in sorted(feeds[output]):
            if (output, number) in taken:
                continue
            cycle = _shortest(ways, feeds, (output, number))
            taken.update(cycle)
            ports = rest.spelled((rest.circuit.outputs[output], rest.circuit.inputs[number]))
            if cycle and not (len(cycle) == 1 and own.issuperset(ports)):
                yield cycle


def _on_the_way_round(rest: Rest) -> tuple[dict[int, set[int]], dict[int, set[int]]]:
    """Paths and feeds once all that cannot be on a way round is taken away.

    Inputs with the outputs their audio goes on to; outputs with the inputs they feed.
    """
    circuit = rest.circuit
    ways: dict[int, set[int]] = {}
    for box in rest.facility.equipment.values():
        for entry, leaving in box.ways:
            number = circuit.input_number[PortAddress(box.id, entry, "in")]
            output = circuit.output_number[PortAddress(box.id, leaving, "out")]
            ways.setdefault(number, set()).add(output)
    feeds: dict[int, set[int]] = {}
    for number, mask in enumerate(rest.hearing.feeds):
        for output in bits(mask):
            feeds.setdefault(output, set()).add(number)
    shrinking = True
    while shrinking:
        shrinking = _trim(ways, feeds) or _trim(feeds, ways)
    return ways, feeds


def _trim(froms: dict[int, set[int]], onward: dict[int, set[int]]) -> bool:
    """Take away what leads nowhere and what nothing leads to; whether anything was."""
    reached = {there for theres in onward.values() for there in theres}
    gone = [here for here in froms if here not in reached]
    for here in gone:
        del froms[here]
    trimmed = bool(gone)
    for here, theres in list(froms.items()):
        kept = theres & onward.keys()
        if kept != theres:
            trimmed = True
            froms[here] = kept
        if not kept:
            del froms[here]
    return trimmed


def _shortest(ways: dict[int, set[int]], feeds: dict[int, set[int]], start: Feed) -> list[Feed]:
    """The feeds of the shortest way from a feed's input back to its output; none where none is."""
    came: dict[Feed, Feed | None] = {start: None}
    queue = [start]
    for feed in queue:
        for output in sorted(ways.get(feed[1], ())):
            if output == start[0]:
                return _steps_back(came, feed)
            for number in sorted(feeds.get(output, ())):
                if (output, number) not in came:
                    came[output, number] = feed
                    queue.append((output, number))
    return []


def _steps_back(came: dict[Feed, Feed | None], last: Feed) -> list[Feed]:
    steps: list[Feed] = []
    at: Feed | None = last
    while at is not None:
        steps.append(at)
        at = came[at]
    return steps[::-1]


def priority_silent(rest: Rest) -> Iterator[Case]:
    """Priority inputs that something feeds, but that hear no origin at rest; one case per box."""
    groups: dict[str, list[PortAddress]] = {}
    for number, entry in enumerate(rest.circuit.inputs):
        if (
            rest.facility.facts(entry).priority is not None
            and rest.in_use(entry)
            and rest.hearing.feeds[number]
            and not rest.hearing.hears[number]
        ):
            groups.setdefault(entry.equipment, []).append(entry)
    for box, inputs in groups.items():
        feeds = dict.fromkeys(feed for entry in inputs for feed in rest.tracer.feeds(entry))
        hears = "hear" if len(inputs) > 1 else "hears"
        message = (
            f"{listed(map(rest.port, inputs))} {hears} nothing: fed by "
            f"{listed(map(rest.port, feeds))}, where no source arrives."
        )
        yield Case("error", (box, *rest.spelled((*inputs, *feeds))), message)


def single_source(rest: Rest) -> Iterator[Case]:
    """Priority inputs without a second source; one case per box and reason."""
    groups: dict[tuple[str, str], list[PortAddress]] = {}
    for number, entry in enumerate(rest.circuit.inputs):
        facts = rest.facility.facts(entry)
        if facts.priority is None or not rest.in_use(entry) or not rest.wired(entry):
            continue
        if entry not in rest.facility.carriers:
            groups.setdefault((entry.equipment, "no jack"), []).append(entry)
        elif not facts.instead and _one_origin(rest, number):
            groups.setdefault((entry.equipment, "one source"), []).append(entry)
    for (box, reason), inputs in groups.items():
        names = listed(map(rest.port, inputs))
        several = len(inputs) > 1
        if reason == "no jack":
            message = f"{names} {'are' if several else 'is'} on no jack: no cord can stand in."
            yield Case("warning", (box, *rest.spelled(inputs)), message)
        else:
            heard = dict.fromkeys(origin for entry in inputs for origin in rest.tracer.hears(entry))
            message = (
                f"{names} must not go silent, but {'hear' if several else 'hears'} one source "
                f"only ({listed(map(rest.port, heard))}), and nothing is filed to stand in."
            )
            yield Case("note", (box, *rest.spelled(inputs)), message)


def _one_origin(rest: Rest, number: int) -> bool:
    heard = rest.tracer.named(rest.hearing.hears[number])
    return sum(not rest.facility.facts(port).standby for port in heard) == 1


RULES = (
    Rule(
        "feedback-at-rest",
        "audio that goes round with no cord put in",
        "From an output to an input, along a path to an output, and round again: what goes in "
        "comes back and grows. It howls as soon as the controls on the way are up, and can harm "
        "hearing and loudspeakers.",
        "common practice",
        "Turn the monitors down; then break the way round at a jack with a dummy plug, and rewire "
        "it. Where a path is locked off inside the equipment, file its paths without it.",
        feedback_at_rest,
    ),
    Rule(
        "priority-silent",
        "a priority input that is fed, but hears no source",
        "What feeds an input that must not go silent carries nothing itself: further back on the "
        "way an input is fed by nothing, or a path is missing from the file.",
        "common practice",
        "Follow the way back (slinediag show FILE INPUT) to where the audio stops, and feed it.",
        priority_silent,
    ),
    Rule(
        "single-source",
        "a priority input with one source and nothing to stand in",
        "An input with a priority is one that must not go silent. It should be on a jack, so that "
        "a cord can feed it, and hear a second source or have outputs named under instead that "
        "may stand in.",
        "common practice",
        "Name under instead what may stand in, on a jack of its own; or accept it with the reason.",
        single_source,
    ),
)
