"""A small plant for the editor's tests: two players, a limiter, a link, a standing cord."""

PLANT = """\
slinediag: 1
facility: {name: Small plant}
# what plays
equipment:
  PLY1: {name: Disc player 1, label: DISC 1, place: Rack 1, outputs: [L, R]}
  PLY2: {name: Disc player 2, label: DISC 2, outputs: [L, R]}
  LIM: {name: Limiter, inputs: [L, R], outputs: [L, R], paths: straight}
  XMIT: {name: Transmitter link, label: LINK, priority: 1, inputs: [L, R]}
  MON: {name: Loudspeakers, inputs: [L, R]}
bays:
  PB1:
    name: Sources
    positions: 12
    points:
      1-2: {top: [PLY1.L, PLY1.R], bottom: [LIM.L, LIM.R]}
      3-4: {top: [PLY2.L, PLY2.R], bottom: [MON.L, MON.R]}
  PB2:
    name: Programme
    positions: 12
    points:
      1: {top: {to: LIM.L, cable: S12/1}, bottom: XMIT.L, normal: full}
      2: {top: LIM.R, bottom: XMIT.R, normal: full}
      8: {normal: none}
cords:
  - {from: PB1.T4, to: PB2.B8, note: spare, since: 2026-03-01}
plugs:
  - PB2.T8
"""
