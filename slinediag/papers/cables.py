"""Cables: both ends, pairs used and spare, label texts, by rack, and what there is to buy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from slinediag.address import Address, Jack, natural
from slinediag.chart.ranges import number_runs
from slinediag.model.bay import Style
from slinediag.model.facility import Facility
from slinediag.papers.colours import pair_colours
from slinediag.papers.punchdown import joined
from slinediag.papers.runs import CableRun, cable_runs, end_label, home_of, pairs_of, place_of
from slinediag.papers.table import Table, Value
from slinediag.papers.terminations import AT_BAY, TERMINATIONS, Strap, straps_of, terminations
from slinediag.tracing.phrases import counted
from slinediag.tracing.places import place_name
from slinediag.tracing.reach import Reach

NOT_FILED = "not filed"
MOST_NAMED = 3
ALIKE = "each position alike"


def runs_in(facility: Facility, *, named: bool = False) -> tuple[CableRun, ...]:
    """Every cable of the facility; only those that the file names where ``named``."""
    runs = cable_runs(facility, pairs_of(facility))
    return tuple(run for run in runs if run.filed or not named)


def ends_text(
    facility: Facility, ends: Iterable[Address], most: int = MOST_NAMED, *, placed: bool = True
) -> str:
    """What the ends of a cable belong to, and where that stands: ``PB1, PB2 (Rack 1)``.

    ``most``: how many are named; ``placed``: whether it is said where they stand.
    """
    homes = list(dict.fromkeys(home_of(facility, end) for end in ends))
    places = list(dict.fromkeys(p for end in ends if (p := place_name(place_of(facility, end)))))
    named = ", ".join(homes[:most])
    if len(homes) > most:
        named += f" and {len(homes) - most} more"
    return f"{named} ({', '.join(places)})" if places and placed else named


def label_text(
    facility: Facility, run: CableRun, most: int = MOST_NAMED, *, placed: bool = True
) -> tuple[str, str]:
    """The label of a cable, alike at both its ends (ANSI/TIA-606, from memory): name, and ends;
    ``most`` and ``placed`` as for ``ends_text``.
    """
    near, far = _both_ends(facility, run, most, placed=placed)
    return run.name, f"{near} – {far}" if near else ""


def _both_ends(
    facility: Facility, run: CableRun, most: int = MOST_NAMED, *, placed: bool = True
) -> tuple[str, str]:
    """What each end of a cable belongs to, in words."""
    laid = _laid(facility, run)
    ends = [near for near, _ in laid], [far for _, far in laid]
    near, far = (ends_text(facility, one, most, placed=placed) for one in ends)
    return near, far


def _laid(facility: Facility, run: CableRun) -> list[tuple[Address, Address]]:
    """The ends of a cable's pairs, all from one end of it: where its first pair starts."""
    laid: list[tuple[Address, Address]] = []
    for pair in run.pairs:
        here = place_of(facility, run.pairs[0].near)
        turned = place_of(facility, pair.near) != here and place_of(facility, pair.far) == here
        laid.append((pair.far, pair.near) if turned else (pair.near, pair.far))
    return laid


def cables_table(facility: Facility, *, named: bool = False) -> Table:
    """A row a cable: type, length, both ends, pairs used and spare, the text of its labels."""
    rows: list[tuple[Value, ...]] = []
    for run in runs_in(facility, named=named):
        near, far = _both_ends(facility, run)
        name, ends = label_text(facility, run)
        cable = run.cable
        rows.append(
            (
                run.name,
                cable.type if cable else None,
                run.length,
                near or None,
                far or None,
                run.count,
                len(run.used) if run.pairs else 0,
                numbers_text(run.spare) or None,
                f"{name}  {ends}".strip(),
                cable.note if cable else None,
            )
        )
    columns = (
        "Cable", "Type", "Length m", "One end", "Other end", "Pairs", "Used", "Spare pairs",
        "Label at both ends", "Note",
    )  # fmt: skip
    return Table("cables", "Cables", columns, tuple(rows))


