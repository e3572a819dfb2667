"""Failed bays, places and cables: what falls silent with them, in words and on a chart.

A chart is drawn of the facility as filed, which stays in its place; what has failed of it is
crossed out and what is silent then drawn hollow, as a trial's silence is. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from slinediag import text
from slinediag.address import Address, Jack, PortAddress
from slinediag.chart import symbols
from slinediag.chart.before_after import AFTER
from slinediag.chart.enlarging import enlarged
from slinediag.chart.jackfield import GAP_HALF, TITLE_BASELINE, TITLE_OVER_CROSS
from slinediag.chart.moving import all_moved, moved
from slinediag.chart.planning import FLOW
from slinediag.chart.points import JACK_RADIUS, PITCH
from slinediag.chart.silence import carrying
from slinediag.chart.titleblock import BLOCK, under_trial
from slinediag.drawing import styles
from slinediag.drawing.marks import Circle, Drawing, Group, Line, Mark, Ref, Style, Text
from slinediag.drawing.query import ink_box
from slinediag.geometry import Point
from slinediag.model.facility import Facility
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.phrases import listed, port_name
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Answer, Trial

NO_FAILURE = Failure()
BEHIND = 2_700
"""How far behind a jack or port a cut wire is crossed."""
SMALL = Fraction(3, 5)
"""The cross there, against that on a normal: names of tie lines stand right above."""
ARM = 1_700
"""Half the height of the cross over a failed jack, short of the labels beside it."""
AFTER_FAILURE = "After: with what has failed"
"""The heading of the lower half where nothing is tried beside."""
BOTH = "After: with what has failed, and the trial"
MEANING = "Crossed out: failed or cut. Hollow and dashed: silent."
OVER_NORMAL = {"position", "note", "note-number"}
"""What stands over a position's normal."""
DEAD = Style(styles.VERMILION, styles.W50, end="round")


@dataclass(frozen=True, slots=True)
class Damage:
    """What of a drawing is dead and what is silent, in all: by the failure and by the trial.

    ``cut``: the jacks and ports at whose rear a wire is open, with the side of it, −1 for left.
    """

    silent: frozenset[Address] = frozenset()
    bays: frozenset[str] = frozenset()
    cut: Mapping[Address, int] = field(default_factory=dict)


NO_DAMAGE = Damage()


def damage_of(
    facility: Facility, failure: Failure, answer: Answer, drawn: Iterable[Address]
) -> Damage:
    """What a failure, and the trial done to what is left, come to on a drawing of these."""
    if failure == NO_FAILURE:
        return NO_DAMAGE
    addresses = tuple(drawn)
    before = carrying(ask(facility, Trial()), addresses)
    return Damage(
        silent=before - carrying(answer, addresses),
        bays=failure.dead_bays(facility),
        cut=dict(cut_ends(facility, failure)),
    )


def cut_ends(facility: Facility, failure: Failure) -> Iterator[tuple[Address, int]]:
    """Where wires are open, with the side of it."""
    for jack, wire in facility.wires.items():
        if failure.cuts(wire.cable):
            yield jack, -1 if jack.row == "T" else 1
    for line in facility.lines.values():
        if failure.cuts(line.cable):
            end = line.target
            yield end, 1 if isinstance(end, Jack) and end.row == "B" else -1


def failed_words(facility: Facility, failure: Failure) -> list[str]:
    """What has failed beside single boxes, each in words."""
    return [
        *(f"Bay {facility.bays[bay].printed} failed" for bay in failure.bays),
        *(f"All at {place} failed" for place in failure.places),
        *(f"Cable {cable} cut" for cable in failure.cables),
    ]


def broken(facility: Facility, failure: Failure) -> dict[str, frozenset[Address]]:
    """What has failed beside single boxes, in words, with the jacks and ports where it is."""
    parts = (
        *(Failure(bays=(bay,)) for bay in failure.bays),
        *(Failure(places=(place,)) for place in failure.places),
        *(Failure(cables=(cable,)) for cable in failure.cables),
    )
    found: dict[str, frozenset[Address]] = {}
    for part in parts:
        (words,) = failed_words(facility, part)
        bays = [facility.bays[bay] for bay in part.dead_bays(facility)]
        ends: set[Address] = {
            Jack(bay.id, row, number)
            for bay in bays
            for row in bay.jack_rows
            for number in range(1, bay.width + 1)
        }
        ends |= {end for end, _ in cut_ends(facility, part)}
        found[words[0].lower() + words[1:]] = frozenset(ends)
    return found


