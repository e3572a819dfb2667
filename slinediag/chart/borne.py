"""How a drawing stood, as text that its files bear unseen; and read back from there.

One JSON object: its version, what is said of the whole drawing, and a part for each sheet and for
the overview, so that a file of a set bears no more than its own sheet's. Lengths in micrometres.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import islice, pairwise
from typing import NoReturn

from slinediag.chart.earlier import Earlier, Sheetful
from slinediag.chart.standing import Standing, Stood
from slinediag.geometry import Box, Point
from slinediag.layout.layout import Layout
from slinediag.layout.layout import Standing as Ranks
from slinediag.problems import RequestError, problem

Bears = tuple[tuple[str, str], ...]
"""What a drawing bears: names, each with its value as JSON."""
VERSION = 1
CHART, OVERVIEW, SHEET = "chart", "overview", "sheet "
"""The names of what is kept: of the whole drawing, of its overview, and of each of its sheets."""
PICTURE = "picture "
"""The name of what each sheet looks like."""
COUNTED = re.compile(r"([^:]+:[TB]?)([1-9][0-9]{0,2})", re.ASCII)
RUN = re.compile(r"([^:]+:[TB]?)([1-9][0-9]{0,2})-([1-9][0-9]{0,2})", re.ASCII)

MOST_TEXT = 20_000_000
"""Characters that are read: a hundred times what the largest plant needs."""
MOST_THINGS = 200_000
"""Things on all sheets together."""
MOST_SHEETS = 999
"""The highest number that a reference has room for."""
FAR = 100_000_000
"""No chart reaches further, 100 m."""
LONGEST = 400
"""Characters of an id."""
BEGIN_AGAIN = "Draw it once without keeping anything, and keep that from then on"


def whole_borne(drawn: Earlier) -> Bears:
    """What every sheet of a drawing bears of the whole."""
    found: dict[str, object] = {
        "part": drawn.part,
        "folded": drawn.folded,
        "size": list(drawn.size),
        "scale": [drawn.scale.numerator, drawn.scale.denominator],
    }
    if drawn.several:
        found["first"] = drawn.first
        found["units"] = {str(n): counted(units) for n, units in sorted(drawn.units.items())}
    return (("version", str(VERSION)), (CHART, _compact(found)))


def of_whole(bears: Bears) -> Bears:
    """Of what a sheet bears, what every sheet of its drawing does."""
    return tuple((name, value) for name, value in bears if name in ("version", CHART))


def sheet_borne(drawn: Earlier, number: int) -> Bears:
    """What one sheet of it bears of its own."""
    sheet = drawn.sheets[number]
    found: dict[str, object] = {}
    if sheet.shift is not None:
        found["shift"] = list(sheet.shift)
    return ((f"{SHEET}{number}", _compact(found | _written(sheet.standing))),)


def overview_borne(drawn: Earlier) -> Bears:
    """What the sheet with the overview bears of its own."""
    return ((OVERVIEW, _compact(_written(drawn.overview))),)


def picture_borne(number: int, picture: str) -> Bears:
    """What one sheet bears of what it looks like."""
    return ((f"{PICTURE}{number}", _compact(picture)),)


def _compact(value: object) -> str:
    return json.dumps(value, separators=(",", ":"))


def _written(standing: Standing) -> dict[str, object]:
    return {"room": standing.room, "islands": [_island(one, standing) for one in standing.islands]}


def _island(stood: Stood, standing: Standing) -> list[object]:
    """Its upper edge and the digest of its drawing; by layers its boxes with rank and corner; its
    lines; the order that it was arranged after, if any."""
    layers, lines = _order(stood.layout)
    for row in layers:
        for box in row:
            corner = standing.nodes[str(box[0])]
            box += [corner.x, corner.y]
    return [stood.top, stood.drawn, layers, lines, stood.origin and _order(stood.origin)]


def _order(layout: Layout) -> tuple[list[list[list[object]]], list[list[object]]]:
    """By layers the boxes with their ranks; the lines, from box and port to box and port, with
    theirs. Boxes are called by their numbers in the order of the layers."""
    ranks = layout.standing
    names = [name for row in layout.layers for name in row]
    number = {name: place for place, name in enumerate(names)}
    layers = [[[name, ranks.nodes.get(name, -1)] for name in row] for row in layout.layers]
    lines = [
        [number[source], out, number[target], into, rank]
        for (source, out), (target, into), rank in ranks.lines
        if source in number and target in number
    ]
    return layers, lines


def counted(names: Sequence[str]) -> list[str]:
    """Ids that count up by their ends, ``PB1:3-8``, so that many take little room."""
    runs: list[list[str]] = [[name] for name in names[:1]]
    for before, name in pairwise(names):
        one, other = COUNTED.fullmatch(before), COUNTED.fullmatch(name)
        if one and other and (one[1], int(one[2]) + 1) == (other[1], int(other[2])):
            runs[-1].append(name)
        else:
            runs.append([name])
    return [run[0] if len(run) < 2 else f"{run[0]}-{_number_of(run[-1])}" for run in runs]


def _number_of(name: str) -> str:
    return name.rpartition(":")[2].lstrip("TB")


def in_full(names: Iterable[str]) -> Iterator[str]:
    """The ids that ``counted`` has shortened."""
    for name in names:
        run = RUN.fullmatch(name)
        if run is None:
            yield name
        else:
            yield from (f"{run[1]}{n}" for n in range(int(run[2]), int(run[3]) + 1))


def read_earlier(texts: Sequence[str], file: str) -> Earlier:
    """A drawing as it stood, from what its files bear, the first of which is ``file``.

    What further ones bear is taken where it is of the very same drawing, else left out.
    RequestError where the first was written by another version, is broken, or holds what no
    drawing can.
    """
    try:
        first = _parsed(texts[0], file)
        whole = _object(_of(first, CHART), CHART)
        found = dict(first)
        for text in texts[1:]:
            found.update(_of_same(text, first[CHART]))
        return _earlier(whole, found)
    except _Broken as broken:
        what = f"what it holds of where things stand is broken: {broken}"
        raise RequestError([problem(broken.where, what, BEGIN_AGAIN)], file) from None


class _Broken(Exception):
    """Something in what a file bears is not as it was written; ``where`` it is."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(what)
        self.where = where


