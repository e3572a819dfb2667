"""What to order a bay with: a page to send for each, and tables.

Normals are counted from one setting, the bay's own, since that is how panels are ordered: all
alike, with exceptions by position.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from slinediag.drawing.marks import Drawing
from slinediag.model.bay import Bay, NormalKind, Style
from slinediag.model.facility import CrossNormal, Facility
from slinediag.papers.page import WIDTH, Paper, Section, Slab, cautions, in_columns, listed, pages
from slinediag.papers.panel import height_words, panel_of, pitch_words
from slinediag.papers.table import Table
from slinediag.papers.terminations import TERMINATIONS, springs_of, terminations
from slinediag.tracing.phrases import counted

PAPER = Paper("Order sheet", "What to order")
STYLES = {
    "bantam": "bantam jacks, for plugs of 4.39 mm (0.173 in)",
    "long-frame": "long-frame jacks, for plugs of 6.35 mm after MIL-DTL-642, BPO 316, IEC 60603-11",
    "quarter-inch": "quarter-inch jacks, for instrument plugs of 6.35 mm (1/4 in)",
}
SLEEVES = {
    "single": "each sleeve on its own, none strapped",
    "rows": "a bus for each row",
    "all": "one bus for all sleeves",
    "pairs": "top and bottom of each position strapped",
    "switched": "top and bottom strapped through sleeve break contacts: a plug in either opens it",
}
BONDED = {"rows": "each row's bus", "all": "the bus"}
"""What is bonded where a bay is, by its sleeves; each sleeve where there is no bus."""
SIX_MILLIMETRES = (
    "An instrument plug in a long-frame jack overstretches its springs; a long-frame plug in an "
    "instrument jack often meets only the sleeve. Order cords and plugs of the same style."
)
PLUGS: Mapping[Style, str] = {
    "bantam": "Order cords and dummy plugs of the same style: those of 6.35 mm do not go in.",
    "long-frame": SIX_MILLIMETRES,
    "quarter-inch": SIX_MILLIMETRES,
}
"""What to mind about plugs, by the style of the jacks."""
EARTH = (
    "Sleeves are bonded to technical earth as this sheet says and nowhere else. Protective "
    "earth stays on everything, always; mains and protective earth are for licensed people."
)


@dataclass(frozen=True, slots=True)
class Normals:
    """The normals of a bay as ordered: one setting, and the positions that differ from it.

    The setting is what the file gives the bay, half where it gives none. ``crossed`` positions
    have no normal of their own, since one from another position ends there.
    """

    setting: NormalKind
    kinds: tuple[NormalKind, ...]
    crossed: tuple[int, ...]

    @property
    def differing(self) -> tuple[int, ...]:
        """Positions, from 1, whose normal is not the setting."""
        return tuple(n for n, kind in enumerate(self.kinds, 1) if kind != self.setting)

    @property
    def commonest(self) -> NormalKind:
        """The kind that most positions have; of two alike the first met."""
        return Counter(self.kinds).most_common(1)[0][0]

    @property
    def too_many(self) -> bool:
        """Whether more than half the positions differ from the setting."""
        return 2 * len(self.differing) > len(self.kinds)


def normals_of(facility: Facility, bay: Bay) -> Normals:
    """The normals that a bay is ordered with."""
    crossed = {n.target.position for n in crossing(facility, bay)}
    kinds: tuple[NormalKind, ...] = tuple(
        "none" if n in crossed else bay.normal_at(n) for n in range(1, bay.width + 1)
    )
    setting: NormalKind = "none" if bay.rows == 1 else bay.normal or "half"
    return Normals(setting, kinds, tuple(sorted(crossed)))


def crossing(facility: Facility, bay: Bay) -> tuple[CrossNormal, ...]:
    """The normals across positions that end on a bay."""
    return tuple(n for n in facility.cross_normals if n.target.bay == bay.id)


def runs_of_kinds(normals: Normals) -> list[tuple[int, int, NormalKind]]:
    """Runs of positions of one kind: first, last, kind."""
    runs = []
    for kind, run in groupby(enumerate(normals.kinds, 1), key=lambda pair: pair[1]):
        members = [number for number, _ in run]
        runs.append((members[0], members[-1], kind))
    return runs


def warnings_of(facility: Facility, bay: Bay) -> tuple[str, ...]:
    """What to think of before a bay is ordered like this."""
    normals = normals_of(facility, bay)
    found = []
    if normals.too_many:
        count, width = len(normals.differing), len(normals.kinds)
        other = normals.commonest
        better = Normals(other, normals.kinds, normals.crossed)
        advice = "with its normals brought out and strapped at the rear"
        if not better.too_many and other != normals.setting:
            exceptions = counted(len(better.differing), "exception")
            advice = f"set to {other} with {exceptions}, or {advice}"
        differ = f"{count} of {counted(width, 'position')} differ{'s' * (count == 1)}"
        found.append(f"{differ} from the setting {normals.setting}: order it {advice}.")
    if normals.crossed and not bay.normals_out:
        where = ", ".join(map(str, normals.crossed))
        found.append(
            f"A normal from another position ends at {where}: their break contacts must be brought "
            "to the rear."
        )
    return tuple(found)


def _asked(facility: Facility, bay: Bay) -> Iterator[tuple[str, str]]:
    """What a bay is ordered with, point by point."""
    panel, normals = panel_of(facility, bay), normals_of(facility, bay)
    rows = "two rows, top and bottom" if bay.rows != 1 else "one row"
    height = height_words(facility, bay, "confirm it with the supplier")
    yield "Panel", f"one, 19 in (482.6 mm) wide, {height}"
    yield "Jacks", STYLES[bay.jack_style]
    jacks = counted(len(list(bay.jacks())), "jack")
    yield "Positions", f"{bay.width} a row, {rows}: {jacks}"
    yield "Numbers", _numbers_text(bay)
    yield "Pitch", f"{bay.jack_pitch:.2f} mm" + ("" if bay.pitch else f" ({pitch_words(bay)})")
    window = panel.windows[0].box
    yield (
        "Strips",
        f"window {window.height / 1000:.1f} mm high by {window.width / 1000:.2f} mm; where the "
        "panel's own differs, file it before its strips are printed",
    )
    yield "Normals", _normals_text(bay, normals)
    yield "Sleeves", SLEEVES[bay.sleeves or "single"]
    bonded = BONDED.get(bay.sleeves or "single", "each sleeve")
    yield (
        "Earth",
        f"{bonded} bonded to technical earth" if bay.bonded else "sleeves not bonded at the bay",
    )
    count = len(list(terminations(bay)))
    springs = ", ".join(springs_of(bay, "T"))
    yield (
        "Rear",
        f"{TERMINATIONS[bay.terminations or 'idc']}: {count}, {springs} above"
        + (f", {', '.join(springs_of(bay, 'B'))} below" if bay.rows != 1 else ""),
    )


def _numbers_text(bay: Bay) -> str:
    """The numbers printed at a bay's jacks, row by row."""
    numbers = [bay.printed_number(jack) for jack in bay.jacks()]
    rows = [numbers[n : n + bay.width] for n in range(0, len(numbers), bay.width)]
    spans = [str(row[0]) if len(row) == 1 else f"{row[0]} to {row[-1]}" for row in rows]
    return f"{spans[0]} above, {spans[1]} below" if len(spans) == 2 else spans[0]


