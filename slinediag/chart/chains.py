"""What leads to each priority input, box by box, and on which sheets: what feeds the transmitter.

As filed and at rest, by the same tracing as every answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag.address import PortAddress, natural
from slinediag.chart.subject import Subject
from slinediag.model.facility import Facility
from slinediag.tracing.tracer import Tracer, tracer_of


@dataclass(frozen=True, slots=True)
class Link:
    """One box of a chain: the inputs by which it is led to and the outputs by which it leads on."""

    box: str
    entries: tuple[PortAddress, ...]
    exits: tuple[PortAddress, ...]


@dataclass(frozen=True, slots=True)
class Chain:
    """The boxes that lead to inputs of one priority, in the order of the signal.

    The last is the one with the inputs. The first is an origin, or led to by several ``sources``,
    whose lines come in at its ``entries``, also those that lead on by an insert loop of it; or by
    one that stands in the chain already.
    """

    priority: int
    links: tuple[Link, ...]
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Leg:
    """What of a chain is on one sheet: the boxes there, one after the other."""

    sheet: int
    boxes: tuple[str, ...]


def chains_of(subject: Subject) -> tuple[Chain, ...]:
    """A chain for each box with priority inputs that is drawn, and each priority it has."""
    facility = subject.facility
    tracer = tracer_of(facility)
    found = []
    for box in subject.equipment:
        inputs: dict[int, list[PortAddress]] = {}
        for port in box.inputs:
            facts = box.facts[port.id, "in"]
            if facts.priority is not None:
                inputs.setdefault(facts.priority, []).append(facts.address)
        with tracer.lock:
            found += [_chain(tracer, p, Link(box.id, tuple(i), ())) for p, i in inputs.items()]
    return tuple(sorted(found, key=lambda chain: _order(facility, chain)))


def _order(facility: Facility, chain: Chain) -> tuple[object, ...]:
    last = facility.equipment[chain.links[-1].box]
    return chain.priority, natural(last.printed), natural(last.id)


def _chain(tracer: Tracer, priority: int, last: Link) -> Chain:
    """From a box with inputs back to where the way begins, or where several boxes lead in."""
    links = [last]
    while True:
        feeds = dict.fromkeys(out for entry in links[0].entries for out in tracer.feeds(entry))
        boxes = tuple(dict.fromkeys(out.equipment for out in feeds))
        if len(boxes) != 1 or boxes[0] in {link.box for link in links}:
            first = _with_loops(tracer, links[0])
            feeding = (out.equipment for entry in first.entries for out in tracer.feeds(entry))
            sources = tuple(box for box in dict.fromkeys(feeding) if box != first.box)
            return Chain(priority, (first, *links[1:]), sources or boxes)
        fed = dict.fromkeys(entry for out in feeds for entry in _fed_entries(tracer, out))
        links.insert(0, Link(boxes[0], tuple(fed), tuple(feeds)))


def _fed_entries(tracer: Tracer, out: PortAddress) -> Iterator[PortAddress]:
    """The inputs by which a box leads to its output, as far as they are fed."""
    for entry, leads_to in tracer.facility.equipment[out.equipment].ways:
        address = PortAddress(out.equipment, entry, "in")
        if leads_to == out.port and tracer.feeds(address):
            yield address


def _with_loops(tracer: Tracer, link: Link) -> Link:
    """The box with all inputs that lead to the chain, also from its sends round to its returns."""
    passed = dict.fromkeys(link.entries)
    todo = list(link.entries)
    for entry in todo:
        for out in tracer.feeds(entry):
            new = [each for each in _fed_entries(tracer, out) if each not in passed]
            passed.update(dict.fromkeys(new))
            todo += new
    return replace(link, entries=tuple(each for each in passed if each.equipment == link.box))


def legs_of(chain: Chain, sheet: Mapping[PortAddress, int]) -> tuple[Leg, ...]:
    """The chain by the sheets that it runs through; a box that leads over stands on both.

    ``sheet``: of each port drawn. Boxes none of whose ports is drawn are left out.
    """
    passed: list[tuple[int, str]] = []
    for number, link in enumerate(chain.links):
        if number or len(chain.links) == 1:
            passed += [(on, link.box) for on in _sheets(link.entries, sheet)]
        passed += [(on, link.box) for on in _sheets(link.exits, sheet)]
    legs: list[Leg] = []
    for on, box in passed:
        if legs and legs[-1].sheet == on:
            if box not in legs[-1].boxes:
                legs[-1] = Leg(on, (*legs[-1].boxes, box))
        else:
            legs.append(Leg(on, (box,)))
    return tuple(legs)


def _sheets(ports: Iterable[PortAddress], sheet: Mapping[PortAddress, int]) -> list[int]:
    return sorted({sheet[port] for port in ports if port in sheet})


def led_from(chain: Chain, sheet: Mapping[PortAddress, int]) -> Sequence[int]:
    """The sheets on which the lines of its sources come in, where its first box leads on."""
    return _sheets(chain.links[0].entries, sheet) if len(chain.links) > 1 else ()
