"""Outage cards against what the outage itself answers."""

from __future__ import annotations

from slinediag.drawing.marks import Circle, Group, Mark, Text
from slinediag.drawing.query import text_boxes
from slinediag.geometry import Box
from slinediag.papers.cards import WORDS, card_pages, cards_of
from slinediag.papers.face import face_of
from slinediag.papers.jack_pictures import jack_picture
from slinediag.papers.page import A4, EDGE, LEFT
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.no_patch_words import TIED
from tests.builders import jack, plant
from tests.papers.samples import sample

PLANT = """
equipment:
  SRC: {name: Player, label: PLAYER, outputs: [O]}
  LIM: {name: Limiter, label: LIMITER, inputs: [I], outputs: [O], paths: straight, caution: keeps peaks down}
  LINK: {name: Link, label: LINK, inputs: [I], priority: 1}
  TEL: {name: Telephone, label: PHONE, outputs: [O]}
  LOG: {name: Logger, label: LOGGER, inputs: [I], priority: 2}
  SPK: {name: Loudspeaker, inputs: [I]}
bays:
  PB:
    name: Bay
    positions: 12
    points:
      1: {top: SRC.O, bottom: LIM.I}
      2: {top: LIM.O, bottom: LINK.I, normal: full}
      3: {bottom: SPK.I, normal: none}
lines: {L1: {from: TEL.O, to: LOG.I}}
"""


def words_of(page) -> str:
    return " ".join(mark.text for mark, _ in text_boxes(page))


def test_cards_stand_by_the_names_on_the_boxes_and_say_so() -> None:
    cards = cards_of(plant(PLANT))
    assert [card.box.printed for card in cards] == ["LIMITER", "PHONE", "PLAYER"]
    # TEL feeds the logger by a direct line: no jack, no way round. SRC is the only source of LINK.
    assert [bool(card.without_way) for card in cards] == [False, True, True]
    pages = card_pages(plant(PLANT))
    assert all("by the name on the box" in words_of(page) for page in pages)
    assert "Cards: LIMITER, PHONE and PLAYER. Any other box silences no input of a priority" in (
        words_of(pages[-1])
    )


def test_what_to_plug_stands_before_what_cannot_be_helped_and_nothing_is_for_the_workshop() -> None:
    facility = sample("quillmoor")
    (words,) = (
        words_of(page)
        for page in card_pages(facility, outages=[outage(facility, Failure(boxes=("DA1",)))])
    )
    assert words.index("First, ") < words.index("No way round")
    assert TIED in words
    for said in ("half-normal", "would cure it", "DA1", "taps"):
        assert said not in words
    assert 'slinediag outage FILE --failed "PGM DA"' in words


def test_a_step_names_whom_of_a_priority_it_brings_back_and_no_other() -> None:
    facility = sample("quillmoor")
    words = " ".join(
        words_of(page)
        for page in card_pages(facility, outages=[outage(facility, Failure(boxes=("DA1",)))])
    )
    assert "in PB2 B13 (LIMITER L): LINK L BACK." in words
    assert "METER" not in words


def test_a_card_has_its_first_patch_with_jacks_as_labelled_and_its_cautions() -> None:
    facility = plant(PLANT)
    words = " ".join(map(words_of, card_pages(facility)))
    (lim,) = (card for card in cards_of(facility) if card.box.id == "LIM")
    assert lim.first is not None
    (cord,) = lim.first.cords
    assert [str(j) for j in cord] == ["PB.T1", "PB.B2"]
    for said in (
        "LIMITER FAILS",
        "PB T1 (PLAYER O)",
        "PB B2 (LINK I)",
        "keeps peaks down",
        "Protective earth",
    ):
        assert said in words


def test_every_card_carries_its_cautions_for_itself() -> None:
    """Cards are cut out: what to take care of stands within each frame, on its right."""
    cards = [found for page in card_pages(plant(PLANT)) for found in groups(page.marks, "card")]
    assert len(cards) == 3
    for card in cards:
        words = " ".join(mark.text for mark in card.marks if isinstance(mark, Text))
        for said in ("on air first", "Phantom power: off, wait", "Protective earth stays on"):
            assert said in words


