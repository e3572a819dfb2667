"""Small, densely wired facilities from a seed: what a search for patches is hardest put to."""

from __future__ import annotations

import random

from slinediag.address import Jack, PortAddress
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
    Rack,
)

KINDS = ("half", "half", "half", "half", "full", "full", "reverse-half", "parallel", "none")


FEW, DESKS = (1, 1, 1, 2), (1, 2, 3, 3)
"""How many inputs processors have: those of three and more mix."""


def dense_facility(seed, positions=4, inputs=FEW):
    """Sources, processors, splitters and listeners on two bays, with all that joins them."""
    dice = random.Random(seed)
    equipment = _equipment(dice, inputs)
    bays = {name: _bay(dice, name, positions) for name in ("A1", "A2")}
    bare = Facility(Practice("Dense"), equipment=equipment, bays=bays)
    jacks = list(bare.jacks)
    dice.shuffle(jacks)
    points, spare = _points(dice, bare, jacks)
    bays = {
        name: Bay(
            **{**{k: getattr(bay, k) for k in bay.__dataclass_fields__}, "points": points[name]}
        )
        for name, bay in bays.items()
    }
    lines, mults = {}, {}
    if len(spare) >= 2 and dice.random() < 0.6:
        lines["L1"] = Line(
            "L1", spare.pop(), spare.pop(), swapped=dice.random() < 0.2, cable="K9/1"
        )
    if dice.random() < 0.5:
        mults["M1"] = Mult("M1", tuple(dice.sample(jacks, dice.randint(2, 4))))
    cross = _cross_normals(dice, bare)
    front = list(jacks)
    dice.shuffle(front)
    cords = tuple(Cord(front.pop(), front.pop()) for _ in range(dice.choice([0, 0, 1, 1, 2])))
    plugs = (Plug(front.pop()),) if dice.random() < 0.25 else ()
    return Facility(
        Practice("Dense", cord_lengths=dice.choice([(), (0.4, 0.6, 1.0)])),
        racks={
            "R1": Rack("R1", "Room", 0.0, 20),
            "R2": Rack("R2", dice.choice(["Room", "Other"]), 0.6, 20),
        },
        equipment=equipment,
        bays=bays,
        cross_normals=cross,
        mults=mults,
        lines=lines,
        cords=cords,
        plugs=plugs,
    )


def _equipment(dice, inputs):
    made = {}
    for n in range(dice.randint(1, 3)):
        keys = PortKeys(
            standby=True if dice.random() < 0.15 else None,
            level=dice.choice([None, None, None, -50.0, 0.0]),
            impedance=dice.choice([None, 600.0]),
        )
        made[f"S{n}"] = Equipment(f"S{n}", f"Source {n}", outputs=(Port("O", "out", keys),))
    for n in range(dice.randint(2, 4)):
        ins = tuple(Port(f"I{k}", "in") for k in range(dice.choice(inputs)))
        outs = tuple(
            Port(f"O{k}", "out", PortKeys(origin=True if dice.random() < 0.1 else None))
            for k in range(dice.choice([1, 1, 2]))
        )
        bypass = "all" if dice.random() < 0.2 else None
        made[f"P{n}"] = Equipment(
            f"P{n}", f"Processor {n}", inputs=ins, outputs=outs, paths="all", bypass=bypass
        )
    sources = [PortAddress(f"S{n}", "O", "out") for n in range(1)]
    for n in range(dice.randint(1, 3)):
        keys = PortKeys(
            instead=tuple(sources) if dice.random() < 0.3 else None,
            impedance=dice.choice([None, 600.0, 10000.0]),
        )
        made[f"D{n}"] = Equipment(
            f"D{n}",
            f"Destination {n}",
            inputs=(Port("I", "in", keys),),
            priority=dice.choice([None, 1, 2]),
        )
    return made


def _bay(dice, name, positions):
    return Bay(
        name,
        f"Bay {name}",
        positions=positions,
        place=dice.choice([None, "R1", "R1", "R2"]),
        unit=dice.choice([None, 10, 12]),
    )


def _points(dice, bare, jacks):
    """Wires in the usual order (outputs above, inputs below) for most, anywhere for the rest."""
    ports = [*bare.outputs(), *bare.inputs()]
    dice.shuffle(ports)
    # A row's wires start where those of the other do, so that normals join outputs to inputs.
    tops = sorted(
        (j for j in jacks if j.row == "T"), key=lambda j: jacks.index(j._replace(row="T"))
    )
    bottoms = [j._replace(row="B") for j in tops]
    wires = {}
    for port in ports:
        row = tops if (port.side == "out") == (dice.random() < 0.9) else bottoms
        if row:
            swapped = dice.random() < 0.1
            cable = dice.choice([None, "K1/1", "K1/2", "K2"])
            wires[row.pop()] = Wire(port, cable=cable, swapped=swapped)
    points = {bay: {} for bay in bare.bays}
    for bay in bare.bays.values():
        for n in range(1, bay.width + 1):
            points[bay.id][n] = BayPoint(
                top=wires.get(Jack(bay.id, "T", n)),
                bottom=wires.get(Jack(bay.id, "B", n)),
                normal=dice.choice(KINDS),
            )
    return points, [*tops, *bottoms]


def _cross_normals(dice, bare):
    found = []
    for _ in range(dice.choice([0, 1, 1, 2])):
        source, target = dice.sample(list(bare.jacks), 2)
        if target not in {f.target for f in found}:
            found.append(
                CrossNormal(source, target, dice.choice([None, "half", "full", "parallel"]))
            )
    return tuple(found)


def a_failure(facility, seed):
    """A failure to go with a seed: boxes, bays and cables by id; processors most often."""
    dice = random.Random(seed)
    boxes, bays, cables = [], [], []
    kind = dice.random()
    if kind < 0.75:
        boxes.append(
            dice.choice([b for b in facility.equipment if b[0] == "P" or dice.random() < 0.15])
        )
    elif kind < 0.85:
        bays.append(dice.choice(list(facility.bays)))
    else:
        cables.append(dice.choice(["K1", "K1/1", "K2", "K9"]))
    if dice.random() < 0.2 and not boxes:
        boxes.append(dice.choice(list(facility.equipment)))
    return boxes, bays, cables
