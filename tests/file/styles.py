"""The same facility in the many ways that hands write it: indented or in braces, with comments,
anchors, quotes, runs, and any line ends."""

from __future__ import annotations

import random

from slinediag.file.plain import Plain, Points, Table, Text, Word
from slinediag.file.quoting import quoted, quoted_if_needed
from slinediag.file.runs import WIRES, run_table, span_key


class Hand:
    """Writes plain values as a person with changing habits would; ``dice`` decides."""

    def __init__(self, dice: random.Random, anchors: bool = True) -> None:
        self._dice = dice
        self._bind = anchors
        self._anchors: dict[str, str] = {}

    def file(self, sections: Table) -> str:
        head = self._dice.choice(["", "# a plant\n", "---\n", "%YAML 1.1\n---\n"])
        tail = self._dice.choice(["", "...\n", "# the end\n"])
        line_end = self._dice.choice(["\n", "\n", "\r\n"])
        if self._chance(0.1):
            body = self.flow(sections, 1) + "\n"
        else:
            body = "\n".join(self.block(sections, 0)) + "\n"
        text = head + body + tail
        if self._chance(0.1):
            text = text.rstrip("\n")
        return text.replace("\n", line_end)

    def block(self, value: Plain, indent: int) -> list[str]:
        """The lines of a table or list outside of brackets; it holds something."""
        lines: list[str] = []
        pad = " " * indent
        if isinstance(value, tuple):
            for item in value:
                lines += self._comments(pad)
                lines += self._below(f"{pad}-", item, indent, dash=True)
            return lines
        for key, item in self._rows(value):
            lines += self._comments(pad)
            lines += self._below(f"{pad}{key}:", item, indent, dash=False)
        return lines

    def _below(self, head: str, value: Plain, indent: int, dash: bool) -> list[str]:
        alias = self._alias(value)
        if alias is not None:
            return [f"{head} {alias}{self._remark()}"]
        if not self._fills(value) or self._chance(0.4):
            anchor = self._anchor(value)
            if (
                isinstance(value, Text)
                and anchor == ""
                and self._chance(0.1)
                and literal(value.text)
            ):
                return [
                    f"{head} |-{self._remark()}",
                    *("   " + " " * indent + t for t in value.text.split("\n")),
                ]
            if self._fills(value):
                return f"{head} {anchor}{self.parts(value, indent + 3)}{self._remark()}".split("\n")
            return [f"{head} {anchor}{self.scalar(value, False)}{self._remark()}"]
        anchor = self._anchor(value)
        step = self._dice.choice([1, 2, 2, 3])
        if isinstance(value, tuple) and not dash and self._chance(0.3):
            step = 0
        below = self.block(value, indent + step)
        if (
            dash
            and anchor == ""
            and not below[0].lstrip().startswith(("#", "&"))
            and step >= 2
            and below[0].strip()
        ):
            return [" " * indent + "-" + " " * (step - 1) + below[0].lstrip(), *below[1:]]
        return [f"{head} {anchor}".rstrip() + self._remark(), *below]

    def flow(self, value: Plain, indent: int) -> str:
        alias = self._alias(value)
        if alias is not None:
            return alias + " "
        anchor = self._anchor(value)
        return anchor + (
            self.parts(value, indent) if self._fills(value) else self.scalar(value, True)
        )

    def parts(self, value: Plain, indent: int) -> str:
        """A table or list that holds something, in brackets or braces."""
        if isinstance(value, tuple):
            return self._bracketed(
                "[", [self.flow(item, indent + 2) for item in value], "]", indent
            )
        rows = [f"{key}: {self.flow(item, indent + 2)}" for key, item in self._rows(value)]
        return self._bracketed("{", rows, "}", indent)

    def _bracketed(self, left: str, pieces: list[str], right: str, indent: int) -> str:
        style = self._dice.random()
        if style < 0.6:
            return f"{left}{', '.join(pieces)}{right}"
        if style < 0.75:
            return f"{left} {' , '.join(pieces)}, {right}"
        pad = "\n" + " " * (indent + 1)
        comment = " # each" if self._chance(0.3) else ""
        joined = "".join(f"{pad}{piece},{comment}" for piece in pieces)
        return f"{left}{joined}{pad}{right}"

    def scalar(self, value: Plain, flow: bool) -> str:
        if isinstance(value, Text):
            if (
                self._chance(0.2)
                and value.text.isprintable()
                and value.text.strip(" \u00a0\u3000") == value.text
            ):
                return "'" + value.text.replace("'", "''") + "'"
            return quoted(value.text) if self._chance(0.2) else quoted_if_needed(value.text, flow)
        if isinstance(value, Word):
            text = self._dice.choice([value.text, *value.also])
            return f'"{text}"' if self._chance(0.1) and text not in ("true", "false") else text
        if isinstance(value, Table):
            return "{}"
        return "[]" if value == () else self._dice.choice(["~", "null"])

    def _rows(self, value: Plain) -> list[tuple[str, Plain]]:
        if isinstance(value, Points):
            return self._runs(value)
        assert isinstance(value, Table)
        rows = [(quoted_if_needed(key, True), item) for key, item in value.rows.items()]
        if not value.order and self._chance(0.3):
            self._dice.shuffle(rows)
        return rows

    def _runs(self, points: Points) -> list[tuple[str, Plain]]:
        found: list[tuple[str, Plain]] = []
        positions = sorted(points.rows)
        while positions:
            first = last = positions.pop(0)
            while positions and positions[0] <= last + 2 and self._chance(0.6):
                last = positions.pop(0)
            run = [points.rows.get(n, Table()) for n in range(first, last + 1)]
            table = run_table(run)
            if len(run) > 1:
                rows = dict(table.rows)
                for key in rows:
                    if key not in WIRES and self._chance(0.3):
                        rows[key] = tuple(point.rows.get(key) for point in run)
                table = Table(rows)
            found.append((span_key(first, last), table))
        return found

    def _fills(self, value: Plain) -> bool:
        """Whether a value has parts; a table may be written by its lone value or its keys."""
        if isinstance(value, Points):
            return True
        return (isinstance(value, Table) and bool(value.rows)) or (
            isinstance(value, tuple) and value != ()
        )

    def _anchor(self, value: Plain) -> str:
        if self._bind and isinstance(value, (Text, Table)) and self._chance(0.15):
            name = f"a{len(self._anchors)}"
            self._anchors.setdefault(repr(value), name)
            return f"&{name} " if self._anchors[repr(value)] == name else ""
        return ""

    def _alias(self, value: Plain) -> str | None:
        name = self._anchors.get(repr(value))
        return f"*{name}" if name is not None and self._chance(0.6) else None

    def _comments(self, pad: str) -> list[str]:
        return self._dice.choice([[], [], [], [""], [f"{pad}# said above"], [f"{pad} # odd", ""]])

    def _remark(self) -> str:
        return self._dice.choice(["", "", "", "  # said beside"])

    def _chance(self, odds: float) -> bool:
        return self._dice.random() < odds


def literal(text: str) -> bool:
    """Whether a text can stand in a text block as it is."""
    return (
        bool(text.strip())
        and text == text.strip()
        and all(c.isprintable() or c == "\n" for c in text)
    )


def shortened(value: Plain, dice: random.Random) -> Plain:
    """Tables in their short form, here and there; a wire as an address, ports as a list."""
    if isinstance(value, Points):
        return Points(
            {
                n: t
                for n, point in value.rows.items()
                if isinstance(t := shortened(point, dice), Table)
            }
        )
    if isinstance(value, tuple):
        return tuple(shortened(item, dice) for item in value)
    if not isinstance(value, Table):
        return value
    if value.lone() is not None and dice.random() < 0.8:
        return value.lone()
    if (keys := value.bare_keys()) is not None and dice.random() < 0.8:
        return keys
    return Table({k: shortened(v, dice) for k, v in value.rows.items()}, order=value.order)
