"""What is never acceptable on a chart, as checks of a drawing against its facility.

Each check knows the marks and the facility only, not how the chart was planned. Lengths in
micrometres.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from itertools import pairwise

import numpy as np

from slinediag.address import Jack
from slinediag.drawing.curves import flattened
from slinediag.drawing.marks import Circle, Curve, Drawing, Group, Line, Rect, Text
from slinediag.drawing.query import ink_box, walk
from slinediag.geometry import Box, Point
from slinediag.model.facility import Facility

BORDER = 10_000


def check_all(facility: Facility, drawing: Drawing) -> None:
    """Every rule; AssertionError names the first that is broken and where."""
    check_lettering(drawing)
    check_lines_clear(drawing)
    check_nets_apart(drawing)
    check_cords_clear(drawing)
    check_straight_normals(drawing)
    check_complete(facility, drawing)
    check_wiring(facility, drawing)
    check_no_loose_ends(drawing)


# ---- lettering


def texts(drawing: Drawing) -> list[tuple[str, Box, tuple[str, ...]]]:
    """Every text with its box and the classes of what it belongs to."""
    return [
        (p.mark.text, p.box, tuple(c for ref in p.refs for c in ref.classes))
        for p in walk(drawing)
        if isinstance(p.mark, Text) and p.mark.text
    ]


def check_lettering(drawing: Drawing) -> None:
    """No text over text, across the edge of a box, or off the sheet; none below 2.5 mm."""
    found = texts(drawing)
    sheet = Box(0, 0, drawing.width, drawing.height)
    for words, box, _ in found:
        assert sheet.contains(box), f"{words!r} runs off the sheet"
    for (one, a, _), (other, b, _) in meeting([(w, b, c) for w, b, c in found]):
        raise AssertionError(f"{one!r} at {a} lies over {other!r} at {b}")
    edges = [box for _, box in equipment_boxes(drawing)]
    for words, box, classes in found:
        if "cord-name" in classes or words == "FAILED":
            continue
        for edge in edges:
            assert edge.contains(box) or not edge.meets(box), f"{words!r} crosses a box's edge"
    for placed in walk(drawing):
        if isinstance(placed.mark, Text):
            assert placed.mark.height >= 2500, f"{placed.mark.text!r} is too small to read"


def meeting(things):
    """Pairs of things, each with its box second, whose boxes meet by more than 0.02 mm."""
    ordered = sorted(things, key=lambda thing: thing[1].x)
    for number, thing in enumerate(ordered):
        box = thing[1].grown(-10)
        for other in ordered[number + 1 :]:
            if other[1].x >= box.right:
                break
            if box.meets(other[1].grown(-10)):
                yield thing, other


def equipment_boxes(drawing: Drawing) -> list[tuple[str, Box]]:
    """Each drawn piece of equipment, or part of one, with the first rectangle of its group."""
    found = []
    for group in groups(drawing.marks, "equipment"):
        rect = next(mark for mark in group.marks if isinstance(mark, Rect))
        found.append((data_of(group)["id"], rect.box))
    return found


def groups(marks, name: str):
    """All groups of a class, at any depth."""
    for mark in marks:
        if isinstance(mark, Group):
            if name in mark.ref.classes:
                yield mark
            yield from groups(mark.marks, name)


def data_of(mark) -> dict[str, str]:
    """The data attributes of a mark."""
    return dict(mark.ref.data) if mark.ref else {}


def stands_for(mark, key: str) -> list[str]:
    """What a mark stands for: what it is named for, or all its members where it is folded."""
    data = data_of(mark)
    return data["members"].split() if "members" in data else [data[key]]


def circuits(line: Line) -> list[set[str]]:
    """The circuits of a line, each by its ends: one, or its members where it is folded."""
    data = data_of(line)
    if "members" in data:
        return [set(pair.split("=")) for pair in data["members"].split()]
    return [set(f"{data['from']} {data['to']}".split())]


def marked(drawing: Drawing, name: str) -> list:
    """All marks that are no groups and have a class of their own."""
    return [p.mark for p in walk(drawing) if p.mark.ref and name in p.mark.ref.classes]


# ---- lines


def segments(line: Line):
    """The straight pieces of a line."""
    for run in line.runs:
        yield from pairwise(run)


def check_lines_clear(drawing: Drawing) -> None:
    """Every line runs level or upright, through no text and no box."""
    boxes = [(name, box.grown(-20)) for name, box in equipment_boxes(drawing)]
    lettering = [(words, box.grown(-10)) for words, box, _ in texts(drawing)]
    for line in marked(drawing, "line"):
        for a, b in segments(line):
            assert a.x == b.x or a.y == b.y, f"a slanting line from {a} to {b}"
            piece = span(a, b)
            for words, box in lettering:
                assert not crosses(piece, box), f"a line runs through {words!r}"
            for name, box in boxes:
                assert not crosses(piece, box), f"a line runs through the box of {name}"


def span(a: Point, b: Point) -> Box:
    """A straight piece as a box without width."""
    return Box(min(a.x, b.x), min(a.y, b.y), abs(a.x - b.x), abs(a.y - b.y))


def crosses(piece: Box, box: Box) -> bool:
    """Whether a level or upright piece enters a box."""
    return (
        piece.x < box.right
        and box.x < piece.right + (piece.width == 0)
        and piece.y < box.bottom
        and box.y < piece.bottom + (piece.height == 0)
    )


def check_nets_apart(drawing: Drawing) -> None:
    """Lines of different nets never lie on each other, and no end of one touches another."""
    level: dict[int, list] = defaultdict(list)
    upright: dict[int, list] = defaultdict(list)
    for line in marked(drawing, "line"):
        net = data_of(line)["net"]
        for a, b in segments(line):
            if a.y == b.y:
                level[a.y].append((min(a.x, b.x), max(a.x, b.x), net))
            if a.x == b.x:
                upright[a.x].append((min(a.y, b.y), max(a.y, b.y), net))
    for way in (level, upright):
        for pieces in way.values():
            pieces.sort()
            for (_, end, net), (start, _, other) in pairwise(pieces):
                assert net == other or start > end, f"lines of {net} and {other} lie on each other"


# ---- cords


ALONG = 3_000
"""A line or cord alongside for longer than this is taken for the same one."""
PLUGGED_TOGETHER = 15_000
"""About a jack that two cords share, one pulled and one put in its place."""
TOUCHING = 1_000
"""Nearer than this to the middle of a cord, its ink and what lies there run into each other."""


def check_cords_clear(drawing: Drawing) -> None:
    """No cord or tag over lettering, a jack, equipment or a tag; no cord along a line or cord.

    A tag is allowed on its own cord only. A cord may cross lines and other cords.
    """
    hung = [_hung(group) for group in groups(drawing.marks, "hung")]
    for cord, way, tag in hung:
        others = [other for other in hung if other[0] is not cord]
        _check_tag(drawing, tag, [other_tag for _, _, other_tag in others])
        wrong = [*_under(drawing, way), *_along_lines(drawing, way)]
        for other, other_way, other_tag in others:
            name = data_of(other)["cord"]
            wrong += [f"the tag of {name}"] * bool(_inside(way, other_tag).any())
            wrong += [f"the cord {name}, alongside"] * _follows(way, other_way)
            assert not _inside(other_way, tag).any(), f"a tag lies over the cord {name}"
        assert not wrong, f"the cord {data_of(cord)['cord']} runs over {wrong}"


def _hung(group: Group) -> tuple[Curve, np.ndarray, Box]:
    """A hung cord's curve, points along it half a millimetre apart, and the box of its tag."""
    cord = next(m for m in group.marks if isinstance(m, Curve) and "cord" in m.ref.classes)
    tag = next(m for m in group.marks if isinstance(m, Rect) and "tag" in m.ref.classes)
    corners = np.array(flattened(cord), dtype=float)
    lengths = np.hypot(*np.diff(corners, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(lengths)])
    steps = np.arange(0.0, far[-1], 500.0)
    way = np.stack([np.interp(steps, far, corners[:, n]) for n in (0, 1)], axis=1)
    return cord, way, tag.box


