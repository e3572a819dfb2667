"""Colours of wires: the 25-pair order of telephone practice, and the codes of IEC 60757.

National codes differ; a cable's own list in the file stands above either.
"""

from __future__ import annotations

from slinediag.model.facility import Cable

# IEC 60757 (from memory), in the table's order; the rule for pairs of codes seen second-hand.
CODES = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR")
NAMES = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green",
    "BU": "blue", "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "GD": "gold",
    "TQ": "turquoise", "SR": "silver", "GNYE": "green and yellow",
}  # fmt: skip

# Telephone practice (published): pair n has the tip colour of its five, the ring colour within it.
TIPS = ("WH", "RD", "BK", "YE", "VT")
RINGS = ("BU", "OG", "GN", "BN", "GY")
PAIRS = len(TIPS) * len(RINGS)
TWENTY_FIVE_PAIR, ONE_CODE = "25-pair", "iec 60757"


def twenty_five_pair(pair: int) -> tuple[str, str]:
    """Tip and ring colour of a pair, from 1; beyond 25 the order starts again."""
    tip, ring = divmod((pair - 1) % PAIRS, len(RINGS))
    return TIPS[tip], RINGS[ring]


def two_coloured(one: str, other: str) -> str:
    """The code of an insulation of two colours: in the table's order, green with yellow only as
    GNYE, which is for protective conductors."""
    if {one, other} == {"GN", "YE"}:
        return "GNYE"
    return "".join(sorted((one, other), key=CODES.index))


def pair_colours(cable: Cable | None, pair: int | None) -> tuple[str, str]:
    """What marks the wires of a cable's pair for T and for R; empty where the file does not say.

    ``colours`` of a cable is a scheme's name, ``25-pair`` or ``IEC 60757`` (a code a pair in the
    table's order), or a list, one entry a pair: ``WH/BU`` names both wires, one code the pair.
    """
    if cable is None or cable.colours is None:
        return "", ""
    number = pair or 1
    if isinstance(cable.colours, str):
        return _by_scheme(cable.colours, number)
    if number > len(cable.colours):
        return "", ""
    tip, slash, ring = cable.colours[number - 1].partition("/")
    return (code_of(tip), code_of(ring)) if slash else (code_of(tip), code_of(tip))


def code_of(filed: str) -> str:
    """A colour as filed; where that is two codes, in the order of the table."""
    colour = filed.strip()
    pair = colour[:2], colour[2:]
    return two_coloured(*pair) if pair[0] in CODES and pair[1] in CODES else colour


def names_of(code: str) -> str:
    """A code of IEC 60757 in words; empty where it is none."""
    if code in NAMES:
        return NAMES[code]
    parts = code[:2], code[2:]
    return " and ".join(NAMES[part] for part in parts) if all(p in CODES for p in parts) else ""


def _by_scheme(scheme: str, pair: int) -> tuple[str, str]:
    """Colours of a pair by a scheme; of an unknown one its name."""
    name = " ".join(scheme.split()).casefold()
    if name == TWENTY_FIVE_PAIR:
        return twenty_five_pair(pair)
    if name == ONE_CODE:
        code = CODES[pair - 1] if pair <= len(CODES) else ""
        return code, code
    return scheme, scheme
