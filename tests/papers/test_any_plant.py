"""Papers of plants nobody would build: random wiring, odd panels, any Unicode. None fails, no text
lies on another or off its page."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from slinediag.drawing.query import text_boxes
from slinediag.papers.kinds import KINDS
from slinediag.papers.spreadsheet import csv_bytes, xlsx_bytes
from tests.builders import plant
from tests.papers.apart import hold_apart
from tests.strategies import facilities

ODD = plant(
    """
    equipment:
      A: {name: "=A+B", label: "+PLAYER \N{STUDIO MICROPHONE}", outputs: [L, R]}
      B: {name: "@amp", label: "ΩMEGA", inputs: {L: {priority: 1}, R: {}}, place: "Rack ß, U1"}
      C: {name: Box, label: SUPERCALIFRAGILISTICEXPIALIDOCIOUS, inputs: ["1"], outputs: ["1"], paths: straight}
    bays:
      P1: {name: Wide, positions: 96, numbering: through, first: 101, points: {1-2: {top: [A.L, A.R], bottom: [B.L, B.R]}, 50: {bottom: C.1, top: C.1}}}
      P2: {name: Low, window: 6.35, points: {1: {label_top: MICROPHONE 1, label_bottom: "日本語ラベル"}, 2: {label_top: I1, label_bottom: L1}}}
      P3: {name: Lower, window: 3, points: {1: {label_top: MIC}}}
      P4: {name: One row, style: quarter-inch, rows: 1, positions: 16, offset: 12, pitch: 20, points: {1-4: {label_top: [TALK, TALK, OUT, IN], group: "ĄĘ"}}}
      P5: {name: One jack, positions: 1, rows: 1}
      P6: {name: Groups, points: {1-30: {group: [A1,A2,A3,A4,A5,A6,A7,A8,A9,A10,A11,A12,A13,A14,A15,A16,A17,A18,A19,A20,A21,A22,A23,A24,A25,A26,A27,A28,A29,A30]}}}
    cords:
      - {from: P1.T1, to: P5.T1}
      - {from: P1.T2, to: P1.T96}
      - {from: P2.T1, to: P4.T1, note: "long note \N{STUDIO MICROPHONE}"}
    """,
    head=(
        "slinediag: 1\nfacility:\n  name: \"Zażółć 電台 \N{STUDIO MICROPHONE} a name that goes on and on, with quotes and "
        "'more', and on to its end far out at the right\"\n  owner: \"=cmd|' /C calc'!A0\"\n"
    ),
)  # fmt: skip


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "tests"])
def test_an_odd_plant(kind: str) -> None:
    hold_apart(KINDS[kind].sheets(ODD))
    tables = KINDS[kind].tables(ODD)
    for table in tables:
        assert csv_bytes(table)
    if tables:
        assert xlsx_bytes(tables, "Odd")


def test_texts_longer_than_a_page_are_cut_and_say_so() -> None:
    note = "word " * 2000
    long = plant(f"""
    equipment: {{A: {{name: Box, outputs: [O]}}}}
    bays: {{PB: {{name: Bay, positions: 2, points: {{1: {{top: {{to: A.O, cable: C1}}}}}}}}}}
    cables: {{C1: {{type: one, note: "{note}"}}}}
    cords: [{{from: PB.T1, to: PB.B1, note: "{note}"}}]
    """)
    for kind in ("faces", "schedule"):
        pages = KINDS[kind].sheets(long)
        hold_apart(pages)
        assert any(mark.text == "…" for page in pages for mark, _ in text_boxes(page))


@pytest.mark.parametrize("kind", ["strips", "faces", "schedule", "order"])
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(facility=facilities())
def test_any_plant(kind: str, facility) -> None:
    pages = KINDS[kind].sheets(facility)
    hold_apart(pages)
    assert pages == KINDS[kind].sheets(facility)
