"""Standing cords on bay faces: down or up between labels, so that none is covered, then hanging.

Lengths in micrometres on the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slinediag.address import Jack
from slinediag.chart.lettering import SMALL, letter
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Curve, Group, Mark, Ref, Style
from slinediag.geometry import Point
from slinediag.model.facility import Cord, Facility
from slinediag.papers.face import Face

SAG, LEAST_SAG = 7_500, 9_000
"""How far the first cord hangs below its bay, and how much more each further one does."""
CROSSING_ROOM, STUB_ROOM = 32_000, 13_000
CORD = Style(width=styles.W70, end="round")
EDGE = Style(stroke=styles.PAPER, width=styles.W200, end="round")
"""Where a cord hangs free; between labels there is no room for it."""
DISC = 2_300
TURN = 4_200
"""From a jack's centre to where its cord runs straight, clear of the hole."""
CLEAR = 2_000

Piece = tuple[Point, Point, Point]
FREE = 2
"""The piece of a cord that hangs free, after its turn aside and its way between labels."""
Drawn = tuple[Group, Group]
"""A cord and its tag."""


@dataclass(frozen=True, slots=True)
class Hung:
    """A face on its page: where its panel's left top corner is, and the room below it."""

    face: Face
    at: Point
    below: int

    @property
    def foot(self) -> int:
        """The y of the panel's lower edge."""
        return self.at.y + self.face.panel.size.height

    def jack(self, jack: Jack) -> Point:
        """Where a jack is on the page."""
        return self.face.jack(jack).moved(*self.at)


def ends_of(cord: Cord) -> tuple[Jack, Jack]:
    """The two jacks of a cord."""
    return cord.source, cord.target


def hanging_room(count: int) -> int:
    """The room that this many cords take that hang from one bay."""
    return LEAST_SAG + count * SAG if count else 0


def cord_marks(facility: Facility, stack: Sequence[Hung]) -> tuple[Mark, ...]:
    """The cords of a page's faces, their numbers over all of them."""
    drawn = list(_cords(facility, stack))
    return (*(cord for cord, _ in drawn), *(tag for _, tag in drawn))


def _cords(facility: Facility, stack: Sequence[Hung]) -> Iterator[Drawn]:
    """Each cord with its tag. Where its other end is on no neighbour, only a short end."""
    order = {hung.face.bay.id: n for n, hung in enumerate(stack)}
    edges = _Edges()
    level: dict[str, int] = {}
    for number, cord in enumerate(facility.cords, 1):
        ends = [jack for jack in ends_of(cord) if jack.bay in order]
        places = [order[jack.bay] for jack in ends]
        if len(ends) == 2 and places[0] == places[1]:
            level[ends[0].bay] = level.get(ends[0].bay, 0) + 1
            yield _hanging(number, cord, stack[places[0]], level[ends[0].bay], edges)
        elif len(ends) == 2 and abs(places[0] - places[1]) == 1:
            yield _crossing(number, cord, (stack[places[0]], stack[places[1]]), edges)
        else:
            for jack, place in zip(ends, places, strict=True):
                yield _short(number, cord, jack, stack[place], edges)


class _Edges:
    """The edges between labels that cords run along, each taken by one cord while there are any."""

    def __init__(self) -> None:
        self._taken: set[tuple[str, bool, int]] = set()

    def nearest(self, face: Face, jack: Jack, *, down: bool) -> int:
        """The x of the free edge nearest to half a pitch from a jack, of the strips it passes."""
        x = face.jack(jack).x
        left, right = face.panel.window(jack.row).cell(jack.position)
        half = (right - left) // 2
        free = [
            edge
            for edge in self._passed(face, down)
            if (face.bay.id, down, edge) not in self._taken
        ]
        edges = free or [x]
        found = min(edges, key=lambda edge: (abs(abs(edge - x) - half), edge))
        self._taken.add((face.bay.id, down, found))
        return found

    def _passed(self, face: Face, down: bool) -> frozenset[int]:
        """Edges between labels of the strip that a cord passes: the lower or the upper one."""
        if face.bay.rows == 1:
            return face.field_edges("T") if not down else frozenset(self._between(face))
        return face.field_edges("B" if down else "T")

    def _between(self, face: Face) -> list[int]:
        window = face.panel.windows[0]
        return [window.box.x + edge for edge in window.edges]


