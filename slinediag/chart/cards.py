"""The whole at a glance: the sheets of a set as cards, and what leads from one to another.

Heavy lines are those that flags interrupt; thin ones go through equipment in parts, which stands
between the cards by its name. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from slinediag.chart import symbols
from slinediag.chart.arrangement import arrange_after
from slinediag.chart.graph import ChartGraph, Piece, settings_for
from slinediag.chart.joints import Flags, Joint
from slinediag.chart.lettering import LABEL, LEADING, SMALL, letter, width, wrap
from slinediag.chart.ranges import number_ranges
from slinediag.chart.standing import Standing
from slinediag.drawing import styles
from slinediag.drawing.marks import Group, Line, Mark, Rect, Ref, Style
from slinediag.drawing.query import ink_box
from slinediag.geometry import Box, Point, to_mm, union
from slinediag.layout.graph import Edge, Graph, Node, Port
from slinediag.text import shorten

WIDTHS = (80_000, 64_000, 52_000, 42_000, 36_000)
"""Of a card, widest first: as wide as all of them have room."""
PADDING = 1_800
STEP = 5_000
"""The grid of the rows on which lines come to cards."""
FIRST = 4_000
"""From a card's top to the first baseline of its heading."""
LAST = 1_000
"""Below the last of its lines."""
MOST_LINES = 6
"""Lines of a heading; more is shortened, and its title says it in full."""
MORE = "and more"
"""Behind the names that have room."""
DISC_STEP = 5_000
TAG, TAG_PADDING = 4_600, 1_000
"""The height of a tag, and what is free beside its word."""
BEYOND_GAP = 600
"""Above and below what is said of other groups."""
SAID = "A card for each sheet; in discs the priorities of inputs there."
SAID_WAYS = f"{SAID} Below, the sheets and the equipment in parts that lead there, and are led to."
SAID_HEAVY = f"{SAID} Lines lead from sheet to sheet by flags."
SAID_THIN = (
    f"{SAID} Heavy lines lead from sheet to sheet by flags, thin ones through the equipment named, "
    "which is drawn in parts; back: lines that return."
)
LISTED_GAP = 3_000
"""Between cards where nothing leads from one to another."""
APART, CHANNEL, BETWEEN = 3.0, 5.0, 2.5
"""Between cards of a column, columns of cards, and uprights, mm."""


@dataclass(frozen=True, slots=True)
class Card:
    """A sheet: its number, the names of what it shows, and the priorities of the inputs there.

    ``beyond``: what of all that no line is drawn to it is fed by and feeds. ``most``: lines that
    its names may take; those that have no room there are told as more, ``leading`` ones last.
    ``tags``: words that stand in its corner, apart from all names.
    """

    number: int
    names: tuple[str, ...]
    priorities: tuple[int, ...] = ()
    beyond: str = ""
    most: int = 0
    leading: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()


class Glance(NamedTuple):
    """The cards and lines, the room that they take, and how they stand; ``said``: what is said
    below them."""

    marks: tuple[Mark, ...]
    extent: Box
    standing: Standing
    said: str = ""


@dataclass(slots=True)
class _Rows:
    """What comes to a card at its left and leaves it at its right: nodes, and words at each."""

    entries: dict[str, str] = field(default_factory=dict)
    exits: dict[str, str] = field(default_factory=dict)


def glance(
    cards: Sequence[Card],
    flags: Flags,
    joints: Sequence[Joint],
    across: int,
    aspect: float,
    before: Standing,
) -> Glance:
    """The sheets as cards with all that leads between them, and words that say what is what."""
    drawn = linked_cards(cards, flags, joints, across, aspect, before)
    return drawn._replace(said=SAID_THIN if joints else SAID_HEAVY if flags else SAID)


