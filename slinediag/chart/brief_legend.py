"""The legend of a sheet: only the signs that it bears, so that it leaves room for the chart."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from slinediag.chart import legend as full
from slinediag.chart.blocks import Block, Item, below_each_other
from slinediag.chart.lettering import width
from slinediag.chart.references import draw_flag
from slinediag.chart.signs import OF_TRIALS, Sign
from slinediag.drawing import styles
from slinediag.drawing.marks import Line
from slinediag.geometry import Point

HALF_FLAG = 3_000
TO_LAST = re.compile(r" … |, ")
"""What stands in a run of names before its last, or before the second of two."""
LINES: tuple[Sign, ...] = ("joined", "back", "swapped", "priority", "note", "idle")
PLUGS: tuple[Sign, ...] = ("cord", "dummy", "broken", "tapped")

WORDS: tuple[Sign, ...] = ("onward", "tie", "wall")
JACKS: tuple[Sign, ...] = ("mult", "lone")
BEGUN = 4
"""Items that its heading stands over, where a column has room for them."""
PLACES: tuple[Sign, ...] = (*WORDS, *JACKS)
"""Signs that are words, or nearly speak for themselves, explained wherever there is room."""


def brief_legend(signs: Mapping[Sign, str], room: int, notes_on: Sequence[int] = ()) -> Block:
    """The signs with their words, in a column's width; ``signs``: with the sample of each that is
    words itself.

    ``notes_on``: the sheets with the notes that numbers point to, where these are on others.
    """
    kinds: list[Sign] = [kind for kind, _ in full.NORMALS]
    items = [
        *_chosen(kinds, full.normal_items(room), signs),
        *_chosen(JACKS, full.jack_items(room), signs),
        *_references(signs, room),
        *_chosen(LINES, full.line_items(room, notes_on, *_samples(signs)), signs),
        *_chosen(WORDS, _places(signs, room), signs),
        *((full.slash_item(room),) if "slash" in signs else ()),
        *_chosen(PLUGS, full.plug_items(room), signs),
        *_chosen(OF_TRIALS, full.trial_items(room), signs),
    ]
    if "rows" in signs:
        # As one with the first sign: else that and all others might stand in the next column.
        items[:1] = [below_each_other(full.rows_item(room), *items[:1])]
    if items:
        items[0] = replace(items[0], group=sum(item.height for item in items[:BEGUN]))
    return Block("legend", "Legend", tuple(items))


def _samples(signs: Mapping[Sign, str]) -> tuple[str, int]:
    """The ports without a line and the number of a note that a sheet bears itself."""
    return signs.get("idle") or "3, 4", int(signs.get("note") or 1)


def _places(signs: Mapping[Sign, str], room: int) -> Iterator[Item]:
    run = signs.get("tie", "")
    names = (run, TO_LAST.split(run)[0])
    tie = next((name for name in names if 0 < width(name) <= full.RIGHT - full.LEFT), "TL1")
    return full.place_items(room, signs.get("onward") or "7 C2", tie)


def _chosen(
    known: tuple[Sign, ...] | list[Sign], items: Iterator[Item], signs: Collection[Sign]
) -> Iterator[Item]:
    """Of the items for these signs, in their order, those that are borne."""
    for sign, item in zip(known, items, strict=True):
        if sign in signs:
            yield item


def _references(signs: Collection[Sign], room: int) -> Iterator[Item]:
    at = Point(full.LEFT, full.MIDDLE + 600)
    foot = at.moved(HALF_FLAG, 0)
    line = Line(((at, foot),), styles.LINE)
    if "sheet" in signs:
        marks = (line, *draw_flag(foot, "3 C4"))
        yield full.legend_item(marks, "goes on at sheet 3, zone C4", room, least=6_600)
    if "elsewhere" in signs:
        marks = (line, *draw_flag(foot, "PB2 T3"))
        yield full.legend_item(marks, "goes on there, not drawn here", room, least=6_600)
