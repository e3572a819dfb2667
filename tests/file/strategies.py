"""Random facilities that a file can hold, and random changes to them."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any, get_args

from hypothesis import strategies as st

from slinediag.address import Jack, PortAddress
from slinediag.model import bay as bays
from slinediag.model import equipment as boxes
from slinediag.model import facility as plant
from slinediag.model.bay import Bay, BayPoint, Wire
from slinediag.model.equipment import Equipment, Port, PortKeys
from slinediag.model.facility import Facility

AWKWARD_TEXTS = [
    "~", "null", "no", "true", "1:12", "010", "1e3", "", " lead", "trail ", "a: b", "a #b", "# c",
    "- x", "[x]", "{y}", "&a", "*a", "!t", "%d", "@e", "`f", "'q'", '"q"', "back\\slash", "two\nlines",
    "tab\there", "é", "日本", "🎚 fader", "a\u2028b", "x\u0085y", "\ufeffz", "2026-03-01", "<<", "?", ":",
    "a,b", "Rack 3, U12", "...", "---", "=", "0x1F", ".5", "+4", "x\u00a0y", "end:", "|", ">", "\r", "q\r\nr",
]  # fmt: skip
PRINTABLE = st.characters(exclude_categories=["Cs", "Cc", "Cn"])

texts = (
    st.sampled_from(AWKWARD_TEXTS)
    | st.text(PRINTABLE, max_size=12)
    | st.text("ab :#-'", max_size=8)
)
names = texts.map(lambda t: t if t.strip() else "A name")
ids = st.from_regex(r"[A-Za-z][A-Za-z0-9_-]{0,3}", fullmatch=True)
port_ids = st.from_regex(r"[A-Za-z0-9_-]{1,3}", fullmatch=True) | st.sampled_from(
    ["L", "R", "1", "no"]
)
dates = st.dates(datetime.date(1950, 1, 1), datetime.date(2100, 1, 1))


def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | values


def floats(least: float, most: float) -> st.SearchStrategy[float]:
    return st.floats(least, most, exclude_min=True) | st.integers(int(least) + 1, int(most)).map(
        float
    )


def words(kind: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(get_args(kind))


port_keys = st.builds(
    PortKeys,
    label=maybe(texts),
    level=maybe(floats(-100, 60)),
    max=maybe(floats(-100, 60)),
    impedance=maybe(floats(0.001, 1e6)),
    balanced=maybe(st.booleans()),
    drive=maybe(words(boxes.Drive)),
    phantom=maybe(words(boxes.Phantom)),
    priority=maybe(st.integers(1, 9)),
    origin=maybe(st.booleans()),
    standby=maybe(st.booleans()),
)
few_port_keys = st.just(PortKeys()) | port_keys


@st.composite
def ports(draw: Any, side: Any) -> tuple[Port, ...]:
    found = draw(st.lists(port_ids, max_size=4, unique=True))
    return tuple(Port(port, side, draw(few_port_keys)) for port in found)


@st.composite
def paths(draw: Any, outputs: tuple[Port, ...], inputs: tuple[Port, ...]) -> Any:
    choices: list[Any] = [None, "all"]
    if len(outputs) == len(inputs):
        choices.append("straight")
    choice = draw(st.sampled_from([*choices, "mapping"]))
    if choice != "mapping":
        return choice
    own = draw(st.lists(st.sampled_from(outputs), unique=True)) if outputs else []
    return tuple(
        (
            o.id,
            tuple(p.id for p in draw(st.lists(st.sampled_from(inputs), unique=True)))
            if inputs
            else (),
        )
        for o in own
    )


@st.composite
def box(draw: Any, name: str) -> Equipment:
    outputs, inputs = draw(ports("out")), draw(ports("in"))
    known = [p.id for p in (outputs if len(outputs) > 1 else inputs)]
    pair = [(known[0], known[1])] if len(known) > 1 else []
    return Equipment(
        id=name,
        name=draw(names),
        label=draw(maybe(texts)),
        place=draw(maybe(texts)),
        outputs=outputs,
        inputs=inputs,
        paths=draw(paths(outputs, inputs)),
        bypass=draw(paths(outputs, inputs)),
        pairs=draw(st.sampled_from([None, (), tuple(pair)])),
        defaults=draw(few_port_keys),
        priority=draw(maybe(st.integers(1, 9))),
        earthed=draw(maybe(st.booleans())),
        drawn=draw(maybe(words(boxes.Drawn))),
        caution=draw(maybe(texts)),
        state=draw(maybe(words(boxes.State))),
        note=draw(maybe(texts)),
    )


@st.composite
def points(draw: Any, width: int, rows: int, free_ports: list[PortAddress]) -> dict[int, BayPoint]:
    found: dict[int, BayPoint] = {}
    for position in draw(st.lists(st.integers(1, width), max_size=8, unique=True)):
        point = BayPoint(
            top=draw(wire(free_ports)),
            bottom=draw(wire(free_ports)) if rows == 2 else None,
            normal=draw(maybe(words(bays.NormalKind))),
            label_top=draw(maybe(texts)),
            label_bottom=draw(maybe(texts)) if rows == 2 else None,
            group=draw(maybe(st.sampled_from(["A", "B"]))),
            state=draw(maybe(words(bays.PointState))),
            note=draw(maybe(st.just("same"))),
        )
        if point != BayPoint():
            found[position] = point
    return found


@st.composite
def wire(draw: Any, free_ports: list[PortAddress]) -> Wire | None:
    if not free_ports or draw(st.booleans()):
        return None
    to = free_ports.pop(draw(st.integers(0, len(free_ports) - 1)))
    if draw(st.booleans()):
        return Wire(to)
    return Wire(to, draw(maybe(ids)), draw(maybe(words(bays.Shield))), draw(st.booleans()))


@st.composite
def bay(draw: Any, name: str, free_ports: list[PortAddress]) -> Bay:
    style = draw(maybe(words(bays.Style)))
    positions = draw(maybe(st.integers(1, 96)))
    rows = draw(st.sampled_from([None, 1, 2]))
    shell = Bay(
        id=name,
        name=draw(names),
        label=draw(maybe(texts)),
        style=style,
        positions=positions,
        rows=rows,
        numbering=draw(maybe(words(bays.Numbering))),
        first=draw(maybe(st.integers(0, 200))),
        place=draw(maybe(texts)),
        unit=draw(maybe(st.integers(1, 50))),
        normal=draw(maybe(words(bays.NormalKind))),
        sleeves=draw(maybe(words(bays.Sleeves))),
        earthed=draw(maybe(st.booleans())),
        normals_out=draw(maybe(st.booleans())),
        terminations=draw(maybe(words(bays.Terminations))),
        pitch=draw(maybe(floats(0, 30))),
        window=draw(maybe(floats(0, 30))),
        offset=draw(maybe(floats(0, 30))),
        note=draw(maybe(texts)),
    )
    return replace(shell, points=draw(points(shell.width, rows or 2, free_ports)))


practices = st.builds(
    plant.Practice,
    name=names,
    owner=maybe(texts),
    drawing=maybe(texts),
    revision=maybe(texts),
    date=maybe(dates),
    drawn_by=maybe(texts),
    checked_by=maybe(texts),
    approved_by=maybe(texts),
    notes=st.lists(texts, max_size=3).map(tuple),
    revisions=st.lists(
        st.builds(plant.Revision, names, maybe(dates), maybe(texts), maybe(texts)), max_size=3
    ).map(tuple),
    shields=maybe(words(plant.ShieldPractice)),
    cord_lengths=st.lists(floats(0, 10), max_size=3).map(tuple),
    abbreviations=st.dictionaries(names, texts, max_size=3),
    limits=st.builds(
        plant.Limits, loss=maybe(floats(0, 9)), cord_age=maybe(st.integers(1, 99).map(float))
    ),
    accept=st.lists(
        st.builds(plant.Acceptance, names, maybe(texts), maybe(texts), maybe(texts), maybe(dates)),
        max_size=2,
    ).map(tuple),
)
racks = st.dictionaries(
    names, st.tuples(maybe(texts), maybe(floats(0, 90)), maybe(st.integers(1, 47))), max_size=3
)
cables = st.builds(
    plant.Cable,
    id=st.just(""),
    type=maybe(texts),
    length=maybe(floats(0, 500)),
    capacitance=maybe(floats(0, 500)),
    pairs=maybe(st.integers(1, 50)),
    colours=maybe(texts | st.lists(texts, max_size=3).map(tuple)),
    note=maybe(texts),
)


@st.composite
def facilities(draw: Any) -> Facility:
    owners = draw(st.lists(ids, max_size=6, unique=True))
    cut = draw(st.integers(0, len(owners)))
    equipment = {name: draw(box(name)) for name in owners[:cut]}
    free = [PortAddress(b.id, p.id, p.side) for b in equipment.values() for p in b.ports]
    outputs = [port for port in free if port.side == "out"]
    equipment = {n: stood_in(draw, b, outputs) for n, b in equipment.items()}
    panels = {name: draw(bay(name, free)) for name in owners[cut:]}
    jacks = [jack for panel in panels.values() for jack in (*panel.jacks(),)][:60]
    wired = {
        Jack(b.id, row, n)
        for b in panels.values()
        for n, p in b.points.items()
        for row in b.jack_rows
        if p.wire(row)
    }
    return Facility(
        practice=draw(practices),
        racks={k: plant.Rack(k, *v) for k, v in draw(racks).items()},
        equipment=equipment,
        bays=panels,
        cross_normals=draw(crosses(jacks)),
        mults=draw(mults(jacks)),
        lines=draw(lines([j for j in jacks if j not in wired], free)),
        cables={
            k: replace(c, id=k) for k, c in draw(st.dictionaries(ids, cables, max_size=3)).items()
        },
        **draw(plugs(jacks)),
    )


def stood_in(draw: Any, equipment: Equipment, outputs: list[PortAddress]) -> Equipment:
    if not outputs or not equipment.inputs or draw(st.booleans()):
        return equipment
    chosen = tuple(draw(st.lists(st.sampled_from(outputs), max_size=3, unique=True)))
    first, *others = equipment.inputs
    return replace(
        equipment, inputs=(replace(first, keys=replace(first.keys, instead=chosen)), *others)
    )


def taken(draw: Any, jacks: list[Jack], most: int) -> list[Jack]:
    return draw(st.lists(st.sampled_from(jacks), max_size=most, unique=True)) if jacks else []


@st.composite
def crosses(draw: Any, jacks: list[Jack]) -> tuple[plant.CrossNormal, ...]:
    chosen = taken(draw, jacks, 6)
    return tuple(
        plant.CrossNormal(a, b, draw(maybe(words(plant.CrossKind))))
        for a, b in zip(chosen[::2], chosen[1::2], strict=False)
    )


@st.composite
def mults(draw: Any, jacks: list[Jack]) -> dict[str, plant.Mult]:
    chosen = taken(draw, jacks, 6)
    found = {}
    for name in draw(st.lists(ids, max_size=2, unique=True)):
        count = draw(st.integers(0, len(chosen)))
        found[name], chosen = plant.Mult(name, tuple(chosen[:count])), chosen[count:]
    return found


@st.composite
def lines(draw: Any, jacks: list[Jack], free: list[PortAddress]) -> dict[str, plant.Line]:
    found = {}
    for name in draw(st.lists(ids, max_size=3, unique=True)):
        pool: list[Any] = jacks if draw(st.booleans()) else free
        if len(pool) < 2:
            continue
        source, target = (pool.pop(draw(st.integers(0, len(pool) - 1))) for _ in "ft")
        cable, shield = draw(maybe(ids)), draw(maybe(words(plant.LineShield)))
        found[name] = plant.Line(name, source, target, cable, shield, draw(st.booleans()))
    return found


@st.composite
def plugs(draw: Any, jacks: list[Jack]) -> dict[str, Any]:
    chosen = taken(draw, jacks, 7)
    cords = [
        plant.Cord(
            a,
            b,
            draw(maybe(floats(0, 9))),
            draw(maybe(texts)),
            draw(maybe(dates)),
            draw(maybe(texts)),
        )
        for a, b in zip(chosen[:4:2], chosen[1:4:2], strict=False)
    ]
    dummies = [
        plant.Plug(j, draw(maybe(texts)), draw(maybe(dates)), draw(maybe(texts)))
        for j in chosen[4:]
    ]
    return {"cords": tuple(cords), "plugs": tuple(dummies)}
