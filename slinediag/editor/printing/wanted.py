"""What is asked for: which paper or file, and for a chart its sheet and how far off it is read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from slinediag.chart.excerpt import WHOLE
from slinediag.chart.excerpt import Wanted as Part
from slinediag.chart.sheet import ASME_SIZES, ISO_SIZES, Sheet, sheet_named
from slinediag.damage import NO_FAILURE
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.output import WhichOutages
from slinediag.papers.kinds import KINDS
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.values import Trial

CHART, CHANGES, BOOK, WORKBOOK = "chart", "changes", "book", "workbook"
TITLES: Mapping[str, str] = {
    CHART: "Chart",
    **{name: kind.title for name, kind in KINDS.items()},
    BOOK: "Book of all papers",
    CHANGES: "Chart of changes",
    WORKBOOK: "Workbook",
}
"""Everything that can go out, and what it is called."""
PURPOSES: Mapping[str, str] = {
    CHART: "The single-line chart, to hang beside the bay.",
    "faces": "Each bay from the front, to scale.",
    "strips": "Designation strips at 1 : 1, to cut out. As PDF and SVG.",
    "schedule": "Wiring by punch-down and by cable. As PDF, SVG, CSV and XLSX.",
    "order": "What the bays are ordered with. As PDF, SVG, CSV and XLSX.",
    "tests": "What to measure when the bays are wired. As PDF, SVG, CSV and XLSX.",
    "cards": "For the bad night: what to patch when a box fails. As PDF and SVG.",
    BOOK: "Chart and papers bound as one PDF, with contents and links.",
    CHANGES: "The chart with a cloud round each thing that changed.",
    WORKBOOK: "The whole facility as tables, to be imported again.",
}
ENDINGS: Mapping[str, tuple[str, ...]] = {
    CHART: (".pdf", ".svg", ".png", ".gv"),
    CHANGES: (".pdf", ".svg", ".png"),
    WORKBOOK: (".xlsx",),
}
"""The endings of what is written as one file of any name; all else goes into a folder."""
STRIPED = ("strips", BOOK)
"""Papers whose strips may be on sheets of another size."""
SHEETS: Mapping[str, str] = {
    "auto": "Smallest that fits",
    "one": "One, as large as needed",
    **{
        s.name: f"{s.name}   {s.width // 1000} × {s.height // 1000} mm"
        for s in (*ISO_SIZES, *ASME_SIZES)
    },
}
"""Sheets by the name that the chart knows, and what they are called on screen."""

AT_REST = Trial()


@dataclass(frozen=True, slots=True)
class Wanted:
    """One paper or file; what only charts have is let alone by all others.

    ``read_at`` in millimetres, 0 where nobody says; ``outages`` are those whose patches a chart
    lists, ``part`` that which is drawn, ``trial`` is drawn on it, below the chart as filed where
    ``before`` is set, with what of ``failure`` is bays and cables crossed out; ``older`` is what a
    chart of changes is told against, ``dpi`` how fine a picture is.
    """

    what: str = CHART
    sheet: str = "auto"
    read_at: float = 0.0
    effort: Effort = "thorough"
    outages: WhichOutages = "none"
    part: Part = WHOLE
    fold: bool | None = None
    trial: Trial = AT_REST
    before: bool = False
    failure: Failure = NO_FAILURE
    older: Facility | None = None
    dpi: int | None = None

    @property
    def into_folder(self) -> bool:
        """Whether it is written as files of given names into a folder."""
        return self.what not in ENDINGS

    @property
    def paper(self) -> Sheet | None:
        """The sheet of strips; None where the usual one will do."""
        return sheet_named(self.sheet) if self.what in STRIPED and self._sized else None

    @property
    def _sized(self) -> bool:
        return self.sheet not in ("auto", "one")

    @property
    def has_pages(self) -> bool:
        """Whether there are pages to be seen and printed."""
        return self.what != WORKBOOK


def usual_path(name: str, wanted: Wanted, ending: str = "") -> Path:
    """Where a paper of the facility file of this name goes unless somebody says otherwise."""
    file = Path(name).absolute()
    if wanted.into_folder:
        return file.parent
    suffix = "-changes" if wanted.what == CHANGES else ""
    return file.parent / f"{file.stem}{suffix}{ending or ENDINGS[wanted.what][0]}"
