"""What stands on each sheet of a divided chart, and where lines and cords that are cut go on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from slinediag.address import Jack, PortAddress, partner
from slinediag.chart.division import Bench, ends_of
from slinediag.chart.equipment import BoxPlan
from slinediag.chart.grouping import NO_GROUPS, Grouping, Manner, stacks_of
from slinediag.chart.points import PointPlan
from slinediag.chart.ranges import run_of_labels
from slinediag.chart.rear import RearEnd, RearNet
from slinediag.chart.restacking import closed_up
from slinediag.chart.subject import Position
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, jack_name, port_label

MOST_NAMED = 3
"""Ends that are named at a line that is not drawn on; of more, how many."""
ELSEWHERE = 0
"""The number, of no sheet, that stands for all that is not drawn."""


@dataclass(frozen=True, slots=True)
class Reference:
    """The end of an interrupted line on a sheet, and the sheet of its mate.

    ``way``: ``to`` where it stands at the right and the line goes on, ``from`` where it stands at
    the left and the line comes from there. ``name`` is one for a reference and its mate.
    ``label``: what is there; of many ends all, of which ``shown`` is what is printed.
    ``beside``: what the strip says at the far end of a line that is not drawn on. ``count``: how
    many lines are folded into one that no jack on this sheet gives the number of, else 0.
    """

    name: str
    net: str
    way: str
    mate: int
    label: str
    beside: str = ""
    count: int = 0
    shown: str = ""


@dataclass(frozen=True, slots=True)
class CordReference:
    """The end of a cord whose other jack is on another sheet."""

    jack: Jack
    mate: int
    label: str
    beside: str = ""

    @property
    def name(self) -> str:
        """Its node's id."""
        return f"cord {self.jack}"


@dataclass(frozen=True, slots=True)
class Share:
    """What stands on one sheet: its units, of them the nodes of positions and equipment whole;
    ports of large equipment; its nets, restricted to what is here, each with its references.

    ``stacks``: by large equipment its ports here, those of each group of units by themselves.
    ``manner``: how close it is set.
    """

    number: int
    units: tuple[str, ...]
    points: tuple[PointPlan, ...]
    whole: tuple[BoxPlan, ...]
    stacks: Mapping[str, tuple[frozenset[PortAddress], ...]]
    nets: tuple[RearNet, ...]
    references: tuple[Reference, ...]
    cords: tuple[CordReference, ...]
    manner: Manner = "roomy"

    @property
    def ports(self) -> dict[str, frozenset[PortAddress]]:
        """The ports of large equipment that are here."""
        return {box: frozenset().union(*stacks) for box, stacks in self.stacks.items()}

    @property
    def positions(self) -> tuple[Position, ...]:
        """The positions with a jack here, in the order of the plan."""
        return tuple(dict.fromkeys(place for point in self.points for place in point.positions))


Labeller = Callable[[RearEnd], str]


def namer(bench: Bench) -> Labeller:
    """What ends are called in references: jacks by name, ports by label; where a normal comes in,
    the jack that it runs to."""
    facility = bench.plan.subject.facility

    def name(end: RearEnd) -> str:
        if end.address is None:
            return jack_name(facility, bench.entered[end.node, end.port])
        called = [
            port_label(facility, a) if isinstance(a, PortAddress) else jack_name(facility, a)
            for a in end.addresses
        ]
        return run_of_labels(called)

    return name


def shares(
    bench: Bench,
    parts: Mapping[int, Sequence[str]],
    name: Labeller,
    only: int | None = None,
    groups: Mapping[int, Grouping] = MappingProxyType({}),
) -> tuple[Share, ...]:
    """What stands on each sheet, given the units on each by its number; all sheets or one.

    Units on no sheet are elsewhere: their lines end in references that say where they go.
    ``groups``: the units of a sheet that large equipment has parts of its own for; no net has ends
    in two of them. All of a sheet are one group where it has none.
    """
    sheet = {unit: number for number, part in parts.items() for unit in part}
    numbers = sorted(parts) if only is None else [only]
    return tuple(_share(bench, sheet, n, name, groups.get(n, NO_GROUPS)) for n in numbers)


def _share(
    bench: Bench,
    sheet: Mapping[str, int],
    number: int,
    name: Labeller,
    grouping: Grouping,
) -> Share:
    """What is drawn on the sheet of a number: nodes, parts of nets, and what points to others."""
    nets: list[RearNet] = []
    references: list[Reference] = []
    owner: dict[PortAddress, str] = {}
    units = tuple(unit for unit, on in sheet.items() if on == number)
    own = set(units)
    for at in sorted({at for unit in units for at in bench.nets_at[unit]}):
        net, owners = bench.plan.nets[at], bench.owners[at]
        pieces = _pieces(bench, net, owners, sheet)
        found = _references(bench, net, pieces, number, name)
        references += found
        nets.append(_with_references(pieces[number], found))
        for end in ends_of(pieces[number]):
            if isinstance(end.address, PortAddress) and end.address.equipment in bench.large:
                owner[end.address] = next((unit for unit in owners if unit in own), "")
    return Share(
        number,
        units,
        tuple(p for id, p in bench.points.items() if sheet.get(id) == number),
        tuple(
            closed_up(box)
            for id, boxes in bench.small.items()
            if sheet.get(id) == number
            for box in boxes
        ),
        stacks_of(owner, grouping),
        tuple(nets),
        tuple(references),
        _cord_references(bench, sheet, number),
        grouping.manner,
    )


