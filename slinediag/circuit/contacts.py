"""The contact table: how each normal is wired, and from that alone what a plug does to it.

A jack has a tip and a ring spring and two break contacts, tip normal and ring normal. With no
plug each spring rests on its break contact; a plug lifts both. Both legs are wired alike, so one
table serves for both. Source: the make/break contacts of normalled jackfields, common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum
from typing import NamedTuple

from slinediag.model.bay import NormalKind


class Contact(IntEnum):
    """Where a normal is soldered at a jack; the value is the offset of the contact's tip node."""

    SPRING = 0
    BREAK = 2


class Wiring(NamedTuple):
    """The contacts a normal joins: at its source jack and at its target jack."""

    source: Contact
    target: Contact


WIRING: Mapping[NormalKind, Wiring] = {
    "full": Wiring(Contact.BREAK, Contact.BREAK),
    "half": Wiring(Contact.SPRING, Contact.BREAK),
    "reverse-half": Wiring(Contact.BREAK, Contact.SPRING),
    "parallel": Wiring(Contact.SPRING, Contact.SPRING),
}


def broken_by_source(kind: NormalKind) -> bool:
    """Whether a plug in the source jack breaks a normal of this kind."""
    return kind != "none" and WIRING[kind].source is Contact.BREAK


def broken_by_target(kind: NormalKind) -> bool:
    """Whether a plug in the target jack breaks a normal of this kind."""
    return kind != "none" and WIRING[kind].target is Contact.BREAK
