"""Which notes of a file warn of what can hurt someone or harm equipment, by their words.

A word too many is a caution that need not be; one too few is one that is missed. So only what is
plainly no danger is left out: "no phantom", "hearing loop", "shock mount".
"""

from __future__ import annotations

import re

_NO_DANGER = re.compile(
    r"\b(?:no|not|without|nor)\s+(?:any\s+)?"
    r"(?:phantom|48\s?V|mains|voltages?|dangers?|dangerous|harmful|shocks?|loud)\b"
    r"|\bphantom[\s-]free\b|\bshock[\s-]?mount\w*|\bhearing(?:\s+(?:loops?|aids?)|-impaired)\b"
    r"|\bmains-synchroni[sz]ed\b|\bvoltage-controlled\b",
    re.IGNORECASE,
)
_DANGER = re.compile(
    r"\bphantom|\bP48\b|\bmains\b|\bvoltages?\b|\bshocks?\b|\belectrocut\w+"
    r"|\blive (?:wires?|parts?)\b"
    r"|(?<![\d.,])(?:[3-9]\d|\d{3,})\s?(?:V|volts?)(?:\s?(?:AC|DC))?\b"
    r"|\bloud(?:er|est)?\b|\bdeafen\w*|\bhearing\b|\bears\b|\bturn\b[^.]*\b(?:down|minimum)\b"
    r"|\bdanger(?:s|ous)?\b|\bhazard\w*|\bharm(?:s|ed|ful)?\b|\bhurts?\b|\binjur\w+"
    r"|\bdamag\w+|\bdestroy\w*|\bruin\w*|\bburn\w*|\bblows\b|\balarms?\b"
    r"|\b(?:never|do not)\s+(?:un)?(?:plug|patch)\b"
    r"|\bsay so\b|\bon[\s-]air\b[^.]*\b(?:say|tell|ask|call|wait|warn)\b",
    re.IGNORECASE,
)
_MARKED = re.compile(r"\s*(?:danger|warning|caution)\b", re.IGNORECASE)


def warns(words: str) -> bool:
    """Whether words tell of voltage, of what is too loud or of harm, or forbid a patch; "no
    phantom" does not."""
    return _DANGER.search(_NO_DANGER.sub("", words)) is not None


def is_marked(words: str) -> bool:
    """Whether words begin as a caution themselves."""
    return _MARKED.match(words) is not None
