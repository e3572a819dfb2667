"""The whole of one small file, read."""

from __future__ import annotations

import datetime

from slinediag.address import Jack, PortAddress
from slinediag.file.read import parse
from slinediag.model.bay import BayPoint, Wire
from slinediag.model.equipment import PortKeys
from slinediag.model.facility import Cord, CrossNormal, Line, Mult

TEXT = b"""\
slinediag: 1
facility:
  name: Small example
  shields: bay
equipment:
  PLY: {name: Disc player, label: DISC, outputs: [L, R]}
  MIC: {name: Microphone, outputs: {O: {level: -50, impedance: 150, phantom: takes}}}
  DESK:
    name: Desk
    inputs: {M1: {level: -50, phantom: gives}, "1": {}, "2": {}}
    outputs: [PL, PR]
    paths: {PL: [M1, "1"], PR: [M1, "2"]}
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  LINK: {name: Link, priority: 1, inputs: {L: {instead: [LIM.L, PLY.L]}, R: {}}}
bays:
  PB1:
    name: Sources
    positions: 12
    points:
      1-2: {top: [PLY.L, PLY.R], bottom: [DESK.1, DESK.2]}
      3: {top: LIM.L, bottom: {to: LINK.L, cable: S1/2, swapped: true}, normal: full}
      4-5: {top: [~, LIM.R], bottom: [LIM.L, LIM.R], note: both}
      6: {top: LIM.L:in}
normals:
  - {from: PB1.T3, to: PB1.B7}
mults:
  M1: [PB1.T9, PB1.B9]
lines:
  TL1: {from: PB1.T10, to: PB1.T11, shield: from}
  D1: {from: DESK.PL, to: LINK.R}
cables:
  S1: {type: multipair, length: 12.5, pairs: 4}
cords:
  - {from: PB1.T1, to: PB1.B9, since: 2026-03-01}
plugs: [PB1.T2, {jack: PB1.B2, by: RW}]
"""


def wire(equipment: str, port: str, side: str) -> Wire:
    return Wire(PortAddress(equipment, port, "out" if side == "out" else "in"))


def test_everything_of_a_file_is_read() -> None:
    text = TEXT.replace(b"[~, LIM.R]", b"~").replace(b"[LIM.L, LIM.R]", b"[~, LIM.R]")
    facility = parse(text, "small.yaml").facility
    points = facility.bays["PB1"].points
    assert points[1] == BayPoint(wire("PLY", "L", "out"), wire("DESK", "1", "in"))
    assert points[3].top == wire("LIM", "L", "out")
    assert points[3].bottom == Wire(PortAddress("LINK", "L", "in"), "S1/2", None, True)
    assert points[4] == BayPoint(note="both")
    assert points[6].top == wire("LIM", "L", "in")
    assert facility.cross_normals == (CrossNormal(Jack("PB1", "T", 3), Jack("PB1", "B", 7)),)
    assert facility.mults == {"M1": Mult("M1", (Jack("PB1", "T", 9), Jack("PB1", "B", 9)))}
    assert facility.lines["TL1"] == Line(
        "TL1", Jack("PB1", "T", 10), Jack("PB1", "T", 11), shield="from"
    )
    assert facility.lines["D1"].target == PortAddress("LINK", "R", "in")
    assert facility.cords == (
        Cord(Jack("PB1", "T", 1), Jack("PB1", "B", 9), since=datetime.date(2026, 3, 1)),
    )
    assert [str(plug.jack) for plug in facility.plugs] == ["PB1.T2", "PB1.B2"]
    box = facility.equipment["LINK"]
    assert box.inputs[0].keys == PortKeys(
        instead=(PortAddress("LIM", "L", "out"), PortAddress("PLY", "L", "out"))
    )
    assert facility.equipment["DESK"].paths == (("PL", ("M1", "1")), ("PR", ("M1", "2")))