def _pieces(
    bench: Bench, net: RearNet, owners: Sequence[str], sheet: Mapping[str, int]
) -> dict[int, RearNet]:
    """The net by sheets, its home first: ports of large equipment go with most of its units."""
    excerpt = bench.plan.excerpt
    count = Counter(sheet.get(unit, ELSEWHERE) for unit in owners)
    most = min(count, key=lambda number: (number == ELSEWHERE, -count[number], number))

    def on(end: RearEnd) -> int:
        unit = bench.unit_of(end)
        if unit is None and end.address and excerpt and not excerpt.holds(end.address):
            return ELSEWHERE
        return most if unit is None else sheet.get(unit, ELSEWHERE)

    home = on(net.sources[0]) if net.sources else most
    pieces = {}
    for number in (home, *sorted({*count, *map(on, ends_of(net))} - {home})):
        pieces[number] = RearNet(
            net.name,
            tuple(end for end in net.sources if on(end) == number),
            tuple(end for end in net.targets if on(end) == number),
            tuple(pair for pair in net.through if on(pair[0]) == number),
            net.addresses,
        )
    return pieces


def _references(
    bench: Bench, net: RearNet, pieces: Mapping[int, RearNet], number: int, name: Labeller
) -> list[Reference]:
    """The references of a net on one sheet: home points to every other sheet, these to home."""
    home, *others = pieces
    found = []
    for other in others if number == home else [home] if number in others else []:
        away = number if number != home else other
        leads_on = not pieces[away].sources
        here = leads_on if number == home else not leads_on
        if number == home and not (pieces[home].targets or pieces[home].through):
            here = True
        far = pieces[other]
        if not here and far.sources:
            # What only hears or taps it there does not feed what is here.
            far = replace(far, targets=(), through=())
        names, beside = _far_names(far, name), ""
        label, shown = names[0], _first_of(names, 1)
        if other == ELSEWHERE:
            beside = _far_beside(bench.plan.subject.facility, pieces[other])
            label, shown = ", ".join(names), _first_of(names, MOST_NAMED)
        way = "to" if here else "from"
        told = any(isinstance(end.address, Jack) for end in ends_of(pieces[number]))
        count = 0 if told else len(net.circuits)
        mark = f"{net.name} {home}-{away}"
        found.append(Reference(mark, net.name, way, other, label, beside, count, shown))
    return found


def _far_names(piece: RearNet, name: Labeller) -> list[str]:
    """What the ends of a piece are called, those first that are jacks or ports."""
    ends = sorted(ends_of(piece), key=lambda end: end.address is None)
    return list(dict.fromkeys(map(name, ends)))


def _first_of(names: Sequence[str], most: int) -> str:
    """So many names in full, and how many there are besides."""
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"


def _far_beside(facility: Facility, piece: RearNet) -> str:
    """What stands behind a single jack that a line leads to: the label of the jack that its normal
    joins it to, else its own."""
    ends = list(ends_of(piece))
    jacks = [address for end in ends for address in end.addresses if isinstance(address, Jack)]
    if len(ends) > 1 or not jacks:
        return ""
    return run_of_labels([far_beside(facility, jack) for jack in jacks])


def far_beside(facility: Facility, jack: Jack) -> str:
    """What stands behind a jack: the label that its own normal joins it to, else its own."""
    bay = facility.bays[jack.bay]
    labels = [jack_label(facility, jack) or ""]
    if len(bay.jack_rows) > 1 and bay.normal_at(jack.position) != "none":
        labels.insert(0, jack_label(facility, partner(jack)) or "")
    return next(filter(None, labels), "")


def _with_references(piece: RearNet, references: Iterable[Reference]) -> RearNet:
    sources, targets = piece.sources, piece.targets
    for reference in references:
        if reference.way == "to":
            targets = (*targets, RearEnd(reference.name, "in", None))
        else:
            sources = (*sources, RearEnd(reference.name, "out", None))
    return RearNet(piece.name, sources, targets, piece.through, piece.addresses)


def _cord_references(
    bench: Bench, sheet: Mapping[str, int], number: int
) -> tuple[CordReference, ...]:
    """The jacks here of cords whose other end is on another sheet, or on none."""
    facility = bench.plan.subject.facility
    far: dict[Jack, int] = {}
    for cord in bench.plan.subject.plugs.cords:
        one, other = (sheet.get(bench.node_of_jack[jack], ELSEWHERE) for jack in cord.ends)
        if one == number != other:
            far[cord.ends[1]] = other
        if other == number != one:
            far[cord.ends[0]] = one
    return tuple(
        CordReference(
            jack,
            mate,
            jack_name(facility, jack),
            far_beside(facility, jack) if mate == ELSEWHERE else "",
        )
        for jack, mate in far.items()
    )