def silenced_inputs(
    facility: Facility, failure: Failure, answer: Answer
) -> tuple[str, tuple[PortAddress, ...]]:
    """What has failed and which inputs are silent now, in one sentence; and those inputs."""
    inputs = tuple(facility.inputs())
    silent = carrying(ask(facility, Trial()), inputs) - carrying(answer, inputs)
    named = tuple(port for port in inputs if port in silent)
    words = failed_words(facility, failure)
    what = listed([words[0], *(each[0].lower() + each[1:] for each in words[1:])])
    if not named:
        return f"{what}: no input is silent.", ()
    return f"{what}: silent now {listed([port_name(facility, p) for p in named])}.", named


def crossed_out(
    drawing: Drawing, facility: Facility, damage: Damage, *, tried: bool = False
) -> Drawing:
    """A sheet of the chart as filed with what has failed crossed out and what is silent hollow.

    Where the chart before stands on the sheet too, that half stays as filed. ``tried``: whether
    there is a trial beside the failure.
    """
    silent = frozenset(map(facility.spelled, damage.silent))
    cut = {str(end): side for end, side in damage.cut.items() if isinstance(end, Jack)}
    ports = frozenset(facility.spelled(e) for e in damage.cut if isinstance(e, PortAddress))
    heading = BOTH if tried else AFTER_FAILURE
    crossing = _Crossing(silent, damage.bays, cut, ports, drawing.width, heading, tried)
    return replace(drawing, marks=tuple(crossing.over(drawing.marks)))


@dataclass(frozen=True, slots=True)
class _Crossing:
    """Marks as they were or changed; things by the addresses that a drawing names them with.

    ``cut`` are jacks, ``ports`` the inputs at which a direct line ends that is cut. ``heading``
    stands over the half after, where there are two. ``marked``: whether the title block says
    already that this is not as filed.
    """

    silent: frozenset[str]
    bays: frozenset[str]
    cut: Mapping[str, int]
    ports: frozenset[str]
    width: int
    heading: str
    marked: bool

    def over(self, marks: Iterable[Mark]) -> Iterator[Mark]:
        for mark in marks:
            if isinstance(mark, Group) and "before" in mark.ref.classes:
                yield mark
            elif isinstance(mark, Group) and BLOCK in mark.ref.classes:
                yield mark if self.marked else under_trial(mark)
            elif isinstance(mark, Group):
                top = dict(mark.ref.data).get("top", "")
                dead = "point" in mark.ref.classes and top.partition(".")[0] in self.bays
                inner = self._dead(mark.marks) if dead else self.over(mark.marks)
                ref = replace(mark.ref, title=self.heading) if mark.ref.title == AFTER else mark.ref
                yield replace(mark, marks=tuple(inner), ref=ref)
            elif isinstance(mark, Line) and mark.ref is not None:
                yield from self._line(mark, mark.ref)
            elif isinstance(mark, Circle) and mark.ref is not None:
                yield from self._jack(mark, mark.ref)
            elif isinstance(mark, Text) and mark.text.endswith(FLOW):
                yield self._explained(mark)
            elif isinstance(mark, Text) and mark.text == AFTER:
                width = text.width(self.heading, mark.height, mark.weight)
                yield replace(mark, text=self.heading, width=width)
            else:
                yield mark

    def _explained(self, below_heading: Text) -> Text:
        """What is said below the heading, and what crosses and hollow lines say; if it has room."""
        said = f"{below_heading.text} {MEANING}"
        width = text.width(said, below_heading.height, below_heading.weight)
        if below_heading.at.x + width > self.width - below_heading.at.x:
            return below_heading
        return replace(below_heading, text=said, width=width)

    def _line(self, line: Line, ref: Ref) -> Iterator[Mark]:
        """A line or normal, hollow and dashed where it is silent; crossed where it is cut."""
        data = dict(ref.data)
        ends = [*data.get("from", "").split(), *data.get("to", "").split()]
        if "normal" in ref.classes:
            ends = [data["normal"].partition("=")[0]]
        kinds = {"line", "normal"} & set(ref.classes)
        still = {"silent", "broken"} & set(ref.classes)
        if kinds and not still and not self.silent.isdisjoint(ends):
            yield from _hollow(line, ref)
        else:
            yield line
        targets = data.get("to", "").split()
        if "line" in ref.classes and len(targets) == 1 and targets[0] in self.ports:
            end = max(point for run in line.runs for point in (run[0], run[-1]))
            scale = Fraction(line.style.width, styles.LINE.width)
            yield from _cross(end.moved(-round(BEHIND * scale), 0), scale * SMALL)

    def _jack(self, jack: Circle, ref: Ref) -> Iterator[Mark]:
        yield jack
        side = self.cut.get(dict(ref.data).get("jack", "")) if "jack" in ref.classes else None
        if side is not None:
            scale = Fraction(jack.radius, JACK_RADIUS)
            at = jack.centre.moved(round(side * BEHIND * scale), 0)
            yield from _cross(at, scale * SMALL)

    def _dead(self, marks: Iterable[Mark]) -> Iterator[Mark]:
        """A position of a failed bay: its normals parted, its jacks crossed out."""
        marks = tuple(marks)
        normals = [m for m in marks if isinstance(m, Line) and m.ref and "normal" in m.ref.classes]
        whole = [normal for normal in normals if normal.ref and "broken" not in normal.ref.classes]
        for mark in marks:
            ref = mark.ref
            if isinstance(mark, Line) and ref is not None and "normal" in ref.classes:
                yield from _parted(mark, ref)
            elif ref is not None and OVER_NORMAL & set(ref.classes):
                yield _lifted(mark, whole)
            elif isinstance(mark, Circle) and ref is not None and "jack" in ref.classes:
                yield from self._jack(mark, ref)
                arm = ARM * mark.radius // JACK_RADIUS
                corners = [mark.centre.moved(x, y) for x in (-arm, arm) for y in (-arm, arm)]
                runs = (corners[0], corners[3]), (corners[1], corners[2])
                width = DEAD.width * mark.radius // JACK_RADIUS
                yield Line(runs, replace(DEAD, width=width), Ref(("failed",)))
            else:
                yield mark


