"""The one table of all rules, in the order in which they are listed to people."""

from __future__ import annotations

from slinediag.address import suggestion
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
    """The rule of a name; RequestError that names the nearest where there is none."""
    if name in BY_NAME:
        return BY_NAME[name]
    hint = suggestion(name, BY_NAME, "slinediag check --rules lists them all")
    raise RequestError([problem(name, "there is no such rule", hint)])
