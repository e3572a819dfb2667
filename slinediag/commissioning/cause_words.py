"""Causes in words, with what mends them."""

from __future__ import annotations

from slinediag.commissioning.faults import Cause, CauseKind, Explanation
from slinediag.commissioning.points import MeasuringPoint
from slinediag.tracing.words import NORMAL_NAMES

LEGS = {
    "T": "tip",
    "R": "ring",
    "TR": "tip and ring",
    "TS": "tip and sleeve",
    "RS": "ring and sleeve",
}
MENDS: dict[CauseKind, str] = {
    "break contact oxidised": "clean the break contact with a burnishing strip, then measure again",
    "break contact not closing": "clean the break contact; if that does not help, set the spring",
    "break contact not opening": "set the spring, or look for a whisker across the rear posts",
    "spring oxidised": "clean the spring with a burnishing plug, then measure again",
    "spring not meeting": "set the spring; try another plug first",
    "leg open": "terminate the leg again; look at the far connector first",
    "legs swapped": "exchange the two legs at the post, or file the line as crossed if it is meant",
    "legs shorted": "look for a whisker at the post and in the far connector",
    "shield lifted": "join the shield as planned, or file it as it is",
    "shield joined": "lift the audio shield as planned and sleeve it, or file it as it is",
    "another normal": "strap the normal as planned, or file the normal that is there",
    "normal leg open": "solder or punch down the normal's strap again",
    "normal legs swapped": "exchange the two straps of the normal",
    "wire elsewhere": "find the wire by a tone and terminate it here",
}


def cause_text(point: MeasuringPoint, cause: Cause) -> str:
    """A cause as a sentence without its stop."""
    legs = LEGS.get(cause.legs, "")
    jack = str(point.jack(cause.place)) if cause.place is not None else ""
    many = cause.legs == "TR"
    match cause.kind:
        case "break contact oxidised":
            return f"{legs} break contact{'s' * many} of {jack} oxidised"
        case "break contact not closing":
            return f"{legs} break contact{'s' * many} of {jack} not closing"
        case "break contact not opening":
            return f"{legs} break contact{'s' * many} of {jack} not opening with a plug in"
        case "spring oxidised":
            return f"{legs} spring{'s' * many} of {jack} oxidised towards the plug"
        case "spring not meeting":
            return f"{legs} spring{'s' * many} of {jack} not meeting the plug"
        case "leg open":
            return f"{legs} leg{'s' * many} of the line at {jack} open"
        case "legs swapped":
            return f"legs of the line at {jack} swapped"
        case "legs shorted":
            return f"{legs} shorted at {jack} or on its line"
        case "shield lifted":
            return f"shield of the line at {jack} lifted at {_end(cause)} against plan"
        case "shield joined":
            return f"shield of the line at {jack} joined at {_end(cause)} against plan"
        case "another normal":
            return f"wired as {NORMAL_NAMES[cause.normal or 'none']}, filed as {_filed(point)}"
        case "normal leg open":
            return f"{legs} strap of the normal open"
        case "normal legs swapped":
            return "tip and ring straps of the normal exchanged"
        case "wire elsewhere":
            return f"the wire filed at {jack} is terminated elsewhere"


def _end(cause: Cause) -> str:
    return "the jack" if cause.legs == "N" else "the far end"


def _filed(point: MeasuringPoint) -> str:
    return NORMAL_NAMES[point.shape.kind]


def explanation_text(point: MeasuringPoint, explanation: Explanation) -> str:
    """All causes of an explanation, joined by AND."""
    return " AND ".join(cause_text(point, cause) for cause in explanation.causes) or "as filed"


def mend_text(explanation: Explanation) -> str:
    """What mends the causes of an explanation."""
    return "; ".join(dict.fromkeys(MENDS[cause.kind] for cause in explanation.causes))
