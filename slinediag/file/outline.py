"""From a facility to plain values: what its file says, key by key, in the order of the format."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from slinediag.address import Address, Jack, Side
from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.model.bay import EMPTY_POINT, Bay, BayPoint, Wire
from slinediag.model.equipment import Equipment, Paths, Port, PortKeys
from slinediag.model.facility import (
    Acceptance,
    Cable,
    Cord,
    CrossNormal,
    Facility,
    Limits,
    Line,
    Plug,
    Practice,
    Rack,
    Revision,
)

Setting = str | float | bool | datetime.date | Plain


def outline(facility: Facility) -> Table:
    """The whole file as plain values; sections that hold nothing are left out."""
    spell = Speller(facility)
    sections: dict[str, Plain] = {
        "slinediag": Word("1"),
        "facility": practice_table(facility.practice),
        "racks": section({r.id: rack_table(r) for r in facility.racks.values()}),
        "equipment": section({e.id: box_table(e, spell) for e in facility.equipment.values()}),
        "bays": section({b.id: bay_table(b, spell) for b in facility.bays.values()}),
        "normals": tuple(cross_table(c) for c in facility.cross_normals) or None,
        "mults": section(
            {m.id: tuple(Word(str(j)) for j in m.jacks) for m in facility.mults.values()}
        ),
        "lines": section({n.id: line_table(n, spell) for n in facility.lines.values()}),
        "cables": section({c.id: cable_table(c) for c in facility.cables.values()}),
        "cords": tuple(cord_table(c) for c in facility.cords) or None,
        "plugs": tuple(plug_table(p) for p in facility.plugs) or None,
    }
    return Table({key: value for key, value in sections.items() if value is not None}, spread=True)


def section(rows: dict[str, Plain]) -> Table | None:
    """A section of items by id; None where it is empty."""
    return Table(rows, spread=True) if rows else None


class Speller:
    """Spells addresses as the place they stand at allows: a suffix only where it is needed."""

    def __init__(self, facility: Facility) -> None:
        self._sides = {
            box.id: {p.id for p in box.outputs} & {p.id for p in box.inputs}
            for box in facility.equipment.values()
        }

    def __call__(self, address: Address, place: Side) -> Word:
        """The address at a place whose own side is ``place``."""
        if isinstance(address, Jack):
            return Word(str(address))
        short = f"{address.equipment}.{address.port}"
        if address.port in self._sides.get(address.equipment, ()) and address.side != place:
            return Word(str(address))
        return Word(short, (str(address),))


def word(value: Setting) -> Plain:
    """A value as a word: numbers without needless zeros, dates as ISO 8601."""
    if value is None or isinstance(value, (Text, Word, Table, Points, tuple)):
        return value
    if isinstance(value, bool):
        return Word("true" if value else "false")
    if isinstance(value, datetime.date):
        return Word(value.isoformat())
    if isinstance(value, float):
        return Word(repr(value).removesuffix(".0"))
    return Word(str(value))


def text(value: str | None) -> Text | None:
    """A text, if there is one."""
    return None if value is None else Text(value)


def texts(values: Iterable[str]) -> Plain:
    """A list of texts; None where it is empty."""
    return tuple(Text(value) for value in values) or None


def table(short: str = "", spread: bool = False, /, **rows: Setting) -> Table:
    """The table of the keys that are set; a final _ of a key's name is left out."""
    set_rows = {key.removesuffix("_"): word(value) for key, value in rows.items()}
    kept = {key: value for key, value in set_rows.items() if value is not None}
    return Table(kept, short=short, spread=spread)


def filled(found: Table) -> Table | None:
    """The table, None where it is empty."""
    return found if found.rows else None


def practice_table(practice: Practice) -> Table:
    """The ``facility`` section."""
    words = practice.abbreviations
    return table(
        "",
        True,
        name=text(practice.name),
        owner=text(practice.owner),
        drawing=text(practice.drawing),
        revision=text(practice.revision),
        date=practice.date,
        drawn_by=text(practice.drawn_by),
        checked_by=text(practice.checked_by),
        approved_by=text(practice.approved_by),
        notes=texts(practice.notes),
        revisions=tuple(revision_table(r) for r in practice.revisions) or None,
        shields=practice.shields,
        cord_lengths=tuple(word(length) for length in practice.cord_lengths) or None,
        abbreviations=filled(Table({key: Text(short) for key, short in words.items()})),
        limits=filled(limits_table(practice.limits)),
        accept=tuple(acceptance_table(a) for a in practice.accept) or None,
    )


def revision_table(row: Revision) -> Table:
    """One row of the revision table."""
    return table(revision=text(row.revision), date=row.date, by=text(row.by), what=text(row.what))


def limits_table(limits: Limits) -> Table:
    """The figures that checks use."""
    return table(
        loss=limits.loss,
        treble=limits.treble,
        mismatch=limits.mismatch,
        cord_age=limits.cord_age,
        contact=limits.contact,
        normal=limits.normal,
    )


