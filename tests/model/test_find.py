"""Jacks, ports and equipment by what people call them."""

from __future__ import annotations

import pytest

from slinediag.model.equipment import Equipment
from slinediag.model.find import find_equipment, find_jack, find_several, find_thing
from slinediag.problems import Problem
from tests.builders import jack, output, plant

PLANT = plant(
    """
    equipment:
      PLY1: {name: Disc player, label: DISC 1, outputs: [L, R]}
      LIM: {name: Limiter, inputs: [L], outputs: [L], paths: straight}
      LOOSE: {name: Loose box, outputs: [O]}
      TWIN: {name: Twin, label: SAME, outputs: [O]}
      TWIN2: {name: Twin, label: SAME, outputs: [O]}
    bays:
      PB1:
        name: Bay
        label: PATCH A
        positions: 12
        points:
          1: {top: PLY1.L, bottom: LIM.L, label_bottom: TO LIMITER}
          2: {top: LIM.L, label_top: A=B}
          3: {top: PLY1.R, label_top: RIGHT}
          4: {top: TWIN.O}
          5: {top: TWIN2.O}
      PB2: {name: One row, rows: 1, positions: 2}
    """
)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("PB1.T1", "PB1.T1"),
        ("PB1 T12", "PB1.T12"),
        ("PATCH A B1", "PB1.B1"),
        ("DISC 1 L", "PB1.T1"),
        ("disc  1 l", "PB1.T1"),
        ("TO LIMITER", "PB1.B1"),
        ("PLY1.R", "PB1.T3"),
        ("DISC 1 R", "PB1.T3"),
        ("LIM.L:in", "PB1.B1"),
        ("LIM.L:out", "PB1.T2"),
        ("A=B", "PB1.T2"),
    ],
)
def test_a_jack_by_address_port_or_label(text, wanted):
    assert find_jack(PLANT, text) == jack(wanted)


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        ("PB1.T13", "there is no such jack", "Bay PB1 has T1 to T12 and B1 to B12"),
        ("PB1.T01", "there is no such jack", "Bay PB1 has T1 to T12 and B1 to B12"),
        ("PB2.B1", "there is no such jack", "Bay PB2 has T1 to T2"),
        ("PB3.T1", "there is no such jack", "Did you mean PB2.T1?"),
        ("DISC 1 K", "there is no such jack", "Did you mean DISC 1 L?"),
        ("SAME O", "2 things bear this label", "Say which: PB1.T4, PB1.T5"),
        ("LIM.L", "this is both an output and an input", "Say which: LIM.L:out or LIM.L:in"),
        ("LIM.X", "LIM has no such port", "Did you mean LIM.L:"),
        ("LOOSE.O", "no jack carries this port", "Name a jack"),
        ("@@@", "there is no such jack", "Name a jack as PB1.T3, or by the label printed at it"),
    ],
)
def test_no_single_jack(text, what, hint):
    found = find_jack(PLANT, text)
    assert isinstance(found, Problem)
    assert found.what == what
    assert found.hint.startswith(hint)


def test_the_end_of_a_cord_settles_what_is_both():
    assert find_jack(PLANT, "LIM.L", "out") == jack("PB1.T2")
    assert find_jack(PLANT, "LIM.L", "in") == jack("PB1.B1")
    assert find_jack(PLANT, "DISC 1 L", "in") == jack("PB1.T1")
    several = find_jack(PLANT, "SAME O", "out")
    assert isinstance(several, Problem)


def test_a_label_with_its_side_is_the_port_of_that_side():
    assert find_thing(PLANT, "LIM L out") == output("LIM.L")
    assert str(find_thing(PLANT, "lim l IN")) == "LIM.L:in"
    assert find_jack(PLANT, "LIM L in") == jack("PB1.B1")
    assert find_thing(PLANT, "DISC 1 R out") == output("PLY1.R")
    for text in ("DISC 1 R in", "SAME O out", " out", "in"):
        assert isinstance(find_thing(PLANT, text), Problem)


