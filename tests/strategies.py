"""Random facilities and trials for property tests: small, densely wired, with all there is."""

from __future__ import annotations

from hypothesis import strategies as st

from slinediag.address import Jack
from slinediag.model.bay import Bay, BayPoint, Wire
from slinediag.model.equipment import Equipment, Port, PortKeys
from slinediag.model.facility import (
    Cord,
    CrossNormal,
    Facility,
    Line,
    Mult,
    Plug,
    Practice,
)
from slinediag.tracing.values import Trial

KINDS = ("full", "half", "reverse-half", "parallel", "none")


@st.composite
def boxes(draw, most=5):
    """Equipment with up to three ports a side, paths, bypasses and origins at random."""
    made = {}
    for number in range(draw(st.integers(1, most))):
        name = f"E{number + 1}"
        outs = [f"O{n}" for n in range(draw(st.integers(0, 3)))]
        ins = [f"I{n}" for n in range(draw(st.integers(0, 3)))]
        ways = st.lists(st.sampled_from(ins), unique=True) if ins else st.just([])
        paths = tuple((o, tuple(w)) for o in outs if (w := draw(ways)))
        bypass = tuple((o, tuple(w)) for o in outs if (w := draw(ways))) if draw(BOOL) else ()
        made[name] = Equipment(
            id=name,
            name=f"Box {number + 1}",
            outputs=tuple(Port(o, "out", draw(output_keys())) for o in outs),
            inputs=tuple(Port(i, "in") for i in ins),
            paths=paths or None,
            bypass=bypass or None,
            state=draw(st.sampled_from([None, None, None, None, "spare", "removed"])),
        )
    return made


BOOL = st.booleans()


@st.composite
def output_keys(draw):
    """Port keys of an output: now and then an origin, or a standby one."""
    return PortKeys(
        origin=draw(st.sampled_from([None, None, True])),
        standby=draw(st.sampled_from([None, None, True])),
    )


@st.composite
def facilities(draw, positions=5):
    """A facility of two bays with wires, lines, ties, mults, normals, cords and dummy plugs."""
    equipment = draw(boxes())
    bays = {
        name: Bay(
            id=name,
            name=f"Bay {name}",
            positions=draw(st.integers(1, positions)),
            rows=draw(st.sampled_from([None, None, None, 1])),
            normal=draw(st.sampled_from([None, *KINDS])),
        )
        for name in ("A1", "A2")
    }
    bare = Facility(Practice("Random"), equipment=equipment, bays=bays)
    jacks = list(draw(st.permutations(bare.jacks)))
    ports = list(draw(st.permutations([*bare.outputs(), *bare.inputs()])))
    wires = {}
    for port in ports[: len(ports) * 3 // 4]:
        if len(wires) < len(jacks):
            wires[jacks[len(wires)]] = Wire(
                port, swapped=draw(st.sampled_from([False, False, True]))
            )
    rear_free, ports_free = jacks[len(wires) :], ports[len(ports) * 3 // 4 :]
    lines = draw(some_lines(rear_free, ports_free))
    points = draw(some_points(bays, wires))
    bays = {name: Bay(**{**vars_of(bay), "points": points[name]}) for name, bay in bays.items()}
    front = list(draw(st.permutations(bare.jacks)))
    cords, plugs = [], []
    for _ in range(draw(st.integers(0, 2))):
        if len(front) >= 2:
            cords.append(Cord(front.pop(), front.pop()))
    if front and draw(BOOL):
        plugs.append(Plug(front.pop()))
    return Facility(
        Practice("Random"),
        equipment=equipment,
        bays=bays,
        cross_normals=draw(some_cross_normals(bare.jacks)),
        mults=draw(some_mults(bare.jacks)),
        lines=lines,
        cords=tuple(cords),
        plugs=tuple(plugs),
    )


def vars_of(bay):
    """The filed fields of a bay."""
    return {name: getattr(bay, name) for name in bay.__dataclass_fields__}


@st.composite
def some_lines(draw, jacks, ports):
    """Tie lines between free jacks and direct lines from free outputs to free inputs."""
    ends = list(jacks)
    lines = []
    for _ in range(draw(st.integers(0, 2))):
        if len(ends) >= 2:
            lines.append((ends.pop(), ends.pop()))
    outs = [p for p in ports if p.side == "out"]
    ins = [p for p in ports if p.side == "in"]
    lines += list(zip(outs, ins, strict=False))[: draw(st.integers(0, 2))]
    return {
        f"L{n}": Line(f"L{n}", one, other, swapped=draw(BOOL))
        for n, (one, other) in enumerate(lines)
    }


@st.composite
def some_points(draw, bays, wires):
    """Points that carry the wires, with normals of their own now and then."""
    points = {}
    for bay in bays.values():
        mine = {}
        for n in range(1, bay.width + 1):
            point = BayPoint(
                top=wires.get(Jack(bay.id, "T", n)),
                bottom=wires.get(Jack(bay.id, "B", n)),
                normal=draw(st.sampled_from([None, *KINDS])) if bay.rows != 1 else None,
            )
            if point != BayPoint():
                mine[n] = point
        points[bay.id] = mine
    return points


@st.composite
def some_cross_normals(draw, jacks):
    """Up to two normals across positions, no two ending at one jack."""
    found = []
    for _ in range(draw(st.integers(0, 2))):
        pair = draw(st.permutations(jacks))[:2]
        if len(pair) == 2 and pair[1] not in {f.target for f in found}:
            kind = draw(st.sampled_from([None, "half", "full", "parallel"]))
            found.append(CrossNormal(pair[0], pair[1], kind))
    return tuple(found)


@st.composite
def some_mults(draw, jacks):
    """At most one mult of two or three jacks."""
    if len(jacks) < 3 or not draw(BOOL):
        return {}
    return {"M1": Mult("M1", tuple(draw(st.permutations(jacks))[: draw(st.integers(2, 3))]))}


@st.composite
def trials(draw, facility):
    """A trial that can be done: pulls of what is in, cords and plugs in what is free then."""
    pulled = [(c.source, c.target) for c in facility.cords if draw(BOOL)]
    out = [p.jack for p in facility.plugs if draw(BOOL)]
    held = {j for c in facility.cords for j in (c.source, c.target)}
    held |= {p.jack for p in facility.plugs}
    held -= {j for c in pulled for j in c} | set(out)
    free = [j for j in draw(st.permutations(facility.jacks)) if j not in held]
    cords = []
    for _ in range(draw(st.integers(0, 3))):
        if len(free) >= 2:
            cords.append((free.pop(), free.pop()))
    plugs = [free.pop()] if free and draw(BOOL) else []
    failed = [b for b in facility.equipment if draw(st.sampled_from([False, False, True]))]
    return Trial(tuple(cords), tuple(pulled), tuple(out), tuple(plugs), tuple(failed))
