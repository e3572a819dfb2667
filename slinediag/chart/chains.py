"""What leads to each priority input, box by box, and on which sheets: what feeds the transmitter.

As filed, or as a trial or a failure leaves it, by the same tracing as every answer.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Address, Jack, PortAddress, natural
from slinediag.chart.feeding import Feeding
from slinediag.chart.subject import Subject
from slinediag.model.facility import Facility
from slinediag.tracing.tracer import tracer_of
from slinediag.tracing.values import Answer


@dataclass(frozen=True, slots=True)
class Link:
    """One box of a chain: the inputs by which it is led to and the outputs by which it leads on.

    ``new``: those of the outputs that lead on where they do not as filed. ``via``: the jacks that
    the others pass on the way to the next box.
    """

    box: str
    entries: tuple[PortAddress, ...]
    exits: tuple[PortAddress, ...]
    new: tuple[PortAddress, ...] = ()
    via: tuple[Jack, ...] = ()


@dataclass(frozen=True, slots=True)
class Chain:
    """The boxes that lead to inputs of one priority, in the order of the signal.

    The last is the one with the inputs. The first is an origin, or led to by several ``sources``,
    whose lines come in at its ``entries``, also those that lead on by an insert loop of it; or by
    one that stands in the chain already. ``newly``: how what is new leads there, in words.
    ``new_sources``: those that do not lead there as filed. ``silent``: the inputs heard something
    as filed, and hear nothing now.
    """

    priority: int
    links: tuple[Link, ...]
    sources: tuple[str, ...] = ()
    newly: str = ""
    new_sources: tuple[str, ...] = ()
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Leg:
    """What of a chain is on one sheet: the boxes there, one after the other; none where only jacks
    between two boxes are."""

    sheet: int
    boxes: tuple[str, ...]


def chains_of(subject: Subject, answer: Answer | None = None) -> tuple[Chain, ...]:
    """A chain for each box with priority inputs that is drawn, and each priority it has.

    ``answer``: what a trial does, or is on what a failure leaves. Inputs of which it makes this or
    that have chains of their own.
    """
    facility = subject.facility
    feeding = Feeding.of(facility, answer)
    tracer = tracer_of(facility)
    found = []
    for box in subject.equipment:
        inputs: dict[tuple[int, Hashable], list[PortAddress]] = {}
        for port in box.inputs:
            facts = box.facts[port.id, "in"]
            if facts.priority is not None:
                alike = facts.priority, _comes_to(feeding, facts.address)
                inputs.setdefault(alike, []).append(facts.address)
        with tracer.lock:
            found += [
                _chain(feeding, priority, Link(box.id, tuple(some), ()))
                for (priority, _), some in inputs.items()
            ]
    return tuple(sorted(found, key=lambda chain: _order(facility, chain)))


def _comes_to(feeding: Feeding, entry: PortAddress) -> Hashable:
    """What becomes of an input: nothing that is not filed, silence, or the boxes that newly feed
    it."""
    if feeding.silent(entry):
        return "silent"
    feeds = feeding.feeds(entry)
    return frozenset(out.equipment for out in feeds) if feeding.new((entry,)) else None


def _order(facility: Facility, chain: Chain) -> tuple[object, ...]:
    last = facility.equipment[chain.links[-1].box]
    return chain.priority, natural(last.printed), natural(last.id)


def _chain(feeding: Feeding, priority: int, last: Link) -> Chain:
    """From a box with inputs back to where the way begins, or where several boxes lead in."""
    if all(map(feeding.silent, last.entries)):
        return Chain(priority, (last,), silent=True)
    links = [last]
    while True:
        entries = links[0].entries
        feeds = dict.fromkeys(out for entry in entries for out in feeding.feeds(entry))
        boxes = tuple(dict.fromkeys(out.equipment for out in feeds))
        if len(boxes) != 1 or boxes[0] in {link.box for link in links}:
            return _begun(feeding, priority, links, boxes)
        fed = dict.fromkeys(entry for out in feeds for entry in feeding.entries(out))
        new, via = feeding.new(entries), feeding.via(entries)
        links.insert(0, Link(boxes[0], tuple(fed), tuple(feeds), new, via))


def _begun(feeding: Feeding, priority: int, links: Sequence[Link], boxes: tuple[str, ...]) -> Chain:
    """The chain of these links, the first of which is fed by these boxes."""
    first = _with_loops(feeding, links[0])
    leading = (out.equipment for entry in first.entries for out in feeding.feeds(entry))
    sources = tuple(box for box in dict.fromkeys(leading) if box != first.box) or boxes
    new = {out.equipment for out in feeding.new(first.entries)}
    new_sources = tuple(box for box in sources if box in new)
    return Chain(priority, (first, *links[1:]), sources, feeding.newly, new_sources)


def _with_loops(feeding: Feeding, link: Link) -> Link:
    """The box with all inputs that lead to the chain, also from its sends round to its returns."""
    passed = dict.fromkeys(link.entries)
    todo = list(link.entries)
    for entry in todo:
        for out in feeding.feeds(entry):
            new = [each for each in feeding.entries(out) if each not in passed]
            passed.update(dict.fromkeys(new))
            todo += new
    return replace(link, entries=tuple(each for each in passed if each.equipment == link.box))


def legs_of(chain: Chain, sheet: Mapping[Address, int]) -> tuple[Leg, ...]:
    """The chain by the sheets that it runs through; a box that leads over stands on both.

    ``sheet``: of each port and jack drawn. Boxes none of whose ports is drawn are left out; a sheet
    with nothing but jacks between two boxes has a leg without any.
    """
    passed: list[tuple[int, str]] = []
    for number, link in enumerate(chain.links):
        if number or len(chain.links) == 1:
            passed += [(on, link.box) for on in _sheets(link.entries, sheet)]
        passed += [(on, link.box) for on in _sheets(link.exits, sheet)]
        following = [p for each in chain.links[number + 1 :][:1] for p in each.entries]
        beside = _sheets([*link.exits, *following], sheet)
        between = dict.fromkeys(sheet[jack] for jack in link.via if jack in sheet)
        passed += [(on, "") for on in between if on not in beside]
    legs: list[Leg] = []
    for on, box in passed:
        if not box:
            legs.append(Leg(on, ()))
        elif legs and legs[-1].sheet == on:
            if box not in legs[-1].boxes:
                legs[-1] = Leg(on, (*legs[-1].boxes, box))
        else:
            legs.append(Leg(on, (box,)))
    return tuple(legs)


def _sheets(ports: Iterable[PortAddress], sheet: Mapping[Address, int]) -> list[int]:
    return sorted({sheet[port] for port in ports if port in sheet})


def sheets_of_last(chain: Chain, sheet: Mapping[Address, int]) -> Sequence[int]:
    """The sheets on which the inputs are that it leads to."""
    return _sheets(chain.links[-1].entries, sheet)


def led_from(chain: Chain, sheet: Mapping[Address, int]) -> Sequence[int]:
    """The sheets on which the lines of its sources come in, where its first box leads on."""
    return _sheets(chain.links[0].entries, sheet) if len(chain.links) > 1 else ()
