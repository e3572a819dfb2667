"""The inks of every sheet: line widths, colours, text heights and dashes, with their sources.

Widths and heights in micrometres. No colour carries a meaning alone (WCAG 2 SC 1.4.1).
"""

from __future__ import annotations

from dataclasses import replace

from slinediag.drawing.marks import Style

# Line widths of ISO 128 (from memory), steps of about √2; wide to narrow is 2 : 1.
W13, W18, W25, W35, W50, W70, W100, W140, W200 = 130, 180, 250, 350, 500, 700, 1000, 1400, 2000
LINE_WIDTHS = (W13, W18, W25, W35, W50, W70, W100, W140, W200)

# Letter heights of ISO 3098, steps of about √2.
H18, H25, H35, H50, H70, H100, H140, H200 = 1800, 2500, 3500, 5000, 7000, 10000, 14000, 20000
TEXT_HEIGHTS = (H18, H25, H35, H50, H70, H100, H140, H200)

# Okabe and Ito's colours that reach 3 : 1 on white, as lines need (WCAG 2 SC 1.4.11).
BLACK = "#000000"
BLUE = "#0072b2"
VERMILION = "#d55e00"
GREEN = "#009e73"
PURPLE = "#cc79a7"
PAPER = "#ffffff"
# Greys: the one for text reaches 4.5 : 1 on white (SC 1.4.3), the one for lines 3 : 1.
TEXT_GREY = "#595959"
LINE_GREY = "#858585"

INK_COLOURS = (BLACK, BLUE, VERMILION, GREEN, PURPLE, LINE_GREY)
TEXT_COLOURS = (BLACK, BLUE, TEXT_GREY)

FRAME = Style(width=W70)
FRAME_TICK = Style(width=W35)
CENTRING = Style(width=W70)
GRADUATION = Style(width=W50)
TABLE_OUTLINE = Style(width=W70)
TABLE_RULE = Style(width=W25)

EQUIPMENT = Style(width=W50, fill=PAPER)
LINE = Style(width=W35)
FOLDED_LINE = Style(width=W70)
PATH_RULE = Style(stroke=LINE_GREY, width=W13)
JACK = Style(width=W50, fill=PAPER)
BREAK_MARK = Style(width=W35, fill=PAPER)
TAP_MARK = Style(stroke=None, fill=BLACK)
BRANCH_DOT = Style(stroke=None, fill=BLACK)
REFERENCE_FLAG = Style(width=W35, fill=PAPER)

CORD = Style(stroke=BLUE, width=W140, end="round")
CORD_EDGE = Style(stroke=PAPER, width=W200 + W70, end="round")
PLUGGED_JACK = Style(stroke=BLUE, width=W50, fill=BLUE)
TAP_RING = Style(stroke=BLUE, width=W50)
BREAK_CROSS = Style(stroke=VERMILION, width=W70)


def widened(style: Style, width: int) -> Style:
    """The same ink in another width."""
    return replace(style, width=width)


def dash_lengths(style: Style) -> tuple[int, ...]:
    """Drawn and open lengths in turn, micrometres; empty for a solid line.

    Gaps of three line widths as ISO 128 has them (from memory); dashes of six widths instead of
    twelve, and dots of one, so that a line of a few millimetres still shows its gaps.
    """
    match style.dash:
        case "solid":
            return ()
        case "dashed":
            return 6 * style.width, 3 * style.width
        case "dotted":
            return style.width, 3 * style.width
