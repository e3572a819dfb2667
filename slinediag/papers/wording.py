"""The words of a bay's strips: shortened as little as will make them fit, and what will not.

Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag import text
from slinediag.address import Jack
from slinediag.drawing.styles import TEXT_HEIGHTS
from slinediag.model.bay import Bay
from slinediag.model.facility import Facility
from slinediag.papers.glossary import LEAST_HEIGHT, Glossary
from slinediag.papers.labels import Field, Words, alike, row_of
from slinediag.papers.panel import Panel
from slinediag.papers.plant_words import plant_words
from slinediag.papers.setting import NARROWEST, SIDE, Cell, Setting, best_setting, settings
from slinediag.papers.shortening import Shortening, skeleton
from slinediag.papers.windows import EDGE, cell_of, lines_beside
from slinediag.tracing.phrases import counted

SMALLEST = 1_800
"""The least height at which a label that does not fit is still printed: the least of ISO 3098."""
STEP = 100


@dataclass(frozen=True, slots=True)
class Lettered:
    """A field as it is printed: its words, its height, how it is set; no setting where none fits
    even at the smallest height, and then it bears a number of the list of what does not fit.

    ``cut_short``: of a heading that a piece of the strip has no room for, only the beginning is.
    """

    field: Field
    printed: Words
    cell: Cell
    height: int
    setting: Setting | None
    cut_short: bool = False

    @property
    def reads(self) -> dict[Jack, str]:
        """What each of its jacks reads."""
        heading = self.printed[: len(self.field.heading)]
        tails = self.printed[len(self.field.heading) :]
        if not tails:
            return {self.field.jacks[0]: " ".join(heading)}
        pairs = zip(self.field.jacks, tails, strict=True)
        return {jack: " ".join((*heading, tail)) for jack, tail in pairs}


@dataclass(frozen=True, slots=True)
class Misfit:
    """A label that does not fit at the least height, in full, and what would."""

    jacks: tuple[Jack, ...]
    label: str
    cure: str


@dataclass(frozen=True, slots=True)
class Wording:
    """The strips' words of one bay: as lettered, by the key, and what is wrong with them.

    ``key``: short forms by the words that they are printed for; ``filed``: words by the short
    forms that labels have in the file already, as far as the glossary knows them.
    """

    bay: Bay
    panel: Panel
    height: int
    factor: float
    lettered: tuple[Lettered, ...]
    key: Mapping[str, str]
    filed: Mapping[str, str]
    misfits: tuple[Misfit, ...]
    alike: tuple[tuple[Jack, ...], ...]
    proven: bool


def word_bay(facility: Facility, bay: Bay) -> Wording:
    """The words of a bay's strips; the bay is one of the facility's own."""
    plant = plant_words(facility)
    known = plant.bays[bay.id]
    panel, found, short = known.panel, known.fields, known.short
    fitting = [f for n, f in enumerate(found) if n not in short.unfit and f.lines < 3]
    height = _greatest_height(panel, fitting, short)
    factor = _common_factor(panel, fitting, short, height)
    return Wording(
        bay=bay,
        panel=panel,
        height=height,
        factor=factor,
        lettered=tuple(
            _misfit_lettered(panel, field, short)
            if number in short.unfit
            else _lettered(panel, field, short, height, factor)
            for number, field in enumerate(found)
        ),
        key={w: f for w, f in sorted(short.printed.items()) if f != w},
        filed=_filed_forms(known.words.values(), plant.glossary),
        misfits=tuple(_misfit(panel, found[n], plant.glossary) for n in sorted(short.unfit)),
        alike=alike(facility, known.words),
        proven=short.proven,
    )


def _filed_forms(labels: Iterable[Words], glossary: Glossary) -> dict[str, str]:
    """Short forms that labels are filed with, and their words. IN and OUT need no telling."""
    words = sorted({word for label in labels for word in label} - {"IN", "OUT"})
    return {word: full for word in words if (full := glossary.spelled_out(word))}


def _greatest_height(panel: Panel, fitting: Sequence[Field], short: Shortening) -> int:
    """The greatest height of ISO 3098 at which all that fits still fits, as it is shortened,
    unsqueezed and with room left for colour bar and marks; the least where there is nothing to fit.
    """
    if not fitting:
        return LEAST_HEIGHT
    higher = [height for height in TEXT_HEIGHTS if height > LEAST_HEIGHT]
    return next(
        (h for h in reversed(higher) if all(_eases(panel, f, short, h) for f in fitting)),
        LEAST_HEIGHT,
    )


def _eases(panel: Panel, field: Field, short: Shortening, height: int) -> bool:
    cell = replace(cell_of(panel, field, height), lines=lines_beside(panel, height))
    printed = short.shown(field.words)
    return cell.lines > 0 and any(s.factor >= 1 for s in settings(field, printed, cell, height))


def _common_factor(panel: Panel, fitting: Sequence[Field], short: Shortening, height: int) -> float:
    """The factor that squeezes all labels alike: that of the tightest."""
    factors = [
        max(s.factor for s in settings(field, short.shown(field.words), cell, height))
        for field in fitting
        for cell in (cell_of(panel, field, height),)
    ]
    return max(NARROWEST, min(1.0, *factors)) if factors else 1.0


def _lettered(
    panel: Panel, field: Field, short: Shortening, height: int, factor: float
) -> Lettered:
    if field.lines > 2:
        height, factor = LEAST_HEIGHT, NARROWEST
    cell = cell_of(panel, field, height)
    printed = short.shown(field.words)
    return Lettered(
        field, printed, cell, height, best_setting(field, printed, cell, height, factor)
    )


def _misfit_lettered(panel: Panel, field: Field, short: Shortening) -> Lettered:
    """A label that does not fit, at the greatest lesser height at which it can be read at all."""
    printed = short.shown(field.words)
    for height in range(LEAST_HEIGHT - STEP, SMALLEST - 1, -STEP):
        cell = cell_of(panel, field, height)
        setting = best_setting(field, printed, cell, height) if cell.lines else None
        if setting is not None:
            return Lettered(field, printed, cell, height, setting)
    return Lettered(field, printed, cell_of(panel, field, LEAST_HEIGHT), LEAST_HEIGHT, None)


def _misfit(panel: Panel, field: Field, glossary: Glossary) -> Misfit:
    heading = " ".join(field.heading)
    tails = " / ".join(field.tails)
    label = f"{heading} {tails}".strip()
    return Misfit(field.jacks, label, _cure(panel, field, glossary))


def _cure(panel: Panel, field: Field, glossary: Glossary) -> str:
    """What would make a label fit."""
    cell = cell_of(panel, field, LEAST_HEIGHT)
    if not cell.lines:
        least = (2 * EDGE + LEAST_HEIGHT) / 1000
        return f"the window is too low; a line at 2.5 mm needs {least:.1f} mm"
    shortest = tuple(glossary.ways(word)[-1] for word in field.words)
    factor = max((s.factor for s in settings(field, shortest, cell, LEAST_HEIGHT)), default=0.0)
    row = "label_top" if row_of(field) == "T" else "label_bottom"
    room = (cell.right - cell.left - 2 * SIDE) / NARROWEST
    letters = int(room // text.width("N", LEAST_HEIGHT))
    lines = ("one line", "two lines", "three lines")[cell.lines - 1]
    own = f"a {row} in {lines} of {counted(letters, 'letter')}"
    long = [
        word
        for word, form in zip(field.words, shortest, strict=True)
        if text.width(form, LEAST_HEIGHT) > room
    ]
    if factor >= NARROWEST or not factor:
        return f"{own}: its short forms are taken by other words of this bay"
    pitch = panel.bay.jack_pitch * NARROWEST / factor
    cures = [own, f"a pitch of {pitch + 0.05:.1f} mm"]
    if long:
        cures.insert(1, f"a short form of {' and of '.join(dict.fromkeys(long))}")
    return ", or ".join(cures)


def look_alikes(wording: Wording) -> list[tuple[str, str]]:
    """Labels of a bay that are taken for each other at a glance though they differ."""
    seen: dict[str, str] = {}
    found = []
    for lettered in wording.lettered:
        for label in lettered.reads.values():
            other = seen.setdefault(skeleton(label), label)
            if other != label:
                found.append((other, label))
    return found