def _refuse_number(text: str) -> NoReturn:
    raise _Broken("", f"{text[:20]} is no whole number")


def _parsed(text: str, file: str = "") -> dict[str, object]:
    """The object that a text holds; RequestError for one of another version."""
    if len(text) > MOST_TEXT:
        raise _Broken("", "it is far too large")
    try:
        found = json.loads(text, parse_float=_refuse_number, parse_constant=_refuse_number)
    except (ValueError, RecursionError):
        raise _Broken("", "it cannot be read") from None
    parts = _object(found, "")
    version = parts.get("version")
    if version != VERSION or isinstance(version, bool):
        what = "what it holds of where things stand was written by another version of slinediag"
        raise RequestError([problem("", what, BEGIN_AGAIN)], file)
    return parts


def _of_same(text: str, whole: object) -> dict[str, object]:
    """The sheets that a further file bears; none where it is broken or of another drawing."""
    try:
        parts = _parsed(text)
        if parts.get(CHART) != whole:
            return {}
        found = {n: part for n, part in parts.items() if n.startswith((SHEET, OVERVIEW))}
        for name, part in found.items():
            _sheetful(_object(part, name), name)
        found.update({n: part for n, part in parts.items() if n.startswith(PICTURE)})
    except (_Broken, RequestError):
        return {}
    return found


def _earlier(whole: Mapping[str, object], parts: Mapping[str, object]) -> Earlier:
    size = _list(_of(whole, "size"), "chart, size", 2, 2)
    scale = _list(_of(whole, "scale"), "chart, scale", 2, 2)
    several = "first" in whole
    units = _units(_object(_of(whole, "units"), "chart, units")) if several else {}
    first = _whole(whole["first"], "chart, first", 2, MOST_SHEETS) if several else 0
    if units and min(units) < first:
        raise _Broken("chart, first", f"sheet {min(units)} comes before the first")
    return Earlier(
        part=_flag(_of(whole, "part"), "chart, part"),
        folded=_flag(_of(whole, "folded"), "chart, folded"),
        size=(_whole(size[0], "chart, size", 1), _whole(size[1], "chart, size", 1)),
        scale=Fraction(*(_whole(value, "chart, scale", 1, 10_000) for value in scale)),
        sheets={
            number: _sheetful(_object(part, f"sheet {number}"), f"sheet {number}")
            for number, part in _sheets_in(parts)
            if not several or number in units
        },
        first=first,
        units=units,
        overview=_standing(_object(parts[OVERVIEW], OVERVIEW), OVERVIEW)
        if OVERVIEW in parts
        else Standing(),
        pictures=dict(_pictures(parts)),
    )


def _pictures(parts: Mapping[str, object]) -> Iterator[tuple[int, str]]:
    """By number, what sheets look like; of one that does not say so soundly, nothing."""
    for name, picture in parts.items():
        number = re.fullmatch(rf"{PICTURE}([1-9][0-9]{{0,3}})", name, re.ASCII)
        if number and isinstance(picture, str) and re.fullmatch("[0-9a-f]{32}", picture):
            yield int(number[1]), picture


def _units(found: Mapping[str, object]) -> dict[int, tuple[str, ...]]:
    units: dict[int, tuple[str, ...]] = {}
    seen: set[str] = set()
    for key, value in found.items():
        where = f"chart, units, {key[:20]}"
        names = [_name(name, where) for name in _list(value, where)]
        own = tuple(islice(in_full(names), MOST_THINGS + 1))
        units[_numbered(key, where)] = own
        if not own or len(own) + len(seen) > MOST_THINGS:
            raise _Broken(where, "nothing stands there, or far too much")
        if len(set(own)) < len(own) or seen & set(own):
            raise _Broken(where, "something stands on two sheets")
        seen |= set(own)
    return units