def _out(hung: Hung, jack: Jack, edges: _Edges, *, down: bool) -> tuple[Point, tuple[Piece, ...]]:
    """Where a cord leaves a bay, and its way there: aside at once, then straight between labels."""
    face, start = hung.face, hung.jack(jack)
    x = edges.nearest(face, jack, down=down) + hung.at.x
    way = 1 if down else -1
    turned = Point(x, start.y + way * TURN)
    end = Point(x, hung.foot + CLEAR if down else hung.at.y - CLEAR)
    return end, (_bent(start, turned), _bent(turned, end))


def _bent(one: Point, other: Point) -> Piece:
    """A piece that leaves upright and arrives upright: a gentle S, or a straight line."""
    half = (other.y - one.y) // 2
    return one.moved(0, half), other.moved(0, -half), other


def _back(start: Point, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Pieces from their end back to their start."""
    points = [start, *(piece[2] for piece in pieces)]
    return tuple((piece[1], piece[0], points[n]) for n, piece in reversed(list(enumerate(pieces))))


def _hanging(number: int, cord: Cord, hung: Hung, level: int, edges: _Edges) -> Drawn:
    """A cord between two jacks of one bay, hanging below it."""
    first, out = _out(hung, cord.source, edges, down=True)
    last, back = _out(hung, cord.target, edges, down=True)
    sag = (LEAST_SAG + (level - 1) * SAG) * 4 // 3
    free = first.moved(0, sag), last.moved(0, sag), last
    pieces = (*out, free, *_back(hung.jack(cord.target), back))
    return _drawn(number, cord, hung.jack(cord.source), pieces, _along(first, free, 50))


def _crossing(number: int, cord: Cord, both: tuple[Hung, Hung], edges: _Edges) -> Drawn:
    """A cord from a bay to its neighbour above or below."""
    one, other = both
    down = one.at.y < other.at.y
    first, out = _out(one, cord.source, edges, down=down)
    last, back = _out(other, cord.target, edges, down=not down)
    half = (last.y - first.y) // 2
    free = first.moved(0, half), last.moved(0, -half), last
    pieces = (*out, free, *_back(other.jack(cord.target), back))
    share = 30 + 20 * (number % 3)
    return _drawn(number, cord, one.jack(cord.source), pieces, _along(first, free, share))


def _short(number: int, cord: Cord, jack: Jack, hung: Hung, edges: _Edges) -> Drawn:
    """The end of a cord whose other end is elsewhere."""
    out, way = _out(hung, jack, edges, down=True)
    end = out.moved(0, STUB_ROOM - 3 * CLEAR - DISC)
    return _drawn(number, cord, hung.jack(jack), (*way, _bent(out, end)), end)


def _along(start: Point, piece: Piece, percent: int) -> Point:
    """A point on a Bézier piece."""
    t = percent / 100
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    points = (start, *piece)
    return Point(
        round(sum(w * p.x for w, p in zip(weights, points, strict=True))),
        round(sum(w * p.y for w, p in zip(weights, points, strict=True))),
    )


def _drawn(number: int, cord: Cord, start: Point, pieces: tuple[Piece, ...], tag: Point) -> Drawn:
    """A cord over its light edge, and its number in a disc."""
    words = letter(
        tag.moved(0, SMALL // 2), str(number), anchor="middle", weight="bold", colour=styles.PAPER
    )
    disc = Circle(tag, max(DISC, words.width // 2 + 900), Style(stroke=None, fill=styles.BLACK))
    data = (("cord", str(cord)),)
    ref = Ref(("cord", "standing"), data, title=f"Standing cord {cord}")
    edge = Curve(pieces[FREE - 1][2], (pieces[FREE],), EDGE)
    run = Group((edge, Curve(start, pieces, CORD)), ref)
    return run, Group((disc, words), Ref(("cord-number",), data))