def numbers_text(numbers: Iterable[int]) -> str:
    """Numbers with runs drawn together: ``5–8, 11``."""
    return ", ".join(
        str(first) if first == last else f"{first}–{last}" for first, last in number_runs(numbers)
    )


def pairs_table(facility: Facility, *, named: bool = False) -> Table:
    """A row a pair, cable by cable."""
    rows: list[tuple[Value, ...]] = []
    for run in runs_in(facility, named=named):
        for pair in run.pairs:
            tip, ring = pair_colours(run.cable, pair.number)
            rows.append(
                (
                    run.name,
                    pair.number,
                    tip or None,
                    ring or None,
                    facility.spelled(pair.near),
                    end_label(facility, pair.near) or None,
                    joined(pair.joined_near),
                    facility.spelled(pair.far),
                    end_label(facility, pair.far) or None,
                    joined(pair.joined_far),
                    "swapped: + and \N{MINUS SIGN}" if pair.swapped else None,
                    run.length,
                )
            )
    columns = (
        "Cable", "Pair", "T wire", "R wire", "From", "Label", "Shield there", "To", "Far label",
        "Shield far", "Note", "Length m",
    )  # fmt: skip
    return Table("pairs", "Pairs, by cable", columns, tuple(rows))


def racks_table(facility: Facility, *, named: bool = False) -> Table:
    """A row for every cable at every place where it ends."""
    rows: list[tuple[Value, ...]] = []
    for run in runs_in(facility, named=named):
        laid = _laid(facility, run)
        for side in (laid, [(far, near) for near, far in laid]):
            ends: dict[str, list[tuple[Address, Address]]] = {}
            for end, far in side:
                place = place_name(place_of(facility, end)) or NOT_FILED
                ends.setdefault(place, []).append((end, far))
            for place, found in ends.items():
                here = ends_text(facility, [end for end, _ in found])
                there = ends_text(facility, [far for _, far in found])
                rows.append((place, run.name, here, there, len(found), run.length))
    rows.sort(key=lambda row: natural(str(row[0])))
    columns = ("Place", "Cable", "Ends here at", "Comes from", "Pairs", "Length m")
    return Table("racks", "Cables, by rack and room", columns, tuple(rows))


def straps_table(facility: Facility, *, by_runs: bool = False) -> Table:
    """A row a strap: normals made at the rear, and mults.

    ``by_runs``: straps alike at positions that follow one another are one row.
    """
    straps = straps_of(facility)
    runs = _strap_runs(straps) if by_runs else [[strap] for strap in straps]
    rows = tuple(
        (
            run[0].what,
            _jacks_from_to([strap.one for strap in run]),
            _jacks_from_to([strap.other for strap in run]),
            ", ".join(f"{one}–{other}" for one, other in run[0].springs),
            end_label(facility, run[0].one) or None if len(run) == 1 else ALIKE,
            end_label(facility, run[0].other) or None if len(run) == 1 else None,
        )
        for run in runs
    )
    columns = ("Strap", "From", "To", "Contacts", "Label", "Far label")
    return Table("straps", "Straps at the rear", columns, rows)


def _strap_runs(straps: Iterable[Strap]) -> list[list[Strap]]:
    """Straps in runs that are alike but for both positions, which count up."""
    runs: list[list[Strap]] = []
    for strap in straps:
        if runs and _follows(runs[-1][-1], strap):
            runs[-1].append(strap)
        else:
            runs.append([strap])
    return runs


def _follows(one: Strap, other: Strap) -> bool:
    moved = Jack(one.one.bay, one.one.row, one.one.position + 1)
    across = Jack(one.other.bay, one.other.row, one.other.position + 1)
    alike = (one.what, one.springs) == (other.what, other.springs)
    return alike and (moved, across) == (other.one, other.other)


def _jacks_from_to(jacks: Sequence[Jack]) -> str:
    first, last = jacks[0], jacks[-1]
    return str(first) if first == last else f"{first}–{last.row}{last.position}"