def acceptance_table(row: Acceptance) -> Table:
    """One accepted finding."""
    return table(
        rule=text(row.rule),
        where=text(row.where),
        reason=text(row.reason),
        by=text(row.by),
        date=row.date,
    )


def rack_table(rack: Rack) -> Table:
    """One place of ``racks``."""
    return table(room=text(rack.room), x=rack.x, units=rack.units)


def box_table(box: Equipment, spell: Speller) -> Table:
    """One piece of equipment."""
    return table(
        name=text(box.name),
        label=text(box.label),
        place=text(box.place),
        outputs=ports_table(box.outputs, spell),
        inputs=ports_table(box.inputs, spell),
        paths=paths_plain(box.paths),
        bypass=paths_plain(box.bypass),
        pairs=None if box.pairs is None else tuple((Text(a), Text(b)) for a, b in box.pairs),
        defaults=filled(port_table(box.defaults, spell)),
        priority=box.priority,
        earthed=box.earthed,
        drawn=box.drawn,
        caution=text(box.caution),
        state=box.state,
        note=text(box.note),
    )


def ports_table(ports: tuple[Port, ...], spell: Speller) -> Table | None:
    """The outputs or inputs."""
    rows: dict[str, Plain] = {port.id: port_table(port.keys, spell) for port in ports}
    return Table(rows, order=tuple(rows), listed=True) if rows else None


def port_table(keys: PortKeys, spell: Speller) -> Table:
    """The keys of one port."""
    return table(
        label=text(keys.label),
        level=keys.level,
        max=keys.max,
        impedance=keys.impedance,
        balanced=keys.balanced,
        drive=keys.drive,
        phantom=keys.phantom,
        priority=keys.priority,
        origin=keys.origin,
        standby=keys.standby,
        instead=None if keys.instead is None else tuple(spell(p, "out") for p in keys.instead),
    )


def paths_plain(paths: Paths | None) -> Plain:
    """Paths or bypass: a word, or a table from output id to input ids."""
    if paths is None or isinstance(paths, str):
        return word(paths)
    rows: dict[str, Plain] = {out: tuple(Text(i) for i in sources) for out, sources in paths}
    return Table(rows, order=tuple(rows))


def bay_table(bay: Bay, spell: Speller) -> Table:
    """One bay with its points."""
    points = {n: point_table(p, spell) for n, p in bay.points.items() if p != EMPTY_POINT}
    return table(
        "",
        True,
        name=text(bay.name),
        label=text(bay.label),
        style=bay.style,
        positions=bay.positions,
        rows=bay.rows,
        numbering=bay.numbering,
        first=bay.first,
        place=text(bay.place),
        unit=bay.unit,
        normal=bay.normal,
        sleeves=bay.sleeves,
        earthed=bay.earthed,
        normals_out=bay.normals_out,
        terminations=bay.terminations,
        pitch=bay.pitch,
        window=bay.window,
        offset=bay.offset,
        note=text(bay.note),
        points=Points(dict(sorted(points.items()))) if points else None,
    )


def point_table(point: BayPoint, spell: Speller) -> Table:
    """One position."""
    return table(
        top=wire_table(point.top, "out", spell),
        bottom=wire_table(point.bottom, "in", spell),
        normal=point.normal,
        label_top=text(point.label_top),
        label_bottom=text(point.label_bottom),
        group=text(point.group),
        state=point.state,
        note=text(point.note),
    )


def wire_table(wire: Wire | None, place: Side, spell: Speller) -> Table | None:
    """The wire at a jack."""
    if wire is None:
        return None
    to = spell(wire.to, place)
    return table(
        "to", to=to, cable=text(wire.cable), shield=wire.shield, swapped=wire.swapped or None
    )


def cross_table(cross: CrossNormal) -> Table:
    """One normal across positions."""
    return ends_table(cross.source, cross.target, kind=cross.kind)


def ends_table(source: Jack, target: Jack, **more: Setting) -> Table:
    """What runs from a jack to a jack."""
    return table(from_=str(source), to=str(target), **more)


def line_table(line: Line, spell: Speller) -> Table:
    """One direct line or tie line."""
    return table(
        from_=spell(line.source, "out"),
        to=spell(line.target, "in"),
        cable=text(line.cable),
        shield=line.shield,
        swapped=line.swapped or None,
    )


def cable_table(cable: Cable) -> Table:
    """One cable."""
    colours = cable.colours
    return table(
        type=text(cable.type),
        length=cable.length,
        capacitance=cable.capacitance,
        pairs=cable.pairs,
        colours=tuple(Text(c) for c in colours) if isinstance(colours, tuple) else text(colours),
        note=text(cable.note),
    )


def cord_table(cord: Cord) -> Table:
    """One standing cord."""
    return ends_table(
        cord.source,
        cord.target,
        length=cord.length,
        note=text(cord.note),
        since=cord.since,
        by=text(cord.by),
    )


def plug_table(plug: Plug) -> Table:
    """One dummy plug."""
    jack = str(plug.jack)
    return table("jack", jack=jack, note=text(plug.note), since=plug.since, by=text(plug.by))
