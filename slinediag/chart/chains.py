"""What leads to each priority input, box by box, and on which sheets: what feeds the transmitter.

As filed and at rest, by the same tracing as every answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

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
    whose lines come in at its ``entries``; or by one that stands in the chain already.
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
            return Chain(priority, tuple(links), boxes)
        outs = {out.port for out in feeds}
        ways = tracer.facility.equipment[boxes[0]].ways
        entries = dict.fromkeys(
            PortAddress(boxes[0], entry, "in") for entry, out in ways if out in outs
        )
        fed = tuple(entry for entry in entries if tracer.feeds(entry))
        links.insert(0, Link(boxes[0], fed, tuple(feeds)))


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