def linked_cards(
    cards: Sequence[Card],
    flags: Flags,
    joints: Sequence[Joint],
    across: int,
    aspect: float,
    before: Standing,
) -> Glance:
    """The sheets as cards so many micrometres across, with all that leads between them.

    ``aspect``: width to height that the cards are packed towards. ``before``: how cards of an
    earlier set stood, which stay.
    """
    rows = {card.number: _Rows() for card in cards}
    heavy = _lines_between(flags, rows)
    thin = _lines_through(joints, rows)
    heads = {card.number: CardHead.of(card, across) for card in cards}
    nodes = [_card_node(heads[c.number], rows[c.number]) for c in cards]
    nodes += [_hub_node(joint) for joint in joints]
    edges = [*heavy, *thin]
    pieces = tuple(Piece(number, (number,)) for number in range(len(edges)))
    graph = ChartGraph(Graph(tuple(nodes), tuple(edges)), pieces)
    settings = replace(
        settings_for("quick"),
        pitch=to_mm(STEP),
        gap=APART,
        channel=CHANNEL,
        spacing=BETWEEN,
        clearance=BETWEEN,
    )
    there, standing = arrange_after(before, graph, settings, (), aspect)
    marks: list[Mark] = []
    for piece in there.pieces:
        ink = styles.FOLDED_LINE if piece.net < len(heavy) else styles.LINE
        if piece.runs:
            marks.append(Line(piece.runs, ink, Ref(("between-sheets",))))
        marks += [symbols.branch_dot(dot) for dot in piece.dots]
        marks += [symbols.arrow_back(at) for at in piece.arrows]
    marks += [hub(joint, there.nodes[_hub_id(joint)]) for joint in joints]
    for card in cards:
        at = there.nodes[str(card.number)]
        marks.append(_drawn(card, heads[card.number], at, rows[card.number]))
    return Glance(tuple(marks), union(map(ink_box, marks)), standing)


def told(drawn: Glance) -> Glance:
    """With lines under all that say what is what."""
    marks, extent = [*drawn.marks], drawn.extent
    foot = Point(extent.x, extent.bottom + LEADING + 1_000)
    lines = wrap(drawn.said, extent.width) if drawn.said else []
    for number, line in enumerate(lines):
        at = foot.moved(0, number * LEADING)
        marks.append(letter(at, line, colour=styles.TEXT_GREY))
    return Glance(tuple(marks), union(map(ink_box, marks)), drawn.standing)