def _check_tag(drawing: Drawing, tag: Box, others: list[Box]) -> None:
    for words, box, classes in texts(drawing):
        if "cord-name" not in classes:
            assert not tag.meets(box), f"a tag covers {words!r}"
    assert not any(tag.meets(other) for other in others), "a tag covers a tag"
    assert not any(tag.meets(box) for _, box in equipment_boxes(drawing)), "a tag on a box"
    for circle in marked(drawing, "jack"):
        assert not tag.meets(ink_box(circle)), "a tag covers a jack"
    for line in (*marked(drawing, "line"), *marked(drawing, "normal")):
        assert not any(crosses(span(a, b), tag) for a, b in segments(line)), "a tag covers a line"


def check_bends_seen(drawing: Drawing) -> None:
    """Tags lie on a straight piece of their own cord or against it, so that each bend is seen."""
    for group in groups(drawing.marks, "hung"):
        _check_bends_seen(*_hung(group))


def _check_bends_seen(cord: Curve, way: np.ndarray, tag: Box) -> None:
    """Under its tag a cord turns by 25° at most, as seen over 2 mm; and the tag touches it."""
    name, hidden = data_of(cord)["cord"], _inside(way, tag)
    assert _inside(way, tag, TOUCHING).any(), f"the tag of {name} lies off it"
    assert hidden.mean() <= 0.45, f"the tag of {name} hides {hidden.mean():.0%} of it"
    if hidden.sum() > 8:
        moves = way[hidden][4:] - way[hidden][:-4]
        turn = np.degrees(np.ptp(np.unwrap(np.arctan2(moves[:, 1], moves[:, 0]))))
        assert turn <= 25, f"the tag of {name} hides a bend of {turn:.0f}°"


