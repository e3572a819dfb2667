"""What each thing on the chart is and where it goes, in plain words, for those who hear a chart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from slinediag.address import Address, Jack, PortAddress, jack_order, natural
from slinediag.chart.plugs import HungCord, Plugs
from slinediag.chart.subject import Position
from slinediag.circuit.contacts import broken_by_source, broken_by_target
from slinediag.drawing.marks import Ref
from slinediag.model.equipment import Equipment, Port
from slinediag.model.facility import Facility, Normal
from slinediag.model.labels import jack_label, jack_name, labelled_jack, port_label

NormalsAt = Mapping[Jack, tuple[Normal, ...]]
Cables = Mapping[Address, Sequence[tuple[Address, str]]]
"""By an end: the other ends that cables lead to, and the cables."""


def normals_by_jack(facility: Facility) -> NormalsAt:
    """The normals soldered at each jack that has any, in natural order."""
    found: dict[Jack, list[Normal]] = {}
    for normal in facility.normals:
        for jack in (normal.source, normal.target):
            found.setdefault(jack, []).append(normal)
    for normals in found.values():
        # Most jacks have one, and a trial asks again with every drop of a cord.
        if len(normals) > 1:
            normals.sort(key=lambda n: (jack_order(n.source), jack_order(n.target)))
    return {jack: tuple(normals) for jack, normals in found.items()}


def equipment_words(box: Equipment, *, failed: bool) -> str:
    """Equipment: its place and state, its ports, its caution and note."""
    told = [f"Equipment at {box.place}" if box.place else "Equipment, place not filed"]
    if box.state:
        told.append(f"State: {box.state}")
    if failed:
        passes = (
            "passes nothing on, except through its bypass"
            if box.bypass_ways
            else "passes nothing on"
        )
        told.append(f"Taken as failed: {passes}")
    told += _ports("Inputs", box, box.inputs)
    told += _ports("Outputs", box, box.outputs)
    if box.caution:
        told.append(f"Caution: {box.caution}")
    if box.note:
        told.append(box.note)
    return _sentences(told)


def _ports(what: str, box: Equipment, ports: tuple[Port, ...]) -> Iterator[str]:
    if ports:
        labels = (box.facts[port.id, port.side].label or port.id for port in ports)
        yield f"{what}: {', '.join(labels)}"


def point_words(facility: Facility, at: NormalsAt, position: Position) -> str:
    """A position: what its strip says, and what a plug in each of its jacks does."""
    bay = facility.bays[position.bay]
    point = bay.point(position.number)
    jacks = [Jack(bay.id, row, position.number) for row in bay.jack_rows]
    told = [f"{j.row}: {label}" for j in jacks if (label := jack_label(facility, j))]
    strip = f"Strip, {'; '.join(told)}" if told else "Strip without labels"
    plugs = (f"A plug in {jack_name(facility, j)} {_acts(facility, at, j)}" for j in jacks)
    return _sentences((strip, *plugs, *((point.note,) if point.note else ())))


def _acts(facility: Facility, at: NormalsAt, jack: Jack) -> str:
    """What a plug in a jack does to the normals at it, by the contact table."""
    acts: list[str] = []
    for normal in at.get(jack, ()):
        away = normal.source == jack
        breaks = broken_by_source(normal.kind) if away else broken_by_target(normal.kind)
        other = jack_name(facility, normal.target if away else normal.source)
        acts.append(
            f"{'breaks' if breaks else 'taps'} the normal {'to' if away else 'from'} {other}"
        )
    return " and ".join(acts) or "meets no normal"


def normal_state(facility: Facility, plugs: Plugs, normal: Normal, *, silent: bool) -> str:
    """A normal: between which labels it runs, and whether a plug breaks or taps it."""
    ends = (_called(facility, normal.source), _called(facility, normal.target))
    told = [f"From {ends[0]} to {ends[1]}"]
    breaking, tapping = plugs.breaking(normal), plugs.tapping(normal)
    if breaking:
        told.append(f"Broken by the plug in {_jacks(facility, breaking)}")
    else:
        told.append("Closed")
    if tapping:
        told.append(f"Tapped by the plug in {_jacks(facility, tapping)}")
    if silent:
        told.append("Falls silent under this trial")
    return _sentences(told)


def cables_by_end(facility: Facility) -> Cables:
    """The cables filed, by the end that each wire or line is filed at, in natural order."""
    found: dict[Address, list[tuple[Address, str]]] = {}
    for jack, wire in facility.wires.items():
        if wire.cable:
            found.setdefault(jack, []).append((wire.to, wire.cable))
    for line in sorted(facility.lines.values(), key=lambda line: natural(line.id)):
        if line.cable:
            found.setdefault(line.source, []).append((line.target, line.cable))
    return found


def line_words(
    facility: Facility,
    cables: Cables,
    ends: tuple[Iterable[Address], Iterable[Address]],
    *,
    silent: bool,
) -> str:
    """A line by the labels at its ends, the cables it runs in, and whether it falls silent."""
    froms, tos = tuple(ends[0]), tuple(ends[1])
    told = [
        f"From {', '.join(_called(facility, a) for a in froms)} "
        f"to {', '.join(_called(facility, a) for a in tos)}"
    ]
    named = _cables_between(cables, (*froms, *tos))
    if named:
        told.append(f"{'Cable' if len(named) == 1 else 'Cables'} {', '.join(named)}")
    if silent:
        told.append("Falls silent under this trial")
    return _sentences(told)


def _cables_between(cables: Cables, ends: tuple[Address, ...]) -> list[str]:
    """The cables between these ends, each once, in the order of the ends."""
    reached = frozenset(ends)
    return list(
        dict.fromkeys(
            cable for end in ends for other, cable in cables.get(end, ()) if other in reached
        )
    )


def cord_ref(facility: Facility, cord: HungCord) -> Ref:
    """What the group of a cord stands for."""
    title = f"{cord.name[0].upper()}{cord.name[1:]}"
    return Ref(("hung",), title=title, desc=cord_words(facility, cord))


def cord_words(facility: Facility, cord: HungCord) -> str:
    """A cord: why it hangs there, between which labels, its note, since when, by whom."""
    kind = {
        "standing": "Standing cord, left in by intent",
        "trial": "Cord of the trial",
        "pulled": "Standing cord, pulled by the trial",
    }
    ends = tuple(_called(facility, jack) for jack in cord.ends)
    told = [kind[cord.standing], f"From {ends[0]} to {ends[1]}"]
    if cord.feedback:
        told.append("Danger: feedback")
    filed = next((c for c in facility.cords if {c.source, c.target} == set(cord.ends)), None)
    if filed is not None and cord.standing != "trial":
        told += [filed.note] if filed.note else []
        told += [f"Since {filed.since.isoformat()}"] if filed.since else []
        told += [f"By {filed.by}"] if filed.by else []
    return _sentences(told)


def _jacks(facility: Facility, jacks: Iterable[Jack]) -> str:
    return " and in ".join(jack_name(facility, jack) for jack in jacks)


def _called(facility: Facility, address: Address) -> str:
    """A jack by its name and label, a port by its label."""
    if isinstance(address, PortAddress):
        return port_label(facility, address)
    return labelled_jack(facility, address)


def _sentences(told: Iterable[str]) -> str:
    return " ".join(f"{words[0].upper()}{words[1:].rstrip('.')}." for words in told if words)
