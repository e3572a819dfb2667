"""What stands below the strips of a bay: marks, groups, the key, what does not fit, the panel.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slinediag.address import Jack
from slinediag.chart.lettering import SMALL, letter
from slinediag.chart.moving import all_moved
from slinediag.drawing.marks import Group, Mark
from slinediag.geometry import Box, Point
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.papers.groups import groups_of
from slinediag.papers.page import WIDTH, Slab, fitted, prose
from slinediag.papers.panel import figures, height_words, pitch_words
from slinediag.papers.plugging import Act
from slinediag.papers.strip import break_mark, tap_mark
from slinediag.papers.wording import Lettered, Misfit, Wording, look_alikes

INDENT = 22_500
"""From the left to the notes, behind their captions."""
BETWEEN = 4_500
BREAKS, TAPS = "a plug in this jack breaks its normal", "a plug in this jack taps its normal"
BOLD = "bold belongs to its own jack, the rest to all jacks below"
NOT_PROVEN = (
    "The search for the least shortening was stopped before it had seen all ways: every label is "
    "right, but fewer words might have done."
)
CARE = (
    "A strip is what people trust under pressure: put it in with the bay's positions checked "
    "against the wall, and take the old one away."
)


def notes(
    facility: Facility,
    wording: Wording,
    acts: Mapping[Jack, frozenset[Act]],
    cut_short: Sequence[Lettered] = (),
    width: int = WIDTH,
) -> Iterator[Slab]:
    """All that is to be said about the strips of a bay, on a page of this width.

    ``cut_short``: labels of which a piece prints no more than the beginning of the heading.
    """
    room = width - INDENT
    yield from _captioned("Marks", _marks(wording, acts, room))
    yield from _captioned("Groups", _groups(wording.bay, room))
    yield from _captioned("Key", _key(wording, room))
    yield from _captioned("Does not fit", _misfits(facility, wording, cut_short, room))
    yield from _captioned("Reads alike", _alike(facility, wording, room))
    if not wording.proven:
        yield from _captioned("Shortening", [prose(NOT_PROVEN, room)])
    yield from _captioned("Panel", [prose(_figures(facility, wording), room)])
    yield from _captioned("Take care", [prose(CARE, room)])


def _captioned(caption: str, slabs: Sequence[Slab]) -> Iterator[Slab]:
    """Slabs behind a caption; nothing where there are none."""
    for number, slab in enumerate(slabs):
        marks: tuple[Mark, ...] = tuple(all_moved(slab.marks, INDENT, 0))
        if number == 0:
            marks = (letter(Point(0, SMALL + 600), caption, weight="bold"), *marks)
        yield Slab(slab.height, marks)


def _marks(wording: Wording, acts: Mapping[Jack, frozenset[Act]], room: int) -> list[Slab]:
    """The marks of normals and the bold words, as far as the bay has them."""
    middle = Point(1_500, SMALL // 2 + 600)
    items: list[tuple[int, tuple[Mark, ...]]] = []
    found = {act for jack in wording.bay.jacks() for act in acts.get(jack, ())}
    known: tuple[tuple[Act, Mark, str], ...] = (
        ("breaks", break_mark(middle, down=True), BREAKS),
        ("taps", tap_mark(middle), TAPS),
    )
    for act, mark, words in known:
        if act in found:
            said = letter(Point(4_500, SMALL + 600), words)
            items.append((4_500 + said.width + BETWEEN, (mark, said)))
    if any(lettered.field.tails for lettered in wording.lettered):
        bold = letter(Point(0, SMALL + 600), BOLD)
        items.append((bold.width, (bold,)))
    return _running(items, room)


def _groups(bay: Bay, room: int) -> list[Slab]:
    """The groups, each with its colour and its letter."""
    items: list[tuple[int, tuple[Mark, ...]]] = []
    for group in groups_of(bay).values():
        bar = group.bar(Box(0, 400, 3_000, 3_000))
        name = letter(Point(4_000, SMALL + 600), group.letter, weight="bold")
        start = 4_000 + name.width + 1_500
        words = fitted(Point(start, SMALL + 600), group.name, room - start)
        items.append((start + sum(word.width for word in words), (Group((*bar, name)), *words)))
    return _running(items, room)


def _key(wording: Wording, room: int) -> list[Slab]:
    """Short forms with their words: those that were needed, and those that the labels are filed
    with."""
    forms = {form: word for word, form in wording.key.items()}
    forms |= {form: word for form, word in wording.filed.items() if form not in wording.key}
    items: list[tuple[int, tuple[Mark, ...]]] = []
    for form, word in sorted(forms.items()):
        short = letter(Point(0, SMALL + 600), form, weight="bold")
        full = letter(Point(short.width + 1_500, SMALL + 600), word)
        items.append((full.at.x + full.width, (short, full)))
    return _running(items, room)


def _running(items: Sequence[tuple[int, tuple[Mark, ...]]], room: int) -> list[Slab]:
    """Things of known widths beside each other, in as many lines as they need."""
    lines: list[list[Mark]] = []
    x = room
    for wide, marks in items:
        if not lines or x + wide > room:
            lines.append([])
            x = 0
        lines[-1] += all_moved(marks, x, 0)
        x += wide + BETWEEN
    return [Slab(4_600, tuple(marks)) for marks in lines]


def _misfits(
    facility: Facility, wording: Wording, cut_short: Sequence[Lettered], room: int
) -> list[Slab]:
    printed = {lettered.field.jacks: lettered for lettered in wording.lettered}
    said = [
        f"*{number}  {misfit_words(facility, misfit, printed[misfit.jacks])}"
        for number, misfit in enumerate(wording.misfits, 1)
    ]
    said += [f"…  {cut_short_words(facility, part)}" for part in cut_short]
    return [prose(words, room) for words in said]


def misfit_words(facility: Facility, misfit: Misfit, lettered: Lettered) -> str:
    """What a label that does not fit says in full, how it is printed, and what would fit."""
    jacks = " and ".join(jack_name(facility, jack) for jack in misfit.jacks)
    how = f"printed at {lettered.height / 1000:.1f} mm" if lettered.setting else "not printed"
    return f"{jacks}: {misfit.label}, {how}. Would fit at 2.5 mm: {misfit.cure}."


def cut_short_words(facility: Facility, part: Lettered) -> str:
    """What a label says in full whose heading a piece cuts short, and what would fit."""
    names = [jack_name(facility, jack) for jack in (part.field.jacks[0], part.field.jacks[-1])]
    label = f"{' '.join(part.field.heading)} {' / '.join(part.field.tails)}".strip()
    return (
        f"{' to '.join(dict.fromkeys(names))}: {label}, cut short where the strip is cut. Would "
        "fit: a larger sheet, or a shorter label_top or label_bottom."
    )


def _alike(facility: Facility, wording: Wording, room: int) -> list[Slab]:
    same = [
        f"{', '.join(jack_name(facility, jack) for jack in jacks)} read the same. Give them "
        "labels of their own in the file: label_top, label_bottom."
        for jacks in wording.alike
    ]
    near = [
        f"{one} and {other} are taken for each other at a glance; a longer label parts them."
        for one, other in look_alikes(wording)
    ]
    return [prose(words, room) for words in (*same, *near)]


def _figures(facility: Facility, wording: Wording) -> str:
    bay, window = wording.bay, wording.panel.windows[0]
    pitch = "as filed" if bay.pitch is not None else pitch_words(bay)
    low = "as filed" if bay.window is not None else figures()[bay.jack_style]["window"].source
    offset = "as filed" if bay.offset is not None else "half a pitch"
    first = wording.panel.first - window.box.x
    return (
        f"Pitch {bay.jack_pitch:.2f} mm ({pitch}); window {window.box.height / 1000:.2f} mm by "
        f"{window.box.width / 1000:.2f} mm ({low}); first jack {first / 1000:.2f} mm in "
        f"({offset}); {height_words(facility, bay)}. File what differs."
    )