def _inside(way: np.ndarray, box: Box, by: int = 0) -> np.ndarray:
    x, y = way.T
    across = (x > box.x - by) & (x < box.right + by)
    return across & (y > box.y - by) & (y < box.bottom + by)


def _under(drawing: Drawing, way: np.ndarray) -> list[str]:
    """What lettering, jacks and boxes a way runs over; the two jacks at its ends apart."""
    found = [
        repr(words)
        for words, box, classes in texts(drawing)
        if "cord-name" not in classes and _inside(way, box, 300).any()
    ]
    for name, (centre, radius) in jack_places(drawing).items():
        own = min(np.abs(way[0] - centre).max(), np.abs(way[-1] - centre).max()) < TOUCHING
        if not own and np.hypot(*(way - centre).T).min() < radius + TOUCHING:
            found.append(f"jack {name}")
    for name, box in equipment_boxes(drawing):
        if _inside(way, box, TOUCHING).any():
            found.append(f"the box of {name}")
    return found


def _along_lines(drawing: Drawing, way: np.ndarray) -> list[str]:
    """The lines and normals that a way follows; the stubs at its own jacks apart."""
    ends = [np.hypot(*(way - end).T) > 2 * ALONG for end in (way[0], way[-1])]
    free = ends[0] & ends[1]
    moves = np.abs(np.gradient(way, axis=0))
    found = []
    runs = [m for name in ("line", "normal") for m in marked(drawing, name) if isinstance(m, Line)]
    for line in runs:
        for a, b in segments(line):
            piece = span(a, b)
            axis = 0 if a.y == b.y else 1
            with_it = moves[:, axis] > 3 * moves[:, 1 - axis]
            if (_inside(way, piece, TOUCHING) & with_it & free).sum() * 500 > ALONG:
                found.append(f"what joins {line.ref.data}, alongside")
    return found


