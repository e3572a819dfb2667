"""The labels that do not fit the strips, for those who look a facility over."""

from __future__ import annotations

from slinediag.checks.rest import UnfitLabel
from slinediag.model.facility import Facility
from slinediag.papers.wording import word_bay


def unfit_labels(facility: Facility) -> tuple[UnfitLabel, ...]:
    """What cannot be lettered at the least height, bay by bay, and what would do."""
    return tuple(
        UnfitLabel(misfit.jacks, misfit.label, misfit.cure)
        for bay in facility.bays.values()
        for misfit in word_bay(facility, bay).misfits
    )
