"""Every mistake a file can hold: where it is told, in which words, and its right neighbour passes.

The rules are those of the file format; each case is a file with one mistake, what is told of it,
and the nearest file without it.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from slinediag.file.read import parse
from slinediag.problems import FileErrors

BASE = """\
slinediag: 1
facility: {name: Plant}
equipment:
  PLY: {name: Player, outputs: [L, R]}
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  MON: {name: Monitor, inputs: [L, R]}
bays:
  PB1: {name: One, positions: 12}
  PB2: {name: Two, rows: 1, positions: 8}
"""


class Case(NamedTuple):
    name: str
    wrong: str
    told: str
    right: str


def plant(value: str) -> str:
    """The file with another ``facility``."""
    return BASE.replace("{name: Plant}", value)


def monitor(value: str) -> str:
    """The file with another box MON."""
    return BASE.replace("{name: Monitor, inputs: [L, R]}", value)


def bay(value: str) -> str:
    """The file with another bay PB1."""
    return BASE.replace("{name: One, positions: 12}", value)


def points(value: str) -> str:
    """The file with points in bay PB1."""
    return bay(f"{{name: One, positions: 12, points: {value}}}")


CASES = [
    Case(
        "version other",
        BASE.replace("slinediag: 1", "slinediag: 2"),
        '1:12: slinediag: this program reads version 1 of the format, not "2". Write slinediag: 1, or use a newer slinediag',
        BASE,
    ),
    Case(
        "version missing",
        BASE.replace("slinediag: 1\n", ""),
        "1:1: slinediag: the key slinediag is missing. Begin the file with slinediag: 1",
        BASE,
    ),
    Case(
        "facility missing",
        "slinediag: 1\n",
        "1:1: facility: the key facility is missing. Add facility: {name: …}",
        "slinediag: 1\nfacility: {name: A}\n",
    ),
    Case(
        "name missing",
        plant("{owner: X}"),
        "2:11: facility: the key name is missing. Give the facility its name: name: …",
        plant("{name: X}"),
    ),
    Case(
        "name blank",
        plant('{name: " "}'),
        "2:18: facility.name: this may not be empty. Give the facility its name: name: …",
        plant('{name: "no"}'),
    ),
    Case(
        "unknown section",
        BASE + "equipments: {}\n",
        "10:1: equipments: this key is not known here. Did you mean equipment?",
        BASE,
    ),
    Case(
        "unknown key",
        monitor("{name: M, lable: X}"),
        "6:18: equipment.MON.lable: this key is not known here. Did you mean label?",
        monitor("{name: M, label: X}"),
    ),
    Case(
        "unknown port key",
        monitor("{name: M, inputs: {L: {impedence: 600}}}"),
        "6:31: equipment.MON.inputs.L.impedence: this key is not known here. Did you mean impedance?",
        monitor("{name: M, inputs: {L: {impedance: 600}}}"),
    ),
    Case(
        "repeated key",
        monitor("{name: M, label: A, label: B}"),
        "6:28: equipment.MON.label: this key stands here twice, first in line 6. Keep one of them",
        monitor('{name: M, label: "label"}'),
    ),
    Case(
        "repeated id",
        BASE + "mults:\n  A: [PB1.T1]\n  A: [PB1.T2]\n",
        "12:3: mults.A: this key stands here twice, first in line 11. Keep one of them",
        BASE + "mults:\n  A: [PB1.T1]\n  B: [PB1.T2]\n",
    ),
    Case(
        "merge key",
        monitor("{name: M, <<: {label: X}}"),
        "6:18: equipment.MON: merge keys (<<) are not read. Write the keys out, or use an alias for a whole value",
        plant('{name: X, abbreviations: {"<<": X}}'),
    ),
    Case(
        "section type",
        BASE + "cords: {from: PB1.T1, to: PB1.T2}\n",
        "10:8: cords: a list is wanted here, not a mapping (key: value). Write [first, second]",
        BASE + "cords: [{from: PB1.T1, to: PB1.T2}]\n",
    ),
    Case(
        "item type",
        monitor("[L, R]"),
        "6:8: equipment.MON: a mapping (key: value) is wanted here, not a list. Write key: value",
        monitor("{name: M}"),
    ),
    Case(
        "text type",
        monitor("{name: [M]}"),
        "6:15: equipment.MON.name: one text is wanted here, not a list. Write one text",
        monitor("{name: M}"),
    ),
    Case(
        "id not legal",
        BASE + "mults:\n  1A: [PB1.T1]\n",
        '11:3: mults.1A: "1A" cannot be an id. An id is a letter, then letters, digits, _ and -',
        BASE + "mults:\n  A-1_b: [PB1.T1]\n",
    ),
    Case(
        "port id not legal",
        monitor("{name: M, inputs: [L in]}"),
        '6:27: equipment.MON.inputs: "L in" cannot be a port id. A port id is letters, digits, _ and -',
        monitor("{name: M, inputs: [L_in, 1-2]}"),
    ),
    Case(
        "port id twice",
        monitor("{name: M, inputs: [L, R, L]}"),
        "6:33: equipment.MON.inputs: the port id L stands here twice. Give each port an id of its own",
        monitor("{name: M, inputs: [L, R], outputs: [L]}"),
    ),
    Case(
        "id shared",
        BASE + "  MON: {name: Bay}\n",
        "10:3: bays.MON: the id MON is that of equipment as well. Give one of them another id",
        BASE + "  Mon: {name: Bay}\n",
    ),
    Case(
        "not a number",
        monitor("{name: M, defaults: {level: loud}}"),
        '6:36: equipment.MON.defaults.level: "loud" is not a number. Write a number, as 4, -10 or 0.6',
        monitor("{name: M, defaults: {level: 1e1}}"),
    ),
    Case(
        "decimal comma",
        monitor('{name: M, defaults: {level: "0,5"}}'),
        '6:36: equipment.MON.defaults.level: "0,5" is not a number. Did you mean 0.5?',
        monitor("{name: M, defaults: {level: 0.5}}"),
    ),
    Case(
        "minus sign",
        monitor("{name: M, defaults: {level: −10}}"),
        '6:36: equipment.MON.defaults.level: "−10" is not a number. Did you mean -10?',
        monitor("{name: M, defaults: {level: -10}}"),
    ),
    Case(
        "unit behind",
        monitor("{name: M, defaults: {level: 4 dBu}}"),
        '6:36: equipment.MON.defaults.level: "4 dBu" is not a number. Write the number without its unit: 4',
        monitor("{name: M, defaults: {level: +4}}"),
    ),
    Case(
        "not finite",
        monitor("{name: M, defaults: {level: .inf}}"),
        '6:36: equipment.MON.defaults.level: ".inf" is not a number. Write a number, as 4, -10 or 0.6',
        monitor("{name: M, defaults: {level: .5}}"),
    ),
    Case(
        "too large",
        monitor("{name: M, defaults: {impedance: 1e999}}"),
        '6:40: equipment.MON.defaults.impedance: "1e999" is not a number. Write a number, as 4, -10 or 0.6',
        monitor("{name: M, defaults: {impedance: 1e3}}"),
    ),
    Case(
        "impedance zero",
        monitor("{name: M, defaults: {impedance: 0}}"),
        "6:40: equipment.MON.defaults.impedance: 0 is out of range. Write a number from 0.001 to 1000000000",
        monitor("{name: M, defaults: {impedance: 0.1}}"),
    ),
    Case(
        "priority zero",
        monitor("{name: M, priority: 0}"),
        "6:28: equipment.MON.priority: 0 is out of range. Write a number from 1 to 1000",
        monitor("{name: M, priority: 1}"),
    ),
    Case(
        "priority fraction",
        monitor("{name: M, priority: 1.5}"),
        '6:28: equipment.MON.priority: "1.5" is not a whole number. Write a whole number from 1 to 1000',
        monitor("{name: M, priority: 01}"),
    ),
    Case(
        "positions 97",
        bay("{name: B, positions: 97}"),
        "8:29: bays.PB1.positions: 97 is out of range. Write a number from 1 to 96",
        bay("{name: B, positions: 96}"),
    ),
    Case(
        "rows 3",
        bay("{name: B, rows: 3}"),
        "8:24: bays.PB1.rows: 3 is out of range. Write a number from 1 to 2",
        bay("{name: B, rows: 2}"),
    ),
    Case(
        "truth word",
        monitor("{name: M, earthed: yes}"),
        '6:27: equipment.MON.earthed: "yes" is neither true nor false. Write true, without quotes',
        monitor("{name: M, earthed: true}"),
    ),
    Case(
        "truth quoted",
        monitor('{name: M, earthed: "true"}'),
        '6:27: equipment.MON.earthed: "true" is neither true nor false. Write true, without quotes',
        monitor("{name: M, earthed: ~}"),
    ),
    Case(
        "date",
        plant("{name: P, date: 1.3.2026}"),
        '2:27: facility.date: "1.3.2026" is not a date. Write year-month-day, as 2026-03-01',
        plant("{name: P, date: 2026-03-01}"),
    ),
    Case(
        "no such day",
        plant("{name: P, date: 2026-02-30}"),
        "2:27: facility.date: the calendar has no day 2026-02-30. Write year-month-day, as 2026-03-01",
        plant("{name: P, date: 2024-02-29}"),
    ),
    Case(
        "word",
        bay("{name: B, normal: halve}"),
        '8:26: bays.PB1.normal: "halve" is not known here. Did you mean half?',
        bay("{name: B, normal: half}"),
    ),
    Case(
        "word far",
        bay("{name: B, sleeves: xyz}"),
        '8:27: bays.PB1.sleeves: "xyz" is not known here. Write single, rows, all, pairs or switched',
        bay("{name: B, sleeves: switched}"),
    ),
    Case(
        "unknown owner",
        points("{1: {top: PYL.L}}"),
        "8:53: PB1.T1: there is no equipment or bay PYL. Did you mean PLY.L?",
        points("{1: {top: PLY.L}}"),
    ),
    Case(
        "unknown port",
        points("{1: {top: PLY.M}}"),
        "8:53: PB1.T1: equipment PLY has no port M. PLY has L, R",
        points("{1: {top: PLY.R}}"),
    ),
    Case(
        "no address",
        points("{1: {top: PLY L}}"),
        '8:53: PB1.T1: "PLY L" is not an address. Did you mean PLY.L?',
        points("{1: {top: PLY.L}}"),
    ),
    Case(
        "no address far",
        points("{1: {top: somewhere}}"),
        '8:53: PB1.T1: "somewhere" is not an address. Write a port as EQUIPMENT.PORT',
        points("{1: {top: ~}}"),
    ),
    Case(
        "false suffix",
        points("{1: {top: PLY.L:in}}"),
        "8:53: PB1.T1: PLY.L is not an input of PLY. Write PLY.L or PLY.L:out",
        points("{1: {top: PLY.L:out}}"),
    ),
    Case(
        "wire to jack",
        points("{1: {top: PB2.T1}}"),
        "8:53: PB1.T1: PB2.T1 is a jack; a port is wanted here. A tie line from jack to jack stands under lines: TL1: {from: JACK, to: JACK}",
        BASE + "lines: {TL: {from: PB1.T1, to: PB2.T1}}\n",
    ),
    Case(
        "wire without to",
        points("{1: {top: {cable: S1}}}"),
        "8:53: PB1.T1: the key to is missing. Say what is wired here: to: EQUIPMENT.PORT",
        points("{1: {top: {to: PLY.L, cable: S1}}}"),
    ),
    Case(
        "jack range",
        BASE + "plugs: [PB1.T13]\n",
        "10:9: plugs[1]: bay PB1 has 12 positions; there is no PB1.T13. The last one is PB1.T12",
        BASE + "plugs: [PB1.T12]\n",
    ),
    Case(
        "row B of one",
        BASE + "plugs: [PB2.B1]\n",
        "10:9: plugs[1]: bay PB2 has one row, T; there is no PB2.B1. Write PB2.T1, or set rows: 2",
        BASE + "plugs: [PB2.T1]\n",
    ),
    Case(
        "jack small",
        BASE + "plugs: [PB1.t3]\n",
        "10:9: plugs[1]: PB1.t3 is not a jack. Did you mean PB1.T3?",
        BASE + "plugs: [PB1.T3]\n",
    ),
    Case(
        "jack zeros",
        BASE + "plugs: [PB1.T03]\n",
        "10:9: plugs[1]: PB1.T03 is not a jack. Did you mean PB1.T3?",
        BASE + "plugs: [PB1.T3]\n",
    ),
    Case(
        "jack suffix",
        BASE + "plugs: [PB1.T3:out]\n",
        "10:9: plugs[1]: PB1.T3:out: a jack has no :out. Write PB1.T3",
        BASE + "plugs: [PB1.T3]\n",
    ),
    Case(
        "port as jack",
        BASE + "plugs: [PLY.L]\n",
        "10:9: plugs[1]: PLY.L is a port; a jack is wanted here. Write a jack as BAY.T1 (top) or BAY.B1 (bottom)",
        BASE + "plugs: [{jack: PB1.T1}]\n",
    ),
    Case(
        "bottom of one row",
        BASE.replace(
            "rows: 1, positions: 8", "rows: 1, positions: 8, points: {1: {bottom: PLY.L}}"
        ),
        "9:64: bays.PB2.points.1.bottom: bay PB2 has one row, top. Delete it, or set rows: 2",
        BASE.replace("rows: 1, positions: 8", "rows: 1, positions: 8, points: {1: {top: PLY.L}}"),
    ),
    Case(
        "port twice",
        points("{1: {top: PLY.L}, 2: {top: PLY.L}}"),
        "8:70: PB1.T2: the output PLY.L is wired twice: at PB1.T1 (line 8) and at PB1.T2 (line 8). To split an output use a mult or a distribution amplifier",
        points("{1: {top: LIM.L}, 2: {bottom: LIM.L}}"),
    ),
    Case(
        "input twice",
        points("{1: {bottom: MON.L}, 2: {bottom: MON.L}}"),
        "8:76: PB1.B2: the input MON.L is wired twice: at PB1.B1 (line 8) and at PB1.B2 (line 8). Keep one of the two wires",
        points("{1: {bottom: MON.L}, 2: {bottom: MON.R}}"),
    ),
    Case(
        "port line twice",
        points("{1: {top: PLY.L}}") + "lines: {D: {from: PLY.L, to: MON.L}}\n",
        "10:19: lines.D.from: the output PLY.L is wired twice: at PB1.T1 (line 8) and by line D (line 10). To split an output use a mult or a distribution amplifier",
        points("{1: {top: PLY.L}}") + "lines: {D: {from: PLY.R, to: MON.L}}\n",
    ),
    Case(
        "jack twice",
        points("{1: {top: PLY.L}}") + "lines: {TL: {from: PB1.T1, to: PB2.T1}}\n",
        "10:20: lines.TL.from: the jack PB1.T1 is wired twice: at PB1.T1 (line 8) and by line TL (line 10). A jack has one rear wire or tie line; to tie jacks in parallel use mults",
        points("{1: {top: PLY.L}}") + "lines: {TL: {from: PB1.B1, to: PB2.T1}}\n",
    ),
    Case(
        "line onto itself",
        BASE + "lines: {D: {from: PB1.T1, to: PB1.T1}}\n",
        "10:12: lines.D: a line cannot run from PB1.T1 to itself. Name two ends",
        BASE + "lines: {D: {from: LIM.L, to: LIM.L}}\n",
    ),
    Case(
        "line mixed",
        BASE + "lines: {D: {from: PLY.L, to: PB1.T1}}\n",
        "10:12: lines.D: a line runs from port to port or from jack to jack, not from PLY.L:out to PB1.T1. Wire PLY.L:out at its position: top of PB1.T1",
        BASE + "lines: {D: {from: PLY.L, to: MON.L}}\n",
    ),
    Case(
        "line end missing",
        BASE + "lines: {D: {from: PLY.L}}\n",
        "10:12: lines.D: the key to is missing. Say where it ends: to: …",
        BASE + "lines: {D: {from: PLY.L, to: LIM.L}}\n",
    ),
    Case(
        "mult twice",
        BASE + "mults: {A: [PB1.T1, PB1.T1]}\n",
        "10:21: mults.A: the jack PB1.T1 stands twice under mults: in A (line 10) and in A (line 10). Keep it in one of them",
        BASE + "mults: {A: [PB1.T1, PB1.B1]}\n",
    ),
    Case(
        "two mults",
        BASE + "mults: {A: [PB1.T1, PB1.T2], B: [PB1.T2]}\n",
        "10:34: mults.B: the jack PB1.T2 stands twice under mults: in A (line 10) and in B (line 10). Keep it in one of them",
        BASE + "mults: {A: [PB1.T1], B: [PB1.T2]}\n",
    ),
    Case(
        "cross twice",
        BASE + "normals:\n  - {from: PB1.T1, to: PB1.B2}\n  - {from: PB1.T3, to: PB1.B2}\n",
        "12:24: normals[2]: two normals across positions end at the jack PB1.B2: PB1.T1=PB1.B2 (line 11) and PB1.T3=PB1.B2 (line 12). Only one can take its break contacts; keep one",
        BASE + "normals:\n  - {from: PB1.T1, to: PB1.B2}\n  - {from: PB1.T1, to: PB1.B3}\n",
    ),
    Case(
        "cross itself",
        BASE + "normals: [{from: PB1.T1, to: PB1.T1}]\n",
        "10:11: normals[1]: a normal cannot run from PB1.T1 to itself. Name two jacks",
        BASE + "normals: [{from: PB1.T1, to: PB1.T2}]\n",
    ),
    Case(
        "cross reverse",
        BASE + "normals: [{from: PB1.T1, to: PB1.B2, kind: reverse-half}]\n",
        "10:44: normals[1].kind: a reverse-half across positions is a half the other way. Exchange from and to, and write kind: half",
        BASE + "normals: [{from: PB1.T1, to: PB1.B2, kind: parallel}]\n",
    ),
    Case(
        "cross none",
        BASE + "normals: [{from: PB1.T1, to: PB1.B2, kind: none}]\n",
        "10:44: normals[1].kind: a normal of kind none joins nothing. Delete the entry; for a position without a normal write normal: none there",
        BASE + "normals: [{from: PB1.T1, to: PB1.B2, kind: full}]\n",
    ),
    Case(
        "two plugs",
        BASE + "cords:\n  - {from: PB1.T1, to: PB1.B2}\nplugs: [PB1.B2]\n",
        "12:9: plugs[1]: the jack PB1.B2 holds two plugs: the cord PB1.T1=PB1.B2 (line 11) and a dummy plug (line 12). A jack holds one plug; move one of them",
        BASE + "cords:\n  - {from: PB1.T1, to: PB1.B2}\nplugs: [PB1.T2]\n",
    ),
    Case(
        "two cords",
        BASE + "cords:\n  - {from: PB1.T1, to: PB1.B2}\n  - {from: PB1.T5, to: PB1.T1}\n",
        "12:24: cords[2]: the jack PB1.T1 holds two plugs: the cord PB1.T1=PB1.B2 (line 11) and the cord PB1.T5=PB1.T1 (line 12). A jack holds one plug; move one of them",
        BASE + "cords:\n  - {from: PB1.T1, to: PB1.B2}\n  - {from: PB1.T5, to: PB1.T6}\n",
    ),
    Case(
        "cord itself",
        BASE + "cords: [{from: PB1.T1, to: PB1.T1}]\n",
        "10:9: cords[1]: a cord cannot run from PB1.T1 to itself. Name two jacks, or a dummy plug",
        BASE + "cords: [{from: PB1.T1, to: PB1.B1}]\n",
    ),
    Case(
        "cord length",
        BASE + "cords: [{from: PB1.T1, to: PB1.B1, length: 0}]\n",
        "10:44: cords[1].length: 0 is out of range. Write a number above 0 and at most 100",
        BASE + "cords: [{from: PB1.T1, to: PB1.B1, length: 0.3}]\n",
    ),
    Case(
        "straight uneven",
        monitor("{name: M, inputs: [L, R], outputs: [M], paths: straight}"),
        "6:55: equipment.MON.paths: straight needs as many inputs as outputs; inputs: 2, outputs: 1. Write OUTPUT: [INPUT, …]",
        monitor("{name: M, inputs: [L, R], outputs: [M], paths: all}"),
    ),
    Case(
        "bypass uneven",
        monitor("{name: M, inputs: [L, R], bypass: straight}"),
        "6:42: equipment.MON.bypass: straight needs as many inputs as outputs; inputs: 2, outputs: 0. Write OUTPUT: [INPUT, …]",
        monitor("{name: M, bypass: straight}"),
    ),
    Case(
        "paths word",
        monitor("{name: M, paths: strait}"),
        '6:25: equipment.MON.paths: "strait" is not known here. Did you mean straight?',
        monitor("{name: M, paths: straight}"),
    ),
    Case(
        "paths output",
        monitor("{name: M, inputs: [A], outputs: [B], paths: {C: [A]}}"),
        '6:53: equipment.MON.paths.C: there is no output "C" here. Its outputs: B',
        monitor("{name: M, inputs: [A], outputs: [B], paths: {B: [A]}}"),
    ),
    Case(
        "paths input",
        monitor("{name: M, inputs: [A], outputs: [B], paths: {B: [B]}}"),
        '6:57: equipment.MON.paths.B: there is no input "B" here. Its inputs: A',
        monitor("{name: M, inputs: [A], outputs: [B], bypass: {B: [A]}}"),
    ),
    Case(
        "paths no list",
        monitor("{name: M, inputs: [A], outputs: [B], paths: {B: A}}"),
        '6:56: equipment.MON.paths.B: a list is wanted here, not the text "A". Write [first, second]',
        monitor("{name: M, inputs: [A], outputs: [B], paths: {B: []}}"),
    ),
    Case(
        "pairs unknown",
        monitor("{name: M, inputs: [A, B], pairs: [[A, C]]}"),
        '6:42: equipment.MON.pairs: there is no port "C" here. Its ports: A, B',
        monitor("{name: M, inputs: [A, B], pairs: [[A, B]]}"),
    ),
    Case(
        "pairs three",
        monitor("{name: M, inputs: [A, B, C], pairs: [[A, B, C]]}"),
        "6:45: equipment.MON.pairs: a pair is two port ids, not 3. Write [left, right]",
        monitor("{name: M, inputs: [A, B, C], pairs: []}"),
    ),
    Case(
        "pair itself",
        monitor("{name: M, inputs: [A, B], pairs: [[A, A]]}"),
        "6:42: equipment.MON.pairs: A is paired with itself. Name two ports",
        monitor("{name: M, inputs: [A, B], pairs: [[B, A]]}"),
    ),
    Case(
        "pairs twice",
        monitor("{name: M, inputs: [A, B, C], pairs: [[A, B], [B, C]]}"),
        "6:53: equipment.MON.pairs: B is in two pairs. Keep one of them",
        monitor("{name: M, inputs: [A, B, C, D], pairs: [[A, B], [D, C]]}"),
    ),
    Case(
        "instead unknown",
        monitor("{name: M, inputs: {L: {instead: [PLY.Q]}}}"),
        "6:41: equipment.MON.inputs.L.instead: equipment PLY has no port Q. PLY has L, R",
        monitor("{name: M, inputs: {L: {instead: [PLY.L, LIM.L]}}}"),
    ),
    Case(
        "instead input",
        monitor("{name: M, inputs: {L: {instead: [MON.L]}}}"),
        "6:41: equipment.MON.inputs.L.instead: MON.L is an input; only an output can stand in. Name an output",
        monitor("{name: M, inputs: {L: {instead: [LIM.L:out]}}}"),
    ),
    Case(
        "instead jack",
        monitor("{name: M, inputs: {L: {instead: [PB1.T1]}}}"),
        "6:41: equipment.MON.inputs.L.instead: PB1.T1 is a jack; a port is wanted here. Name the output that is wired to it, as EQUIPMENT.PORT",
        monitor("{name: M, inputs: {L: {instead: []}}}"),
    ),
    Case(
        "instead twice",
        monitor("{name: M, inputs: {L: {instead: [PLY.L, PLY.L]}}}"),
        "6:48: equipment.MON.inputs.L.instead: PLY.L stands here twice. Keep one of them",
        monitor("{name: M, inputs: {L: {instead: [PLY.L, PLY.R]}}}"),
    ),
    Case(
        "run reversed",
        points("{8-7: {normal: full}}"),
        '8:44: bays.PB1.points.8-7: "8-7" is not a position. Did you mean 7-8?',
        points("{7-8: {normal: full}}"),
    ),
    Case(
        "run zeros",
        points("{07: {normal: full}}"),
        '8:44: bays.PB1.points.07: "07" is not a position. Did you mean 7?',
        points("{7: {normal: full}}"),
    ),
    Case(
        "run word",
        points("{seven: {normal: full}}"),
        '8:44: bays.PB1.points.seven: "seven" is not a position. Write a position, as 7, or a run, as 7-8',
        points("{7-7: {normal: full}}"),
    ),
    Case(
        "run zero",
        points("{0: {normal: full}}"),
        '8:44: bays.PB1.points.0: "0" is not a position. Write a position, as 7, or a run, as 7-8',
        points("{1: {normal: full}}"),
    ),
    Case(
        "run range",
        points("{12-13: {normal: full}}"),
        "8:44: bays.PB1.points.12-13: bay PB1 has 12 positions; there is no 13. Mend the position, or set positions (at most 96)",
        points("{11-12: {normal: full}}"),
    ),
    Case(
        "run overlap",
        points("{1-3: {normal: full}, 3: {note: x}}"),
        "8:65: bays.PB1.points.3: position 3 stands here twice, first in line 8. Keep one of them",
        points("{1-3: {normal: full}, 4: {note: x}}"),
    ),
    Case(
        "list length",
        points("{1-3: {normal: [full, half]}}"),
        "8:58: bays.PB1.points.1-3.normal: this list holds 2 values for 3 positions. Write 3 values, ~ for none, or one for all",
        points("{1-3: {normal: [full, half, ~]}}"),
    ),
    Case(
        "list at one",
        points("{1: {normal: [full]}}"),
        "8:56: bays.PB1.points.1.normal: a list is for a run of positions; this is one position. Write one value, or a run as 7-8",
        points("{1-1: {normal: [full]}}"),
    ),
    Case(
        "one wire for run",
        points("{1-2: {top: PLY.L}}"),
        "8:55: bays.PB1.points.1-2.top: one port cannot be wired to the 2 jacks of a run. Write a list of 2, ~ for none",
        points("{1-2: {top: [PLY.L, ~]}}"),
    ),
    Case(
        "cable form",
        points("{1: {top: {to: PLY.L, cable: S12/0}}}"),
        '8:72: PB1.T1.cable: "S12/0" is neither a cable nor a pair of one. Write a cable\'s id, as S12, or a pair, as S12/3',
        points("{1: {top: {to: PLY.L, cable: S12/3}}}"),
    ),
    Case(
        "cable pair range",
        points("{1: {top: {to: PLY.L, cable: S/5}}}") + "cables: {S: {pairs: 4}}\n",
        "8:72: PB1.T1.cable: cable S has 4 pairs; there is no S/5. The last one is S/4",
        points("{1: {top: {to: PLY.L, cable: S/4}}}") + "cables: {S: {pairs: 4}}\n",
    ),
    Case(
        "pair twice",
        points("{1: {top: {to: PLY.L, cable: S/1}}, 2: {top: {to: PLY.R, cable: S/1}}}"),
        "8:107: PB1.T2.cable: the pair S/1 is used twice: at PB1.T1 (line 8) and at PB1.T2 (line 8). Give each line a pair of its own",
        points("{1: {top: {to: PLY.L, cable: S/1}}, 2: {top: {to: PLY.R, cable: S/2}}}"),
    ),
    Case(
        "cord_lengths",
        plant("{name: P, cord_lengths: [0.3, long]}"),
        '2:41: facility.cord_lengths[2]: "long" is not a number. Write a number, as 4, -10 or 0.6',
        plant("{name: P, cord_lengths: [0.3, 1]}"),
    ),
    Case(
        "notes unset",
        plant("{name: P, notes: [~]}"),
        "2:29: facility.notes[1]: one text is wanted here, not nothing. Write one text",
        plant('{name: P, notes: ["~"]}'),
    ),
    Case(
        "short form",
        plant("{name: P, abbreviations: {PROGRAMME: }}"),
        "2:37: facility.abbreviations.PROGRAMME: the short form is missing. Write word: SHORT",
        plant("{name: P, abbreviations: {PROGRAMME: PGM}}"),
    ),
    Case(
        "rule missing",
        plant("{name: P, accept: [{where: PB1.T1}]}"),
        "2:30: facility.accept[1]: the key rule is missing. Name the rule that is accepted: rule: …",
        plant("{name: P, accept: [{rule: shield-loop, where: PB1.T1}]}"),
    ),
    Case(
        "limit",
        plant("{name: P, limits: {loss: -1}}"),
        "2:36: facility.limits.loss: -1 is out of range. Write a number from 0 to 1000000",
        plant("{name: P, limits: {loss: 0}}"),
    ),
    Case(
        "key a list",
        BASE + "racks: {[a]: {}}\n",
        "10:9: racks: a key must be a text, not a list. Name the key",
        BASE + "racks: {a: {}}\n",
    ),
    Case(
        "key unset",
        BASE + "racks: {~: {}}\n",
        "10:9: racks: a key must be a text, not nothing. Name the key",
        BASE + 'racks: {"~": {}}\n',
    ),
    Case(
        "control escape",
        plant('{name: "a\\0b"}'),
        "2:18: facility.name: the text holds the character U+0000, which cannot be printed. Delete it",
        plant('{name: "a\\tb"}'),
    ),
    Case(
        "endless",
        plant("{name: " + "x" * 10_001 + "}"),
        "2:18: facility.name: the text has 10,001 letters. Write at most 10,000",
        plant("{name: " + "x" * 10_000 + "}"),
    ),
    Case(
        "tag python",
        plant("{name: !!python/name:os.system x}"),
        "2:18: !!python/name:os.system: a tag has no place here. Delete the tag; a facility file holds only text, lists and mappings",
        plant("{name: !!str x}"),
    ),
    Case(
        "tag own",
        plant("{name: !mine x}"),
        "2:18: !mine: a tag has no place here. Delete the tag; a facility file holds only text, lists and mappings",
        plant("{name: ! x}"),
    ),
    Case(
        "alias unknown",
        plant("{name: *x}"),
        "2:18: *x: no anchor &x stands above. Put &x before the value it stands for, above this line",
        plant("{name: &x X, owner: *x}"),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_mistake_is_told_where_it_is_and_its_right_neighbour_passes(case: Case) -> None:
    with pytest.raises(FileErrors) as caught:
        parse(case.wrong.encode(), "plant.yaml")
    assert [problem.text() for problem in caught.value.errors] == [case.told]
    parse(case.right.encode(), "plant.yaml")


def test_all_mistakes_are_told_in_the_order_of_the_file() -> None:
    text = (
        BASE.replace("Plant", "~")
        + "cords: [{from: PB1.T1, to: PB9.T1, length: x}]\nplugs: [PB1.T99]\n"
    )
    text = text.replace("rows: 1", "rows: 7").replace("[L, R], paths", "[L, R, C], paths")
    with pytest.raises(FileErrors) as caught:
        parse(text.encode(), "plant.yaml")
    told = [(problem.line, problem.where) for problem in caught.value.errors]
    assert told == [
        (2, "facility"),
        (5, "equipment.LIM.paths"),
        (9, "bays.PB2.rows"),
        (10, "cords[1]"),
        (10, "cords[1].length"),
        (11, "plugs[1]"),
    ]


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("PLY: {name: Player, outputs: [L, R]}", "PLY: {name: Player, outputs: L}"),
        ("PLY: {name: Player, outputs: [L, R]}", "PLY: {name: Player, ouputs: [L, R]}"),
        ("PLY: {name: Player, outputs: [L, R]}", "PLY: {name: Player, outputs: [], outputs: [L]}"),
        ("PLY: {name: Player, outputs: [L, R]}", "PLY: {name: Player, <<: {outputs: [L, R]}}"),
        ("PLY: {name: Player, outputs: [L, R]}", "PLY: [L, R]"),
        ("  PLY:", "  PLY: {name: Other}\n  PLY:"),
        ("PB2: {name: Two, rows: 1, positions: 8}", "PB2: {name: Two, positions: many}"),
        ("PB2: {name: Two, rows: 1, positions: 8}", "PB2: {name: Two, postions: 60}"),
        ("PB2: {name: Two, rows: 1, positions: 8}", "PB2: {name: Two, rows: 5}"),
        ("PB2: {name: Two, rows: 1, positions: 8}", "PB2: two"),
    ],
)
def test_one_mistake_brings_no_others_behind_it(right: str, wrong: str) -> None:
    text = points("{1: {top: PLY.L}}") + "plugs: [PB2.T56]\n"
    text = text.replace("positions: 8", "positions: 60") if "PLY" in right else text
    with pytest.raises(FileErrors) as caught:
        parse(text.replace(right, wrong).encode(), "plant.yaml")
    assert len(caught.value.errors) == 1
