"""The schedule of wiring and cables: by bay, by cable, by rack, straps, totals, cable labels."""

from __future__ import annotations

from collections.abc import Sequence

from slinediag.drawing.marks import Drawing
from slinediag.model.facility import Facility
from slinediag.papers.boxes import equipment_table
from slinediag.papers.cable_labels import label_section
from slinediag.papers.cables import (
    cables_table,
    pairs_table,
    racks_table,
    runs_in,
    straps_table,
    totals_table,
)
from slinediag.papers.colours import names_of, pair_colours
from slinediag.papers.page import Paper, Section, cautions, listed, pages
from slinediag.papers.punchdown import bay_table, punchdown_table, rear_of
from slinediag.papers.runs import CableRun
from slinediag.papers.table import Table, table_section, without

PAPER = Paper("Cable schedule", "Punch-down and cable schedule")
CAUTIONS = (
    "A lifted shield is the cable's audio shield alone, sleeved so that it touches nothing. "
    "Protective earth stays on everything, always; work on mains and protective earth is for "
    "licensed people under local codes.",
    "Phantom power off and a wait before a microphone circuit is opened; monitors and headphones "
    "down before any circuit is closed.",
    "Tell who is on air, and wait for a word, before an on-air or alarm circuit is touched.",
    "Insulation displacement posts take 22 to 26 AWG, stranded only where the block's maker allows "
    "it; the drain is sleeved. Colours are as filed; national codes differ: ring a pair through "
    "before you trust its colour.",
)


def schedule_tables(facility: Facility) -> tuple[Table, ...]:
    """The tables as spreadsheets take them: contacts one by one, not drawn together."""
    return (
        punchdown_table(facility),
        pairs_table(facility),
        cables_table(facility),
        racks_table(facility),
        straps_table(facility),
        equipment_table(facility),
        totals_table(facility),
    )


def schedule_pages(facility: Facility) -> tuple[Drawing, ...]:
    """The schedule as pages."""
    rear = rear_of(facility)
    sections: list[Section] = [cautions(CAUTIONS), _reading(facility)]
    for bay in facility.bays_in_order:
        sections.append(table_section(bay_table(rear, bay), anchor=f"schedule:{bay.id}"))
    straps = straps_table(facility, by_runs=True)
    tables = (
        pairs_table(facility, named=True),
        without(cables_table(facility, named=True), "Label at both ends"),
        racks_table(facility, named=True),
    )
    if straps.rows:
        sections.append(table_section(straps, anchor="straps"))
    boxes = equipment_table(facility)
    if boxes.rows:
        sections.append(table_section(boxes, anchor=boxes.name))
    sections += [table_section(table, anchor=table.name) for table in tables]
    sections.append(table_section(totals_table(facility), anchor="totals"))
    sections.append(label_section(facility))
    return pages(facility, PAPER, sections)


def _are(runs: int) -> str:
    return "is one such run" if runs == 1 else f"are {runs} such runs"


def _reading(facility: Facility) -> Section:
    """How the tables are read."""
    runs = runs_in(facility)
    own = sum(not run.filed for run in runs)
    words = [
        (
            "T, R, S",
            "tip, ring, sleeve; TN and RN their break contacts where brought out, all in this "
            "order: 6–10 is T on 6, R on 7 and so on. The numbers count terminations in the order "
            "wired: top row, then bottom row, left to right",
        ),
        ("Goes to", _names_filed(facility)),
        (
            "T to",
            "what T is wired to at the far end: + of a port, T of a jack; \N{MINUS SIGN} or R "
            "where the pair is swapped on purpose",
        ),
        (
            "Far label",
            "what is printed at the far end, where that is not the label here",
        ),
        ("Colour", _colours_filed(runs)),
    ]
    if own:
        words.append(
            (
                "own",
                f"the file names no cable for this pair; there {_are(own)}, called after the "
                "jack or line on labels and in the tables as CSV and XLSX",
            )
        )
    words.append(
        (
            "Strapped",
            "what is joined at the rear besides the wire: the kind of the position's own normal; "
            "the jack and contact that T or TN goes to, R and RN alike; mults",
        )
    )
    codes = colour_words(facility)
    if codes:
        words.append(("Codes", codes))
    return Section("How to read it", listed(words))


def _names_filed(facility: Facility) -> str:
    """How far ends are named, and which bays are filed under another name than is printed."""
    others = [f"{bay.id} is the bay printed {bay.printed}" for bay in facility.bays_in_order
              if bay.printed != bay.id]  # fmt: skip
    return "; ".join([
        "names as filed: a unit by its Id in the list of equipment and its port, a jack by bay, "
        "row and number", *others,
    ])  # fmt: skip


def _colours_filed(runs: Sequence[CableRun]) -> str:
    """What colours say of a pair's wires, and which cables are filed without any."""
    words = (
        "codes of IEC 60757; two with a stroke between are the T wire and the R wire. One is the "
        "mark of the pair and does not tell its wires apart: ring them through, and take the same "
        "one for T on every pair"
    )
    plain = [run.name for run in runs if run.cable and run.count > 1 and not run.cable.colours]
    return (
        f"{words}. By the pair's number, no colours filed: {', '.join(plain)}" if plain else words
    )


def colour_words(facility: Facility) -> str:
    """The colour codes of the plant's cables in words."""
    used = {
        code
        for run in runs_in(facility, named=True)
        for pair in run.pairs
        for code in pair_colours(run.cable, pair.number)
    }
    known = sorted((code for code in used if names_of(code)), key=lambda code: (len(code), code))
    return ", ".join(f"{code} {names_of(code)}" for code in known)
