"""Entries taken out of a mapping or list and new ones put in, as edits of their lines."""

from __future__ import annotations

from dataclasses import dataclass

from slinediag.file.edits import Awkward, Edit, Lines

Span = tuple[int, int]
"""Start and end of an entry or item, with its key or dash."""


@dataclass(frozen=True, slots=True)
class Addition:
    """A new entry or item behind the old one of index ``behind`` (-1: before all).

    ``flow`` is its text in brackets or braces, ``block`` its lines outside of them.
    """

    behind: int
    flow: str
    block: list[str]


def block_edits(
    lines: Lines, spans: list[Span], gone: list[int], added: list[Addition]
) -> list[Edit]:
    """Edits outside of brackets: whole lines go and come. Awkward where a line is shared."""
    edits = []
    for index in gone:
        start, end = spans[index]
        if not lines.begins(start):
            raise Awkward
        edits.append(Edit(lines.start(start), lines.after(end), ""))
    for new in added:
        if new.behind < 0 and not lines.begins(spans[0][0]):
            raise Awkward
        at = lines.start(spans[0][0]) if new.behind < 0 else lines.after(spans[new.behind][1])
        edits.append(Edit(at, at, lines.join(new.block)))
    return edits


def flow_edits(
    lines: Lines, spans: list[Span], gone: list[int], added: list[Addition]
) -> list[Edit]:
    """Edits in brackets or braces, commas included. Awkward where nothing of the old would stay."""
    kept = [index for index in range(len(spans)) if index not in set(gone)]
    if not kept:
        raise Awkward
    edits = [cut(lines, spans, first, last) for first, last in stretches(gone)]
    places = sorted({last_kept(kept, new.behind) for new in added})
    for behind in places:
        texts = [new.flow for new in added if last_kept(kept, new.behind) == behind]
        edits += put(lines, spans, behind, texts)
    return edits


def last_kept(kept: list[int], behind: int) -> int:
    """The last index that stays, up to one; -1 where none does."""
    return max((index for index in kept if index <= behind), default=-1)


def cut(lines: Lines, spans: list[Span], first: int, last: int) -> Edit:
    """Take neighbours out of brackets or braces: whole lines where they fill them."""
    (start, _), (_, end) = spans[first], spans[last]
    if lines.begins(start) and lines.closes(end):
        return Edit(lines.start(start), lines.after(end), "")
    if last + 1 < len(spans):
        edit = Edit(start, spans[last + 1][0], "")
    else:
        edit = Edit(spans[first - 1][1], end, "")
    if "#" in lines.text[edit.start : start] + lines.text[end : edit.end]:
        raise Awkward
    return edit


def put(lines: Lines, spans: list[Span], behind: int, texts: list[str]) -> list[Edit]:
    """Put entries into brackets or braces: on lines of their own where the one before has one."""
    if behind < 0:
        return [Edit(spans[0][0], spans[0][0], "".join(f"{text}, " for text in texts))]
    start, end = spans[behind]
    after = lines.after(end)
    if not (lines.begins(start) and lines.closes(end) and after > end):
        return [Edit(end, end, "".join(f", {text}" for text in texts))]
    comma = [] if lines.text[end:after].lstrip().startswith(",") else [Edit(end, end, ",")]
    indent = " " * lines.indent(start)
    return [*comma, Edit(after, after, lines.join([f"{indent}{text}," for text in texts]))]


def stretches(indexes: list[int]) -> list[tuple[int, int]]:
    """Neighbouring indexes as (first, last)."""
    found: list[tuple[int, int]] = []
    for index in sorted(indexes):
        if found and found[-1][1] == index - 1:
            found[-1] = (found[-1][0], index)
        else:
            found.append((index, index))
    return found
