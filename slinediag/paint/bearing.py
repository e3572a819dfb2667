"""What a file of drawings bears unseen: one JSON object of named values, put in and read back.

In SVG it stands in the metadata, as an element of a namespace of its own; ``binding`` puts it,
packed, into a PDF. Nothing here knows what the values mean.
"""

from __future__ import annotations

import base64
import binascii
import json
import zlib
from collections.abc import Iterable
from pathlib import Path
from xml.etree import ElementTree
from xml.parsers import expat

from slinediag.drawing.marks import Drawing

NAMESPACE = "urn:x-slinediag:standing"
"""Of the element in SVG; "x-" because it is registered nowhere (RFC 3406)."""
ELEMENT = "standing"
MOST = 20_000_000
"""Characters that are read of it; no drawing bears as many."""
CHUNK = 65_536


class Unreadable(Exception):
    """A file is not what its ending says, or too broken to look into."""


def together(drawings: Iterable[Drawing]) -> str:
    """All that drawings bear as one JSON object, what several have once; empty for nothing."""
    found = {name: value for drawing in drawings for name, value in drawing.bears}
    values = (f"{json.dumps(name)}:{value}" for name, value in found.items())
    return f"{{{','.join(values)}}}" if found else ""


def svg_element(drawing: Drawing) -> ElementTree.Element | None:
    """What an SVG of this drawing has in its metadata; None for nothing."""
    text = together([drawing])
    if not text:
        return None
    made = ElementTree.Element(ELEMENT, {"xmlns": NAMESPACE})
    made.text = text
    return made


def borne_by_svg(path: Path) -> str:
    """What an SVG bears, empty if nothing; OSError, Unreadable.

    Read no further than that, and nothing that the file declares is followed.
    """
    looking = _Looking()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = looking.start
    parser.EndElementHandler = looking.end
    parser.CharacterDataHandler = looking.take
    parser.EntityDeclHandler = looking.refuse
    try:
        with path.open("rb") as file:
            while not looking.done and (chunk := file.read(CHUNK)):
                parser.Parse(chunk)
            if not looking.done:
                parser.Parse(b"", True)
    except expat.ExpatError:
        if not looking.done:
            raise Unreadable from None
    return "".join(looking.found)


class _Looking:
    """Takes down the text of the first element of ours, and is done after it."""

    def __init__(self) -> None:
        self.found: list[str] = []
        self.done = False
        self._inside = False
        self._length = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        del attributes
        self._inside = not self.done and name == f"{NAMESPACE} {ELEMENT}"

    def end(self, name: str) -> None:
        """An element ends."""
        del name
        self.done = self.done or self._inside
        self._inside = False

    def take(self, text: str) -> None:
        """Text, in pieces."""
        if self._inside:
            self.found.append(text)
            self._length += len(text)
            if self._length > MOST:
                raise Unreadable

    def refuse(self, *declared: object) -> None:
        """An entity: no drawing of ours has one, and some are made to swell without end."""
        del declared
        raise Unreadable


def packed(text: str) -> str:
    """A text in fewer characters, all of them ASCII."""
    return base64.b64encode(zlib.compress(text.encode(), 9)).decode("ascii")


def unpacked(text: str) -> str:
    """The text that was packed; Unreadable where it is none, or far too large."""
    stream = zlib.decompressobj()
    try:
        found = stream.decompress(base64.b64decode(text, validate=True), MOST)
        if not stream.eof:
            raise Unreadable
        return found.decode()
    except (ValueError, binascii.Error, zlib.error):
        raise Unreadable from None