def test_the_picture_shows_the_jack_that_is_meant() -> None:
    facility = sample("quillmoor")
    for name in ("PB2.T9", "PB2.B15", "PB1.T1", "PB1.T48", "WB.T8"):
        meant = jack(name)
        face = face_of(facility, facility.bays[meant.bay])
        picture = jack_picture(face, meant)
        (spot,) = [
            m for m in picture.marks if isinstance(m, Circle) and m.ref and "meant" in m.ref.classes
        ]
        numbers = [m for m in picture.marks if isinstance(m, Text) and m.weight == "bold"]
        assert [(n.text, n.at.x) for n in numbers] == [(str(meant.position), spot.centre.x)]


def test_a_plant_without_priorities_needs_none() -> None:
    (page,) = card_pages(plant("equipment: {A: {name: Box, outputs: [O]}}"))
    assert "No box stands alone" in words_of(page)


def test_a_card_too_high_leaves_out_steps_and_costs_alone(monkeypatch) -> None:
    """What has no way round, and what can be brought back besides, stand after the steps."""
    facility = sample("quillmoor")
    found = outage(facility, Failure(boxes=("DA1",)))
    steps = []
    for room in (10**6, 100_000, 80_000):
        monkeypatch.setattr("slinediag.papers.cards.ROOM", room)
        words = words_of(card_pages(facility, outages=[found])[0])
        for kept in (
            "priority 8 PRESS First, LINK L ! Without DELAY: seven seconds to cut",
            f"No way round LOGGER 1 and LOGGER 2: {TIED}. ! 4 inputs of no priority can be brought",
        ):
            assert kept in words, room
        assert ("! More, and what these cords cost:" in words) == (room < 10**6)
        steps.append(words.count("LINK L BACK.") + words.count("All together"))
    assert steps == [2, 1, 0]


def test_a_card_too_high_lacks_no_step_between_others(monkeypatch) -> None:
    """Whatever room there is: the numbers at the left of steps, in whatever column, have no gap."""
    facility = sample("quillmoor")
    found = outage(facility, Failure(boxes=("DESK",)))
    seen = set()
    for room in range(60_000, 220_000, 4_000):
        monkeypatch.setattr("slinediag.papers.cards.ROOM", room)
        (card, *_) = groups(card_pages(facility, outages=[found])[0].marks, "card")
        texts = texts_in(card.marks)
        edge = min(text.at.x for text in texts)
        at = (edge, edge + WORDS // 2)
        steps = sorted(int(t.text) for t in texts if t.text.isdecimal() and t.at.x in at)
        assert steps == list(range(1, len(steps) + 1)), room
        seen.add(len(steps))
    assert len(seen) > 3


def texts_in(marks: tuple[Mark, ...]) -> list[Text]:
    found = []
    for mark in marks:
        if isinstance(mark, Text):
            found.append(mark)
        elif isinstance(mark, Group):
            found += texts_in(mark.marks)
    return found


def groups(marks: tuple[Mark, ...], name: str) -> list[Group]:
    found = []
    for mark in marks:
        if isinstance(mark, Group):
            found += [mark] if name in mark.ref.classes else groups(mark.marks, name)
    return found


def test_cards_lie_on_their_pages_their_words_apart() -> None:
    inner = Box(LEFT, EDGE, A4.width - LEFT - EDGE, A4.height - 2 * EDGE)
    facility = sample("larkfen")
    pages = card_pages(facility)
    assert sum(len(groups(page.marks, "card")) for page in pages) == len(cards_of(facility))
    for page in pages:
        boxes = [box for _, box in text_boxes(page)]
        for n, box in enumerate(boxes):
            assert inner.contains(box)
            assert not any(box.meets(other) for other in boxes[n + 1 :])


def test_a_card_too_long_for_its_page_says_that_costs_are_left_out() -> None:
    facility = sample("quillmoor")
    found = outage(facility, Failure(boxes=("DESK",)))
    page, _ = card_pages(facility, outages=[found])  # on the second the cautions of all cards
    words = words_of(page)
    assert "! More, and what these cords cost: slinediag outage FILE --failed DESK" in words
    assert "Set it before it goes out." not in words
