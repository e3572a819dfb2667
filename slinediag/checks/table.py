"""The one table of all rules, in the order in which they are listed to people."""

from __future__ import annotations

from slinediag.checks import (
    accepted,
    cords,
    labels,
    legs,
    levels,
    normals,
    phantom,
    shields,
    states,
    stereo,
    ways,
    wiring,
)
from slinediag.checks.meant import meant_by, spoken_of
from slinediag.checks.rule import Rule
from slinediag.problems import RequestError, problem

RULES: tuple[Rule, ...] = (
    *ways.RULES,
    *wiring.RULES,
    *legs.RULES,
    *stereo.RULES,
    *normals.RULES,
    *levels.RULES,
    *phantom.RULES,
    *shields.RULES,
    *labels.RULES,
    *cords.RULES,
    *states.RULES,
    *(
        Rule(
            name,
            accepted.SUMMARIES[name],
            accepted.EXPLANATIONS[name],
            accepted.BASIS,
            accepted.CURES[name],
            lambda _: (),  # found once all other findings are known
        )
        for name in (accepted.UNKNOWN, accepted.IDLE)
    ),
)

BY_NAME = {rule.name: rule for rule in RULES}


def rule_named(name: str) -> Rule:
    """The rule of a name; RequestError with those that may be meant, or all, where it is none."""
    if name in BY_NAME:
        return BY_NAME[name]
    summaries = {rule.name: rule.summary for rule in RULES}
    found = meant_by(name, BY_NAME) or spoken_of(name, summaries)
    meant = f"Did you mean {' or '.join(found)}?"
    hint = meant if found else f"The rules: {', '.join(BY_NAME)}"
    raise RequestError([problem(name or "no name", "there is no such rule", hint)])
