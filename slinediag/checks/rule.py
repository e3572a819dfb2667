"""A rule: what it is called, what it says to people, and the function that finds its cases."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from slinediag.checks.finding import Finding, Severity
from slinediag.checks.rest import Rest


@dataclass(frozen=True, slots=True)
class Case:
    """One case of a rule: how grave, where (the chief address first), and what is the matter.

    ``cure`` where it differs from that of the rule.
    """

    severity: Severity
    where: tuple[str, ...]
    message: str
    cure: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of the checks.

    ``summary`` is one line, ``explanation`` a paragraph for a person who asks what it is about;
    ``basis`` is the standard or the practice it rests on, ``cure`` what to do.
    """

    name: str
    summary: str
    explanation: str
    basis: str
    cure: str
    cases: Callable[[Rest], Iterable[Case]]

    def findings(self, rest: Rest) -> Iterator[Finding]:
        """The findings of this rule in a facility at rest, in the order they are come upon."""
        for case in self.cases(rest):
            cure = case.cure or self.cure
            yield Finding(self.name, case.severity, case.where, case.message, self.basis, cure)