def test_what_belongs_together_is_found_as_several():
    several = plant(
        """
        equipment:
          LIM: {name: Limiter, inputs: [L], outputs: [L], paths: straight}
          ONE: {name: One, label: SAME, outputs: [O]}
          TWO: {name: Two, label: SAME, inputs: [O]}
          EQ1: {name: Equaliser, inputs: [A], outputs: [B], paths: straight}
        bays:
          PB1:
            name: Bay
            positions: 12
            points:
              1: {top: LIM.L, bottom: LIM.L}
              2: {top: ONE.O, bottom: TWO.O}
              3: {label_top: SPLIT, label_bottom: SPLIT}
              4: {label_top: SPLIT}
              5: {label_top: LINK, label_bottom: LINK}
              6: {label_top: SPARE}
              7: {label_top: SPARE}
              8: {bottom: EQ1.A, label_bottom: EQ}
              9: {top: EQ1.B, label_top: EQ}
          PB2: {name: One row, rows: 1, positions: 2}
        mults:
          M1: [PB1.T3, PB1.B3, PB1.T4, PB1.B4]
        """
    )

    def found(text):
        return [several.spelled(thing) for thing in find_several(several, text)]

    assert found("LIM.L") == found("LIM L") == ["LIM.L:out", "LIM.L:in"]
    assert found("EQ") == ["EQ1.B", "EQ1.A"]
    assert found("PB1 6") == found("PB1.6") == ["PB1.T6", "PB1.B6"]
    assert found("PB2 1") == ["PB2.T1"]
    assert found("M1") == ["PB1.T3", "PB1.B3", "PB1.T4", "PB1.B4"]
    assert set(found("SPLIT")) == {"PB1.T3", "PB1.B3", "PB1.T4"}
    assert set(found("LINK")) == {"PB1.T5", "PB1.B5"}
    for text in ("SAME O", "SPARE", "PB1", "PB1 13", "LIMITER", "nothing"):
        assert found(text) == []


def test_a_misspelt_box_is_suggested_before_its_ports():
    studio = plant("equipment: {LIM: {name: Limiting device, label: LIMITER, outputs: [L, R]}}")
    found = find_thing(studio, "LIMITR")
    assert isinstance(found, Problem)
    assert found.hint == "Did you mean LIMITER?"


def test_equipment_by_id_label_or_name():
    assert find_equipment(PLANT, "PLY1") == "PLY1"
    assert find_equipment(PLANT, "DISC 1") == "PLY1"
    assert find_equipment(PLANT, "disc player") == "PLY1"
    several = find_equipment(PLANT, "SAME")
    assert isinstance(several, Problem)
    assert several.hint == "Say which: TWIN, TWIN2"
    none = find_equipment(PLANT, "PLY2")
    assert isinstance(none, Problem)
    assert none.hint == "Did you mean PLY1?"


def test_a_thing_is_jack_port_or_box():
    assert find_thing(PLANT, "PB1.B2") == jack("PB1.B2")
    assert find_thing(PLANT, "DISC 1 R") == output("PLY1.R")
    assert find_thing(PLANT, "RIGHT") == jack("PB1.T3")
    assert find_thing(PLANT, "LIM.L:out") == output("LIM.L")
    box = find_thing(PLANT, "Loose box")
    assert isinstance(box, Equipment)
    assert box.id == "LOOSE"
    both = find_thing(PLANT, "LIM L")
    assert isinstance(both, Problem)
    assert both.hint == "Say which: LIM.L:out, LIM.L:in"
    nothing = find_thing(PLANT, "LIM.X")
    assert isinstance(nothing, Problem)
    assert nothing.hint.startswith("Did you mean LIM.L:")
    unclear = find_thing(PLANT, "LIM.L")
    assert isinstance(unclear, Problem)
    assert unclear.hint == "Say which: LIM.L:out or LIM.L:in"


def test_equipment_is_suggested_by_words_of_its_name():
    studio = plant(
        """
        equipment:
          G1: {name: Guest microphone 1, label: MIC 2, outputs: [O]}
          G2: {name: Guest microphone 2, label: MIC 3, outputs: [O]}
          NM: {name: News mixer, label: NEWS MIXER, inputs: [I]}
        """
    )
    for text in ("guest microphone", "Micro guest"):
        for find in (find_thing, find_equipment):
            found = find(studio, text)
            assert isinstance(found, Problem)
            assert found.hint == (
                "Did you mean MIC 2 (Guest microphone 1) or MIC 3 (Guest microphone 2)?"
            )
    assert find_equipment(studio, "Guest microphone 2") == "G2"
    other = find_thing(studio, "guest loudspeaker")
    assert isinstance(other, Problem)
    assert "microphone" not in str(other.hint)
