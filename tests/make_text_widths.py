"""Makes resources/text_widths.json from the bundled fonts: run it only when the fonts change.

The table holds, for the regular and the bold, blocks of neighbouring code points as
[first code point, advances, tops, bottoms] in font units, tops and bottoms of the ink above and
below the baseline. Format of the font tables: ISO/IEC 14496-22 (OpenType): head, hhea, hmtx,
cmap format 4, loca, glyf.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from pathlib import Path

RESOURCES = Path(__file__).resolve().parents[1] / "resources"
FACES = {"regular": "LiberationSans-Regular.ttf", "bold": "LiberationSans-Bold.ttf"}
PRIVATE_USE = range(0xE000, 0xF900)

Block = tuple[int, list[int], list[int], list[int]]


class Font:
    """The few tables of a TrueType font file that hold widths and extents of glyphs."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        (count,) = struct.unpack_from(">H", data, 4)
        records = (struct.unpack_from(">4sLLL", data, 12 + 16 * i) for i in range(count))
        self.tables = {tag.decode(): start for tag, _, start, _ in records}

    def read(self, form: str, table: str, offset: int) -> tuple[int, ...]:
        """Whole numbers of this big-endian form at this offset of a table."""
        return struct.unpack_from(">" + form, self.data, self.tables[table] + offset)

    @property
    def units(self) -> int:
        """Font units to the em."""
        return self.read("H", "head", 18)[0]

    def advance(self, glyph: int) -> int:
        """The advance width of a glyph."""
        (count,) = self.read("H", "hhea", 34)
        return self.read("H", "hmtx", 4 * min(glyph, count - 1))[0]

    def extent(self, glyph: int) -> tuple[int, int]:
        """Bottom and top of a glyph's ink; zeros for one without ink."""
        long_offsets = self.read("h", "head", 50)[0] == 1
        if long_offsets:
            start, end = self.read("LL", "loca", 4 * glyph)
        else:
            start, end = (2 * offset for offset in self.read("HH", "loca", 2 * glyph))
        if start == end:
            return 0, 0
        _, _, bottom, _, top = self.read("5h", "glyf", start)
        return bottom, top

    def characters(self) -> Iterator[tuple[int, int]]:
        """Code points and their glyphs, ascending, from the cmap subtable of format 4."""
        (count,) = self.read("H", "cmap", 2)
        offsets = [self.read("HHL", "cmap", 4 + 8 * i)[2] for i in range(count)]
        base = next(at for at in offsets if self.read("H", "cmap", at)[0] == 4)
        (doubled,) = self.read("H", "cmap", base + 6)
        columns = [
            self.read(f"{doubled // 2}{form}", "cmap", base + 14 + step * doubled + pad)
            for step, pad, form in ((0, 0, "H"), (1, 2, "H"), (2, 2, "h"), (3, 2, "H"))
        ]
        offsets_at = base + 16 + 3 * doubled
        for i, (last, first, delta, offset) in enumerate(zip(*columns, strict=True)):
            for code in range(first, min(last, 0xFFFE) + 1):
                glyph = code
                if offset:
                    place = offsets_at + 2 * i + offset + 2 * (code - first)
                    (glyph,) = self.read("H", "cmap", place)
                if (glyph or not offset) and (found := (glyph + delta) & 0xFFFF):
                    yield code, found


def blocks(font: Font) -> list[Block]:
    """The font's characters outside the private use area, in blocks of neighbours."""
    made: list[Block] = []
    for code, glyph in font.characters():
        if code in PRIVATE_USE:
            continue
        if not made or code != made[-1][0] + len(made[-1][1]):
            made.append((code, [], [], []))
        bottom, top = font.extent(glyph)
        for column, value in zip(made[-1][1:], (font.advance(glyph), top, bottom), strict=True):
            column.append(value)
    return made


def table() -> str:
    """The whole table as compact JSON."""
    fonts = {face: Font((RESOURCES / "fonts" / name).read_bytes()) for face, name in FACES.items()}
    content: dict[str, object] = {face: blocks(font) for face, font in fonts.items()}
    content["em"] = fonts["regular"].units
    # The OS/2 table's capital height, at offset 88.
    content["capitals"] = fonts["regular"].read("h", "OS/2", 88)[0]
    return json.dumps(content, separators=(",", ":"), sort_keys=True) + "\n"


if __name__ == "__main__":
    (RESOURCES / "text_widths.json").write_text(table(), encoding="ascii")
