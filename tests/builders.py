"""Facilities in a few lines, for tests.

``plant`` reads the sections of a facility file, the head left out::

    plant('''
    equipment:
      A: {name: Source, outputs: [O]}
      B: {name: Destination, inputs: [I]}
    bays:
      PB1: {name: Bay, positions: 2, points: {1: {top: A.O, bottom: B.I}}}
    ''')
"""

from __future__ import annotations

import textwrap

from slinediag.address import Jack, PortAddress
from slinediag.file.read import parse
from slinediag.model.facility import Facility

HEAD = "slinediag: 1\nfacility: {name: Test plant}\n"


def plant(sections: str, head: str = HEAD) -> Facility:
    """The facility of these sections; FileErrors where they are wrong."""
    text = head + textwrap.dedent(sections)
    return parse(text.encode(), "plant.yaml").facility


def one_normal(kind: str) -> Facility:
    """A source S.O on PB.T1, a destination D.I on PB.B1, a normal of this kind between them."""
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          D: {{name: Destination, inputs: [I]}}
          X: {{name: Other source, outputs: [O]}}
          Y: {{name: Other destination, inputs: [I]}}
        bays:
          PB:
            name: Bay
            positions: 3
            points:
              1: {{top: S.O, bottom: D.I, normal: {kind}}}
              2: {{top: X.O, normal: none}}
              3: {{bottom: Y.I, normal: none}}
        """
    )


def jack(text: str) -> Jack:
    """The jack of an address such as ``PB1.T3``."""
    bay, _, part = text.partition(".")
    return Jack(bay, "T" if part[0] == "T" else "B", int(part[1:]))


def output(text: str) -> PortAddress:
    """The output of an address such as ``LIM.L``."""
    box, _, port = text.partition(".")
    return PortAddress(box, port, "out")


def entry(text: str) -> PortAddress:
    """The input of an address such as ``LIM.L``."""
    box, _, port = text.partition(".")
    return PortAddress(box, port, "in")
