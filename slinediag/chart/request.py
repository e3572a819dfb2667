"""What is to be drawn of a facility, on what, how large, and with how much effort."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from slinediag.address import Address
from slinediag.chart.blocks import Block
from slinediag.chart.brief_legend import brief_legend
from slinediag.chart.planning import FLOW, UNDER_TRIAL, Plan
from slinediag.chart.said import Said
from slinediag.chart.sheet import Sheet
from slinediag.chart.signs import signs_of
from slinediag.chart.trial_title import trial_title
from slinediag.layout.settings import Effort
from slinediag.model.facility import Facility
from slinediag.tracing.values import Answer, Trial

Broken = Mapping[str, frozenset[Address]]
"""What has failed beside boxes, in words, with the jacks and ports where it is."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be drawn, on what, how large, and with how much effort.

    ``folded``: whether the plan has runs of parallel circuits as one line each. ``left``: what a
    failure of bays, places or cables leaves, and the trial done to that does; None without one.
    ``broken``: what has failed of these, in words, and the jacks and ports where it is.
    """

    facility: Facility
    answer: Answer | None
    plan: Plan
    sheet: Sheet
    effort: Effort
    said: Said
    scale: Fraction
    folded: bool = False
    left: Answer | None = None
    broken: Broken = field(default_factory=dict)

    def legend(self, width: int) -> Block:
        """The legend in a column of this width, with every sign that a sheet of it may bear."""
        return brief_legend(dict.fromkeys(signs_of(self.plan, self.answer), ""), width)

    @property
    def heading(self) -> str:
        """The facility, and the part of it that is drawn."""
        excerpt = self.plan.excerpt
        return f"{self.facility.name}: {excerpt.name}" if excerpt else self.facility.name

    @property
    def tried(self) -> bool:
        """Whether a trial is shown."""
        return self.answer is not None and not self.answer.trial.empty

    @property
    def under(self) -> str:
        """The trial and the failure that are shown, in short; empty where it is as filed."""
        trial = self.answer.trial if self.answer is not None else Trial()
        return trial_title(self.facility, trial, self.broken)

    @property
    def flow(self) -> str:
        """What is said under the headings."""
        return UNDER_TRIAL if self.tried else FLOW