def _follows(way: np.ndarray, other: np.ndarray) -> bool:
    """Whether two cords run into each other for long, in one direction, shared jacks apart."""
    for end in (other[0], other[-1]):
        if min(np.abs(way[0] - end).max(), np.abs(way[-1] - end).max()) < TOUCHING:
            way = way[np.hypot(*(way - end).T) > PLUGGED_TOGETHER]
    near = np.abs(way[:, None] - other[None]).max(axis=2) < TOUCHING
    one, two = (np.gradient(each, axis=0) for each in (way, other))
    turn = np.abs(one[:, None, 0] * two[None, :, 1] - one[:, None, 1] * two[None, :, 0])
    length = np.hypot(*one.T)[:, None] * np.hypot(*two.T)[None]
    return bool((near & (turn < length / 3)).any(axis=1).sum() * 500 > ALONG)


def covered(drawing: Drawing) -> list[str]:
    """The lettering that cords run over."""
    found = []
    for cord in marked(drawing, "cord"):
        assert isinstance(cord, Curve)
        way = flattened(cord)
        for words, box, classes in texts(drawing):
            if "cord-name" not in classes and any(box.holds(point) for point in way):
                found.append(words)
    return found


def check_straight_normals(drawing: Drawing) -> None:
    """A normal is one level line, parted where it is broken."""
    for normal in marked(drawing, "normal"):
        heights = {point.y for run in normal.runs for point in run}
        assert len(heights) == 1, f"the normal {data_of(normal)['normal']} is not straight"
        assert (len(normal.runs) > 1) == ("broken" in normal.ref.classes)


# ---- everything is there


def check_complete(facility: Facility, drawing: Drawing) -> None:
    """Each jack, normal, cord and piece of equipment once on the chart, or in its lists."""
    drawn = Counter(
        name
        for c in marked(drawing, "jack")
        if "jack" in data_of(c)
        for name in stands_for(c, "jack")
    )
    assert set(drawn.values()) <= {1}
    listed = listed_positions(facility, drawing)
    for jack in facility.jacks:
        here, there = str(jack) in drawn, (jack.bay, jack.position) in listed
        assert here != there, f"{jack} is drawn {here} and listed {there}"
    normals = Counter(m for n in marked(drawing, "normal") for m in stands_for(n, "normal"))
    assert set(normals.values()) <= {1}
    for normal in facility.normals:
        position = (normal.target.bay, normal.target.position)
        assert (str(normal) in normals) != (position in listed), f"normal {normal}"
    # A standing cord that a trial pulls and puts back is there twice: as pulled, and as put.
    cords = Counter(
        data_of(c)["cord"] for c in marked(drawing, "cord") if "trial" not in c.ref.classes
    )
    assert cords == Counter(map(str, facility.cords))
    boxes = {name for name, _ in equipment_boxes(drawing)}
    words = block_words(drawing, "not-drawn")
    for box in facility.equipment.values():
        assert (box.id in boxes) != (box.printed in words), f"equipment {box.id}"


def block_words(drawing: Drawing, name: str) -> str:
    """All lettering of a block."""
    return " ".join(
        p.mark.text
        for p in walk(drawing)
        if isinstance(p.mark, Text) and any(name in ref.classes for ref in p.refs)
    )


def listed_positions(facility: Facility, drawing: Drawing) -> set[tuple[str, int]]:
    """The positions that the list of those not drawn names, read from its words."""
    words = block_words(drawing, "spares")
    labels = sorted((re.escape(bay.printed) for bay in facility.bays.values()), key=len)
    found: set[tuple[str, int]] = set()
    for bay in facility.bays.values():
        part = re.search(
            rf"(?:^| ){re.escape(bay.printed)} (.*?)(?= (?:{'|'.join(labels)}) \d|$)", words
        )
        if not part:
            continue
        first = bay.printed_number(Jack(bay.id, "T", 1)) - 1
        for group in part[1].split("; "):
            numbers = re.match(r"[\d–, ]+", group)
            for run in numbers[0].replace(" ", "").strip(",").split(",") if numbers else []:
                low, _, high = run.partition("–")
                found |= {(bay.id, n - first) for n in range(int(low), int(high or low) + 1)}
    return found


