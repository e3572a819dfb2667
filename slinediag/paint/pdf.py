"""PDF by Qt: a page to each sheet, true to size, with live text that can be searched.

Importing this module loads Qt, and raises RequestError where Qt or a library it needs is missing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

from slinediag.drawing.marks import Drawing
from slinediag.geometry import to_mm
from slinediag.paint import qt
from slinediag.progress import Tell, silent, through
from slinediag.text import printable

# After slinediag.paint.qt, which says in plain words what Qt lacks.
from PySide6.QtCore import QBuffer, QHashSeed, QIODevice, QMarginsF, QSizeF  # isort: skip
from PySide6.QtGui import QPageSize, QPainter, QPdfWriter  # isort: skip

DPI = 2540  # device units of 10 µm

# Qt writes the time and a random identity into each file; the same sheets make the same bytes.
DATES = re.compile(rb"/(?:Creation|Mod)Date \([^)]*\)\n")
IDENTITY = re.compile(rb"/ID \[[^]]*\]\n")
CROSS_REFERENCE = re.compile(rb"(?<=\n)(\d{10})(?= 00000 n)")
START = re.compile(rb"(?<=startxref\n)\d+")

# What XMP (ISO 16684-1) needs for a title, and no dates.
METADATA = """<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>
"""


def pdf(drawings: Sequence[Drawing], tell: Tell = silent) -> bytes:
    """The sheets as one PDF document, in this order; at least one is needed."""
    qt.application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    title = printable(drawings[0].title)
    writer.setTitle(title)
    writer.setCreator("slinediag")
    writer.setDocumentXmpMetadata(METADATA.format(title=escape(title)).encode())
    writer.setResolution(DPI)
    writer.setPageMargins(QMarginsF())
    # Qt writes the fonts in the order of a hash whose seed it draws by lot.
    QHashSeed.setDeterministicGlobalSeed()
    try:
        _paint_pages(drawings, writer, tell)
    finally:
        QHashSeed.resetRandomGlobalSeed()
    return _without_chance(bytes(buffer.data().data()))


def _paint_pages(drawings: Sequence[Drawing], writer: QPdfWriter, tell: Tell) -> None:
    painter = QPainter()
    try:
        for drawing in through(drawings, tell, "painting pages"):
            size = QSizeF(to_mm(drawing.width), to_mm(drawing.height))
            exact = QPageSize.SizeMatchPolicy.ExactMatch
            writer.setPageSize(QPageSize(size, QPageSize.Unit.Millimeter, "", exact))
            if painter.isActive():
                writer.newPage()
            else:
                painter.begin(writer)
            painter.resetTransform()
            painter.scale(DPI / 25.4, DPI / 25.4)
            qt.paint(drawing, painter, live_text=True)
    finally:
        # Also when stopped: Qt wants no page under a painter to go.
        painter.end()


def _without_chance(document: bytes) -> bytes:
    """The document without dates and identity, its cross-references put right.

    The dates stand in the first object, so that all objects that follow move by their length.
    """
    dated = DATES.search(document)
    bare = IDENTITY.sub(b"", DATES.sub(b"", document))
    cut = sum(len(match.group()) for match in DATES.finditer(document))
    if dated is None:
        return bare

    def moved(offset: int) -> int:
        return offset - cut if offset > dated.start() else offset

    bare = CROSS_REFERENCE.sub(lambda m: b"%010d" % moved(int(m.group())), bare)
    return START.sub(lambda m: b"%d" % moved(int(m.group())), bare)