def totals_table(facility: Facility) -> Table:
    """What there is to buy: bays, cable by type, terminations, connectors, cords, dummy plugs."""
    rows = (
        *_bay_totals(facility),
        *_cable_totals(facility),
        *_connector_totals(facility),
        *_cord_totals(facility),
    )
    return Table("totals", "Totals to buy", ("Item", "Quantity", "Unit", "Note"), rows)


def _bay_totals(facility: Facility) -> Iterator[tuple[Value, ...]]:
    """Bays alike in jacks, counted; which is which stands on the order sheets."""
    alike: dict[str, list[str]] = {}
    for bay in facility.bays_in_order:
        jacks = counted(len(list(bay.jacks())), "jack")
        kind = f"patch bay, {bay.jack_style}, {jacks}"
        alike.setdefault(kind, []).append(bay.printed)
    for kind, names in alike.items():
        yield kind, len(names), "pieces", f"{', '.join(names)}: each as its order sheet says"


def _cable_totals(facility: Facility) -> Iterator[tuple[Value, ...]]:
    """Cable by type, in metres, as far as lengths are filed; runs without a name; labels."""
    by_type: dict[str, list[CableRun]] = {}
    own = 0
    for run in runs_in(facility):
        if run.cable is None:
            own += 1
        else:
            by_type.setdefault(run.cable.type or "cable, type not filed", []).append(run)
    for kind, runs in sorted(by_type.items(), key=lambda item: natural(item[0])):
        known = [run.length for run in runs if run.length is not None]
        missing = len(runs) - len(known)
        note = f"{counted(len(runs), 'cable')}, without cutting waste"
        if missing:
            note += f"; {missing} without a length"
        yield kind, round(sum(known), 2), "m", note
    if own:
        yield "cable runs that the file does not name", own, "runs", "type and length not filed"
    yield "cable labels, two to a cable", 2 * len(runs_in(facility)), "pieces", None


def _connector_totals(facility: Facility) -> Iterator[tuple[Value, ...]]:
    """Contacts at the rear of bays, and connectors at equipment by side and balance."""
    for bay in facility.bays_in_order:
        count = len(list(terminations(bay)))
        rear = bay.terminations or "idc"
        yield f"{bay.printed}: {AT_BAY[rear]} positions", count, "contacts", TERMINATIONS[rear]
    ports = Counter(
        (end.side, facility.facts(end).balanced)
        for pair in pairs_of(facility)
        for end in (pair.near, pair.far)
        if not isinstance(end, Jack)
    )
    for (side, balanced), count in sorted(ports.items()):
        kind = "balanced" if balanced else "unbalanced"
        place = "output" if side == "out" else "input"
        yield f"equipment connectors at {place}s, {kind}", count, "pieces", "to suit the equipment"


def _cord_totals(facility: Facility) -> Iterator[tuple[Value, ...]]:
    """Standing cords by plugs and length, and dummy plugs by style."""
    reach = Reach(facility)
    cords = Counter(
        (
            _plugs(facility, cord.source, cord.target),
            cord.length or reach.length(cord.source, cord.target),
        )
        for cord in facility.cords
    )
    for (plugs, length), count in sorted(cords.items(), key=lambda c: (c[0][0], c[0][1] or 0.0)):
        size = f"{length:g} m" if length else "length not known"
        yield f"patch cord, {plugs}, {size}", count, "pieces", "standing cords only"
    dummies = Counter(facility.bays[plug.jack.bay].jack_style for plug in facility.plugs)
    for style, count in sorted(dummies.items()):
        yield f"dummy plug, {style}", count, "pieces", None


def _plugs(facility: Facility, one: Jack, other: Jack) -> str:
    styles: list[Style] = sorted(facility.bays[jack.bay].jack_style for jack in (one, other))
    return styles[0] if styles[0] == styles[1] else f"{styles[0]} to {styles[1]}"