# ---- lines are true


def check_wiring(facility: Facility, drawing: Drawing) -> None:
    """Each wire, tie line and mult is on one line that names its ends and reaches them."""
    lines = marked(drawing, "line")
    ends = [set().union(*circuits(line)) for line in lines]
    joined = [circuit for line in lines for circuit in circuits(line)]
    removed = {box.id for box in facility.equipment.values() if box.removed}
    wanted = [(str(j), w.to) for j, w in facility.wires.items()]
    wanted += [(line.source, line.target) for line in facility.lines.values()]
    for pair in wanted:
        if any(getattr(a, "equipment", None) in removed for a in pair):
            continue
        names = {a if isinstance(a, str) else facility.spelled(a) for a in pair}
        assert sum(names <= found for found in joined) == 1, f"no line joins {names}"
    for mult in facility.mults.values():
        names = {str(jack) for jack in mult.jacks}
        assert sum(names <= found for found in joined) == 1, f"no line joins mult {mult.id}"
    places = jack_places(drawing)
    for line, names in zip(lines, ends, strict=True):
        tips = {point for run in line.runs for point in run}
        for name in names & set(places):
            centre, radius = places[name]
            assert any(abs(abs(p.x - centre.x) - radius) <= 10 and p.y == centre.y for p in tips), (
                f"the line of {data_of(line)['net']} does not reach {name}"
            )
        assert connected(line, places, names), f"the line of {data_of(line)['net']} falls apart"


def jack_places(drawing: Drawing) -> dict[str, tuple[Point, int]]:
    """The centre and radius of each drawn jack, by its address."""
    return {
        name: (c.centre, c.radius)
        for c in marked(drawing, "jack")
        if isinstance(c, Circle) and "jack" in data_of(c)
        for name in stands_for(c, "jack")
    }


def connected(line: Line, places: dict[str, tuple[Point, int]], names: set[str]) -> bool:
    """Whether a line's runs hang together, through its own jacks where it passes them."""
    pieces = [span(a, b) for a, b in segments(line)]
    pieces += [
        Box(centre.x - radius, centre.y, 2 * radius, 0)
        for centre, radius in (places[name] for name in names & set(places))
    ]
    reached, waiting = [pieces[0]], pieces[1:]
    for piece in reached:
        near = [other for other in waiting if touch(piece, other)]
        reached += near
        waiting = [other for other in waiting if other not in near]
    return not waiting


def touch(one: Box, other: Box) -> bool:
    """Whether two boxes share a point."""
    return (
        one.x <= other.right
        and other.x <= one.right
        and one.y <= other.bottom
        and other.y <= one.bottom
    )


def check_no_loose_ends(drawing: Drawing) -> None:
    """Every end of a line is at a jack, at a box, at a normal that comes in, or on another run."""
    places = jack_places(drawing)
    edges = [box for _, box in equipment_boxes(drawing)]
    starts = {point for normal in marked(drawing, "normal") for run in normal.runs for point in run}
    for line in marked(drawing, "line"):
        pieces = [span(a, b) for a, b in segments(line)]
        for run in line.runs:
            for end in (run[0], run[-1]):
                spot = Box(end.x, end.y, 0, 0)
                joined = sum(touch(spot, piece) for piece in pieces) > 1
                at_jack = any(
                    abs(abs(end.x - centre.x) - radius) <= 10 and end.y == centre.y
                    for centre, radius in places.values()
                )
                at_box = any(
                    end.x in (box.x, box.right) and box.y < end.y < box.bottom for box in edges
                )
                assert joined or at_jack or at_box or end in starts, (
                    f"the line of {data_of(line)['net']} ends in nothing at {end}"
                )
