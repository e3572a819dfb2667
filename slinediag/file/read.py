"""From a facility file to its facility: every mistake told, or a document.

The steps: bytes → text (``source``) → nodes (``compose``) → equipment and bays (``boxes``,
``panels``), which make the register of addresses → all that joins them (``wiring``) → what is
taken twice (``claims``).
"""

from __future__ import annotations

import os
from dataclasses import dataclass

from slinediag.file.boxes import read_boxes, with_stands
from slinediag.file.claims import Uses
from slinediag.file.compose import Refused, compose
from slinediag.file.keys import Keys
from slinediag.file.mistakes import Mistakes
from slinediag.file.nodes import Mapping, Places, Scalar, kind, shortened
from slinediag.file.panels import read_panels, read_points
from slinediag.file.practice import read_cables, read_practice, read_racks
from slinediag.file.register import Register, Resolver
from slinediag.file.source import Source, decode, read_bytes, refusal
from slinediag.file.wiring import WiringReader
from slinediag.model.facility import Facility, Practice
from slinediag.problems import FileErrors, Problem

VERSION = "1"
SECTIONS = (
    "slinediag", "facility", "racks", "equipment", "bays", "normals", "mults", "lines", "cables",
    "cords", "plugs",
)  # fmt: skip
BEGIN = "Begin the file with slinediag: 1"


@dataclass(frozen=True, slots=True, eq=False)
class Document:
    """A facility file as read: its bytes and nodes, the facility, and notes that are no errors.

    ``name`` is the path it was loaded from, or what its bytes were called.
    """

    name: str
    data: bytes
    source: Source
    root: Mapping
    facility: Facility
    notes: tuple[Problem, ...]


def load(path: str | os.PathLike[str]) -> Document:
    """Read a facility file; FileErrors with every mistake in it, in the order of the file."""
    name = os.fsdecode(path)
    return parse(read_bytes(name), name)


def parse(text_bytes: bytes, name: str) -> Document:
    """Read the bytes of a facility file called ``name``; FileErrors as in ``load``."""
    source = decode(text_bytes, name)
    places = Places(source.text)
    mistakes = Mistakes(places)
    try:
        root = compose(source.text, places)
    except Refused as refused:
        raise FileErrors([refused.problem], name) from None
    if root is None or (isinstance(root, Scalar) and root.unset):
        raise refusal(name, "the file is empty", BEGIN)
    if not isinstance(root, Mapping):
        what = f"a facility file is a mapping (key: value), not {kind(root)}"
        mistakes.error(root, "", what, BEGIN)
        raise FileErrors(mistakes.errors, name)
    facility = read_facility(root, mistakes)
    if mistakes.errors:
        raise FileErrors(mistakes.errors, name)
    return Document(name, text_bytes, source, root, facility, mistakes.notes)


def read_facility(root: Mapping, mistakes: Mistakes) -> Facility:
    """The facility of a root node; it holds only what could be read where there are mistakes."""
    sections = Keys(root, "", mistakes, SECTIONS)
    check_version(sections)
    header = sections.required("facility", "Add facility: {name: …}")
    register = Register()
    boxes = read_boxes(sections.value("equipment"), register, mistakes)
    panels = read_panels(sections.value("bays"), register, mistakes)
    cables = read_cables(sections.value("cables"), mistakes)
    resolver, uses = Resolver(register, mistakes), Uses(cables, mistakes)
    equipment = {name: with_stands(read, resolver) for name, read in boxes.items()}
    bays = {name: read_points(panel, resolver, uses) for name, panel in panels.items()}
    wiring = WiringReader(resolver, uses)
    facility = Facility(
        practice=Practice("") if header is None else read_practice(header, mistakes),
        racks=read_racks(sections.value("racks"), mistakes),
        equipment=equipment,
        bays=bays,
        cross_normals=wiring.normals(sections.value("normals"), bays),
        mults=wiring.mults(sections.value("mults")),
        lines=wiring.lines(sections.value("lines")),
        cables=cables,
        cords=wiring.cords(sections.value("cords")),
        plugs=wiring.plugs(sections.value("plugs")),
    )
    uses.judge()
    return facility


def check_version(sections: Keys) -> None:
    """Refuse a file of another version of the format, or of none."""
    node = sections.required("slinediag", BEGIN)
    if node is None or (isinstance(node, Scalar) and node.text == VERSION):
        return
    shown = shortened(node.text) if isinstance(node, Scalar) else kind(node)
    what = f"this program reads version 1 of the format, not {shown}"
    sections.mistakes.error(node, "slinediag", what, "Write slinediag: 1, or use a newer slinediag")