def _sheets_in(parts: Mapping[str, object]) -> list[tuple[int, object]]:
    """The sheets that are told of, by number."""
    return [
        (_numbered(name.removeprefix(SHEET), name[:30]), part)
        for name, part in parts.items()
        if name.startswith(SHEET)
    ]


def _sheetful(found: Mapping[str, object], where: str) -> Sheetful:
    shift = None
    if "shift" in found:
        pair = _list(found["shift"], f"{where}, shift", 2, 2)
        shift = Point(*(_whole(value, f"{where}, shift", -FAR) for value in pair))
    return Sheetful(_standing(found, where), shift)


def _standing(found: Mapping[str, object], where: str) -> Standing:
    nodes: dict[str, Box] = {}
    islands = []
    for number, value in enumerate(_list(_of(found, "islands"), f"{where}, islands"), 1):
        at = f"{where}, island {number}"
        top, drawn, layers, lines, origin = _list(value, at, 5, 5)
        layout, corners = _layout(layers, lines, at, more=2)
        if nodes.keys() & corners.keys():
            raise _Broken(at, "something stands in two islands")
        nodes |= {name: Box(x, y, 0, 0) for name, (x, y) in corners.items()}
        after = None
        if origin is not None:
            layers, lines = _list(origin, f"{at}, before", 2, 2)
            after, _ = _layout(layers, lines, f"{at}, before")
        digest = "" if drawn == "" else _name(drawn, at)
        islands.append(Stood(layout, _whole(top, f"{at}, top", -FAR), digest, after))
    return Standing(tuple(islands), nodes, _whole(_of(found, "room"), f"{where}, room"))


def _layout(
    layers: object, lines: object, where: str, more: int = 0
) -> tuple[Layout, dict[str, list[int]]]:
    """The order of an island, and so many further numbers of each box."""
    further: dict[str, list[int]] = {}
    ranks: dict[str, int] = {}
    rows = []
    for number, row in enumerate(_list(layers, f"{where}, layers")):
        at = f"{where}, layer {number}"
        names = []
        for value in _list(row, at, 1):
            name, rank, *others = _list(value, at, 2 + more, 2 + more)
            names.append(_name(name, at))
            if names[-1] in further:
                raise _Broken(at, "something stands in two places")
            further[names[-1]] = [_whole(other, at) for other in others]
            if _whole(rank, at, -1) >= 0:
                ranks[names[-1]] = _whole(rank, at)
        rows.append(tuple(names))
    order = Ranks(ranks, _lines(lines, [*further], where))
    return Layout({}, {}, {}, (), (), tuple(rows), 0, 0, 0, order), further


def _lines(
    found: object, names: Sequence[str], where: str
) -> tuple[tuple[tuple[str, str], tuple[str, str], int], ...]:
    lines = []
    for number, value in enumerate(_list(found, f"{where}, lines"), 1):
        at = f"{where}, line {number}"
        source, out, target, into, rank = _list(value, at, 5, 5)
        ends = [names[_whole(end, at, 0, len(names) - 1)] for end in (source, target)]
        ports = [_name(port, at) for port in (out, into)]
        lines.append(((ends[0], ports[0]), (ends[1], ports[1]), _whole(rank, at)))
    return tuple(lines)


def _of(found: Mapping[str, object], key: str) -> object:
    if key not in found:
        raise _Broken(key, "it is missing")
    return found[key]


def _object(value: object, where: str) -> dict[str, object]:
    if not isinstance(value, dict):
        raise _Broken(where, "it is no object")
    return value


def _list(value: object, where: str, least: int = 0, most: int = MOST_TEXT) -> list[object]:
    if not isinstance(value, list) or not least <= len(value) <= most:
        raise _Broken(where, "it is no list of this length")
    return value


def _name(value: object, where: str) -> str:
    if not isinstance(value, str) or not 0 < len(value) <= LONGEST or not value.isprintable():
        raise _Broken(where, "there is no name")
    return value


def _flag(value: object, where: str) -> bool:
    if not isinstance(value, bool):
        raise _Broken(where, "it is neither true nor false")
    return value


def _whole(value: object, where: str, low: int = 0, high: int = FAR) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _Broken(where, "it is no whole number")
    if not low <= value <= high:
        raise _Broken(where, f"it is not from {low} to {high}")
    return value


def _numbered(text: str, where: str) -> int:
    """The number of a sheet, spelled as it is written here."""
    if not re.fullmatch(r"[1-9][0-9]{0,2}", text, re.ASCII):
        raise _Broken(where, "it is no number of a sheet")
    return int(text)