def listed_cards(cards: Sequence[Card], across: int, room: int) -> Glance:
    """The sheets as cards in their order, row by row, with nothing between them."""
    count = max(1, (room + LISTED_GAP) // (across + LISTED_GAP))
    heads = [CardHead.of(card, across) for card in cards]
    marks: list[Mark] = []
    top = 0
    for start in range(0, len(heads), count):
        row = heads[start : start + count]
        height = max(head.least + head.foot for head in row)
        for number, head in enumerate(row):
            at = Box(number * (across + LISTED_GAP), top, across, height)
            marks.append(drawn_alone(head, at))
        top += height + LISTED_GAP
    words = SAID_WAYS if any(card.beyond for card in cards) else SAID
    return Glance(tuple(marks), union(map(ink_box, marks)), Standing(), words)


def _lines_between(flags: Flags, rows: Mapping[int, _Rows]) -> list[Edge]:
    """An edge for all lines that lead from a sheet to another."""
    found = []
    for (one, other), lines in sorted(flags.items()):
        rows[one].exits[str(other)] = rows[other].entries[str(one)] = _counted(lines)
        found.append(Edge((str(one), f"to {other}"), (str(other), f"from {one}")))
    return found


def _lines_through(joints: Iterable[Joint], rows: Mapping[int, _Rows]) -> list[Edge]:
    """An edge between each sheet and the equipment in parts that joins it to others.

    Where lines lead both ways, one edge the way that most of them run; the card counts both.
    """
    found = []
    for joint in joints:
        hub = _hub_id(joint)
        for sheet in joint.sheets:
            into, out = joint.entering.get(sheet, 0), joint.leaving.get(sheet, 0)
            if into >= out:
                back = f", {out} back" if out else ""
                rows[sheet].exits[hub] = _counted(into) + back
                found.append(Edge((str(sheet), f"to {hub}"), (hub, "in")))
            else:
                back = f", {into} back" if into else ""
                rows[sheet].entries[hub] = _counted(out) + back
                found.append(Edge((hub, "out"), (str(sheet), f"from {hub}")))
    return found


def _counted(count: int) -> str:
    return f"{count} line" if count == 1 else f"{count} lines"


class CardHead(NamedTuple):
    """The upper part of a card: its lines of words and its height."""

    card: Card
    across: int
    lines: tuple[str, ...]
    beyond: tuple[str, ...] = ()

    @classmethod
    def of(cls, card: Card, across: int) -> CardHead:
        """The names wrapped beside the number, those of the first line before priorities and
        tags."""
        room = across - _number_room(card) - PADDING
        discs = len(card.priorities) * DISC_STEP + _tags_room(card.tags)
        discs += PADDING if discs else 0
        lines = _name_lines(card.names, room, discs)
        if card.most and len(lines) > card.most:
            names = sorted(card.names, key=lambda name: name not in card.leading)
            for count in range(len(names) - 1, 0, -1):
                lines = _name_lines((*names[:count], MORE), room, discs)
                if len(lines) <= card.most:
                    break
        if len(lines) > MOST_LINES:
            rest = " ".join(lines[MOST_LINES - 1 :])
            lines = [*lines[: MOST_LINES - 1], shorten(rest, SMALL, room) or ""]
        ways = wrap(card.beyond, across - 2 * PADDING)
        return cls(card, across, tuple(lines), tuple(ways))

    @property
    def foot(self) -> int:
        """Of the words below all lines."""
        return len(self.beyond) * LEADING + (BEYOND_GAP if self.beyond else 0)

    @property
    def height(self) -> int:
        """Of the words, in whole steps."""
        return -(-(self.least - LAST) // STEP) * STEP

    @property
    def least(self) -> int:
        """Of the words, where nothing stands below them."""
        return FIRST + (len(self.lines) - 1) * LEADING + LAST + 1_000


def _name_lines(names: Sequence[str], room: int, discs: int) -> list[str]:
    """Names in lines no wider than a room, the first shorter by that of the discs beside it."""
    lines = [""]
    for number, name in enumerate(names, 1):
        last = number == len(names) or names[number] == MORE
        words = name if last else f"{name},"
        longer = f"{lines[-1]} {words}".strip()
        if width(longer) <= room - discs * (len(lines) == 1):
            lines[-1] = longer
        else:
            lines += wrap(words, room)
    return lines[1:] if len(lines) > 1 and not lines[0] and not discs else lines


def _tags_room(tags: Iterable[str]) -> int:
    """The room of tags beside each other, with that before each."""
    return sum(width(tag, SMALL, "bold") + 3 * TAG_PADDING for tag in tags)


def _tags(card: Card, at: Box) -> Iterator[Mark]:
    """White words in filled frames, the last in the upper right corner of the card."""
    right = at.right
    for tag in reversed(card.tags):
        across = width(tag, SMALL, "bold") + 2 * TAG_PADDING
        frame = Box(right - across, at.y, across, TAG)
        foot = Point(frame.x + TAG_PADDING, at.y + (TAG + SMALL) // 2)
        yield Rect(frame, Style(stroke=None, fill=styles.BLACK), ref=Ref(("tag",)))
        yield letter(foot, tag, weight="bold", colour=styles.PAPER)
        right = frame.x - TAG_PADDING


def _number_room(card: Card) -> int:
    return PADDING + width(str(card.number), LABEL, "bold") + PADDING


def _card_node(head: CardHead, rows: _Rows) -> Node:
    first = _first_exit(head, rows)
    count = max(len(rows.entries), first + len(rows.exits) if rows.exits else 0)

    def ports(way: str, ends: Iterable[str], start: int = 0) -> tuple[Port, ...]:
        found = enumerate(ends, start)
        return tuple(Port(f"{way} {end}", to_mm(_row(head, number))) for number, end in found)

    return Node(
        str(head.card.number),
        to_mm(head.across),
        to_mm(max(head.height + count * STEP, head.least) + head.foot),
        ports("from", rows.entries),
        ports("to", rows.exits, first),
    )


def _first_exit(head: CardHead, rows: _Rows) -> int:
    """The row of the first exit: beside the entries, or below them where words would meet."""
    pairs = zip(rows.entries.values(), rows.exits.values(), strict=False)
    meet = any(width(a) + width(b) + 3 * PADDING > head.across for a, b in pairs)
    return len(rows.entries) if meet else 0


def _row(head: CardHead, number: int) -> int:
    return head.height + number * STEP + STEP // 2


def _hub_id(joint: Joint) -> str:
    return f"through {joint.equipment.id}"


def _hub_node(joint: Joint) -> Node:
    across = width(joint.equipment.printed, SMALL, "bold") + 2 * PADDING
    y = to_mm(STEP // 2)
    return Node(_hub_id(joint), to_mm(across), to_mm(STEP), (Port("in", y),), (Port("out", y),))


def hub(joint: Joint, at: Box) -> Group:
    """Equipment in parts by its name, in a thin frame."""
    name = joint.equipment.printed
    foot = Point(at.centre.x, at.centre.y + SMALL // 2)
    frame = Rect(at, styles.widened(styles.EQUIPMENT, styles.W25))
    title = f"{name} joins sheets {number_ranges(joint.sheets)}"
    data = (("id", joint.equipment.id),)
    words = letter(foot, name, anchor="middle", weight="bold")
    return Group((frame, words), Ref(("sheet-joint",), data, title))


def drawn_alone(head: CardHead, at: Box) -> Group:
    """A card without a word of what comes to it."""
    return _drawn(head.card, head, at, _Rows())


def _drawn(card: Card, head: CardHead, at: Box, rows: _Rows) -> Group:
    """A card: number, heading and priorities; at each line how many it stands for."""
    number = letter(
        Point(at.x + PADDING, at.y + FIRST + (LABEL - SMALL) // 2),
        str(card.number),
        height=LABEL,
        weight="bold",
    )
    marks: list[Mark] = [Rect(at, styles.EQUIPMENT), number]
    for n, line in enumerate(head.lines):
        marks.append(letter(Point(at.x + _number_room(card), at.y + FIRST + n * LEADING), line))
    for n, priority in enumerate(reversed(card.priorities)):
        x = at.right - PADDING - DISC_STEP // 2 - n * DISC_STEP - _tags_room(card.tags)
        marks += symbols.priority_mark(Point(x, at.y + FIRST - SMALL // 2), priority)
    marks += _tags(card, at)
    for n, words in enumerate(rows.entries.values()):
        foot = Point(at.x + PADDING, at.y + _row(head, n) + SMALL // 2)
        marks.append(letter(foot, words, colour=styles.TEXT_GREY))
    for n, words in enumerate(rows.exits.values(), _first_exit(head, rows)):
        foot = Point(at.right - PADDING, at.y + _row(head, n) + SMALL // 2)
        marks.append(letter(foot, words, anchor="end", colour=styles.TEXT_GREY))
    for n, words in enumerate(reversed(head.beyond)):
        foot = Point(at.x + PADDING, at.bottom - BEYOND_GAP - 900 - n * LEADING)
        marks.append(letter(foot, words, colour=styles.TEXT_GREY))
    title = "; ".join((f"Sheet {card.number}: {', '.join(card.names)}", *card.tags))
    return Group(tuple(marks), Ref(("sheet-card",), (("sheet", str(card.number)),), title))