def _hollow(line: Line, ref: Ref) -> Iterator[Line]:
    """A line or normal as a trial's silence is drawn, and told to who cannot see it."""
    scale = Fraction(line.style.width, styles.LINE.width)
    words = f"{ref.desc}. Silent now" if ref.desc else "Silent now"
    silent = replace(ref, classes=(*ref.classes, "silent"), desc=words)
    yield replace(line, style=_scaled(symbols.SILENT, scale), ref=silent)
    yield Line(line.runs, _scaled(symbols.HOLLOW, scale), Ref(("hollow",)))


def _parted(normal: Line, ref: Ref) -> Iterator[Mark]:
    """A normal parted about a cross; as it is where it is parted already."""
    if "broken" in ref.classes:
        yield normal
        return
    scale = Fraction(normal.style.width, styles.LINE.width)
    start, end = normal.runs[0][0], normal.runs[-1][-1]
    middle, gap = Point((start.x + end.x) // 2, start.y), round(GAP_HALF * scale)
    runs = (start, middle.moved(-gap, 0)), (middle.moved(gap, 0), end)
    yield replace(normal, runs=runs, ref=replace(ref, classes=(*ref.classes, "broken")))
    yield from _cross(middle, scale)


def _lifted(mark: Mark, crossed: Iterable[Line]) -> Mark:
    """A position's number, or its note's, out of the way of the cross on the normal below it."""
    for normal in crossed:
        scale = Fraction(normal.style.width, styles.LINE.width)
        if abs(ink_box(mark).centre.y - normal.runs[0][0].y) < PITCH * scale / 2:
            return moved(mark, 0, round((TITLE_OVER_CROSS - TITLE_BASELINE) * scale))
    return mark


def _cross(at: Point, scale: Fraction) -> Iterator[Mark]:
    yield from all_moved(enlarged([symbols.break_cross(Point(0, 0))], scale), *at)


def _scaled(style: Style, scale: Fraction) -> Style:
    return replace(style, width=round(style.width * scale))


def drawn_addresses(facility: Facility) -> tuple[Address, ...]:
    """Everything that a chart may draw a line at."""
    return (*facility.jacks, *facility.outputs(), *facility.inputs())
