"""Levels on lines: mismatch, loss, treble, headroom, unbalanced ports."""

from __future__ import annotations

from tests.builders import plant
from tests.checks.checking import fires, found, quiet


def line(source="", entry="", limits="", cable="", count=1):
    """One source to inputs in parallel through a jackfield."""
    inputs = ", ".join(f"I{n}: {{{entry}}}" for n in range(1, count + 1))
    points = ", ".join(f"{n}: {{bottom: D.I{n}, normal: none}}" for n in range(2, count + 1))
    tail = f", {points}" if points else ""
    mult = f"mults: {{M: [PB.B1, {', '.join(f'PB.B{n}' for n in range(2, count + 1))}]}}"
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: {{O: {{{source}}}}}}}
          D: {{name: Destination, inputs: {{{inputs}}}}}
        bays:
          PB:
            name: Bay
            positions: 24
            points: {{1: {{top: {{to: S.O{cable}}}, bottom: D.I1}}{tail}}}
        {mult if count > 1 else ""}
        cables:
          C1: {{length: 304.8, capacitance: 98.43}}
        """,
        head=f"slinediag: 1\nfacility: {{name: Test plant, limits: {{{limits}}}}}\n",
    )


def test_a_microphone_into_a_line_input():
    low = line("level: -50, impedance: 150")
    finding = fires("level-mismatch", low, "warning", "D.I1", "S.O")
    assert "54.1 dB too low" in finding.message
    quiet("level-mismatch", line())


def test_the_limit_of_mismatch_is_the_facilitys_own():
    # -10 dBV is -7.78 dBu, 11.78 dB below +4 dBu: within 12 dB, beyond 10 dB.
    consumer = "level: -7.78, impedance: 100"
    quiet("level-mismatch", line(consumer))
    fires("level-mismatch", line(consumer, limits="mismatch: 10"), "warning", "D.I1", "S.O")


def test_loss_into_many_loads():
    # 600 ohm into n inputs of 10 k: n = 1, 2, 5 lose 0.506, 0.984, 2.279 dB (calculated).
    source, load = "impedance: 600", "impedance: 10000"
    five = line(source, load, count=5)
    finding = fires("line-loss", five, "warning", "D.I1", "D.I2", "D.I3", "D.I4", "D.I5", "S.O")
    assert "2.3 dB" in finding.message
    quiet("line-loss", line(source, load, count=2))
    quiet("line-loss", line(source, load, limits="loss: 0.51"))
    fires("line-loss", line(source, load, limits="loss: 0.5"), "warning", "D.I1", "S.O")


def test_a_load_of_five_times_the_source_is_within_the_limit():
    # 1:5 loses 1.5836 dB: the five-times rule of IEC 60268-15 and IEC 61938 (from memory).
    quiet("line-loss", line("impedance: 600", "impedance: 3000"))
    fires("line-loss", line("impedance: 600", "impedance: 2900"), "warning", "D.I1", "S.O")


def test_treble_on_a_long_line():
    # 600 ohm, 30 pF/ft x 1000 ft: -3 dB at 8.84 kHz (calculated), here against 20 k in parallel.
    dull = line("impedance: 600", cable=", cable: C1")
    finding = fires("treble-loss", dull, "warning", "D.I1", "S.O")
    assert "9.1 kHz" in finding.message
    quiet("treble-loss", line("impedance: 60", cable=", cable: C1"))
    quiet("treble-loss", line("impedance: 600", cable=", cable: C1", limits="treble: 9"))


def test_clipping_at_nominal_level():
    # EBU R68: 0 dBFS is +18 dBu. A source at +4 dBu into an input that clips at 0 dBu.
    hot = line(entry="level: -7.8, max: 0", limits="mismatch: 20")
    finding = fires("clipping", hot, "error", "D.I1", "S.O")
    assert "4.0 dB beyond" in finding.message
    quiet("clipping", line(entry="max: 18"))


def test_less_headroom_than_programme_needs():
    # ITU-R BS.645-2: permitted maximum 9 dB above alignment.
    fires("clipping", line(source="max: 12", entry="max: 24"), "warning", "D.I1", "S.O")
    quiet("clipping", line(source="max: 13", entry="max: 24"))


def test_an_unbalanced_port_on_a_balanced_line():
    finding = fires("unbalanced", line(source="balanced: false"), "note", "S", "S.O")
    assert "D I1" in finding.message
    quiet("unbalanced", line())
    quiet("unbalanced", line(source="balanced: false", entry="balanced: false"))


def test_a_driven_output_into_an_unbalanced_input_loses_half():
    # 6.02 dB: one of its two legs is grounded; 0.04 dB more into 20 k.
    driven = line(source="drive: driven", entry="balanced: false")
    assert "loses 6.1 dB" in found("line-loss", driven)[0].message