def _normals_text(bay: Bay, normals: Normals) -> str:
    where = "made within the panel"
    if bay.normals_out:
        where = "brought out to the rear, strapped on site as the schedule lists"
    differing = len(normals.differing)
    if not differing:
        return f"all {normals.setting}, {where}"
    differ = f"{counted(differing, 'position')} differ{'s' * (differing == 1)}"
    return f"{normals.setting}, {where}; {differ}, see below"


def order_tables(facility: Facility) -> tuple[Table, ...]:
    """A row a bay, and a row a position."""
    bays = facility.bays_in_order
    asked = [dict(_asked(facility, bay)) for bay in bays]
    names = tuple(dict.fromkeys(name for one in asked for name in one))
    rows = tuple(
        (
            bay.id,
            bay.printed,
            bay.name,
            *(one.get(name) for name in names),
            " ".join(warnings_of(facility, bay)) or None,
        )
        for bay, one in zip(bays, asked, strict=True)
    )
    columns = ("Bay", "Label", "Name", *names, "Think of")
    positions = tuple(
        (bay.id, number, kind, "differs" if kind != normals.setting else None)
        for bay in bays
        for normals in (normals_of(facility, bay),)
        for number, kind in enumerate(normals.kinds, 1)
    )
    return (
        Table("order", "Bays to order", columns, rows),
        Table("normals", "Normals by position", ("Bay", "Position", "Normal", "Note"), positions),
    )


def order_pages(facility: Facility) -> tuple[Drawing, ...]:
    """A page a bay."""
    sections: list[Section] = []
    for bay in facility.bays_in_order:
        sections += _bay_sections(facility, bay)
    return pages(facility, PAPER, sections or [Section("No bays", ())])


def _bay_sections(facility: Facility, bay: Bay) -> Iterator[Section]:
    """The page of one bay: what is asked for, what to think of, exceptions, cautions."""
    title = f"{bay.printed}  {bay.name}"
    if bay.place:
        unit = f", unit {bay.unit}" if bay.unit is not None else ""
        title += f", for {bay.place}{unit}"
    yield Section(title, listed(list(_asked(facility, bay))), fresh=True, anchor=f"order:{bay.id}")
    normals = normals_of(facility, bay)
    warned = warnings_of(facility, bay)
    if warned:
        yield Section("Think of", listed([("!", words) for words in warned]))
    if normals.differing:
        yield Section(f"Positions that are not {normals.setting}", _exceptions(normals))
    crossed = crossing(facility, bay)
    if crossed:
        yield Section("Normals from other positions, strapped at the rear", _crossed(crossed))
    yield cautions((PLUGS[bay.jack_style], EARTH))


def _exceptions(normals: Normals) -> tuple[Slab, ...]:
    """The positions that differ from the setting, in runs of one kind."""
    runs = [
        (str(first) if first == last else f"{first}–{last}", kind)
        for first, last, kind in runs_of_kinds(normals)
        if kind != normals.setting
    ]
    return in_columns(listed(runs, WIDTH // 5), 5)


def _crossed(crossed: tuple[CrossNormal, ...]) -> tuple[Slab, ...]:
    return listed([(str(n.target), f"{n.wired} from {n.source}") for n in crossed])
