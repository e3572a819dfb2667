"""Wall chart, outage cards and a chart under a failure tell of each box what the outage answers.

What they say is read off their words. The plugs that they name are put in through ``ask``, which
knows nothing of patches, and what inputs hear then is held against what was said of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pytest

from slinediag.address import Jack, PortAddress
from slinediag.chart.outages import bypass_table
from slinediag.chart.remedy import remedy
from slinediag.drawing.marks import Group, Mark, Text
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_name
from slinediag.papers.cards import card_pages
from slinediag.tracing.outage.answer import outage
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.values import Outage
from slinediag.tracing.phrases import port_name
from slinediag.tracing.trial import ask
from slinediag.tracing.values import CordEnds, InputOutcome, Trial
from tests.builders import plant
from tests.papers.samples import sample
from tests.tracing.test_outage_told import SUFFERING

JACK = r"[^ ]+ [TB]\d+"
STEP = (
    rf"(?:(?P<dummy>Put a dummy plug into)|(?P<first>Plug in|Plug a [\d.]+ m cord into)"
    rf"|(?P<pull>Pull (?:the|the cord's other) plug from)"
    rf"|(?:The cord's other plug|The other plug of the cord from (?P<end>{JACK})) in)"
    rf" (?P<jack>{JACK})(?: \([^)]*\))?(?:: (?P<clauses>.+?))?\.(?: Mind: .*)?$"
)
CORD = rf"(pull |a dummy plug in |dummy plugs in )?({JACK})(?: \([^)]*\))?(?: (?:to|and) ({JACK}))?"

COMMAND = "slinediag outage FILE --failed"


def called(facility: Facility, box: str) -> str:
    """A box as it is typed after the command: by its label, in quotes where that has blanks."""
    label = facility.equipment[box].printed
    return re.escape(f'"{label}"' if " " in label else label)


PATCHED = """
equipment:
  MIC: {name: Microphone, outputs: [O]}
  DSC: {name: Player, outputs: [O]}
  CRT: {name: Cartridge player, outputs: [O]}
  AIR: {name: Tuner, outputs: [L]}
  DESK:
    name: Desk
    inputs: [1, 2, 3]
    outputs: {P1: {label: PGM 1}, P2: {label: PGM 2}, PH: {label: PHONES}}
    paths: all
  DA: {name: Distribution amplifier, inputs: [I], outputs: [1, 2], paths: all}
  LOG: {name: Logger, label: LOGGER, priority: 1, inputs: [1]}
  TAPE: {name: Recorder, label: TAPE, priority: 2, inputs: [1]}
  PH: {name: Headphone amplifier, label: PHONES, priority: 3, inputs: {L: {instead: [AIR.L]}}}
  SPK: {name: Loudspeaker, label: SPEAKER, inputs: [1]}
  PLY: {name: Player, label: DISC, outputs: [O]}
  AMP: {name: Amplifier, label: AMP, inputs: [I], outputs: [1, 2], paths: all}
  X: {name: Transmitter, label: LINK, priority: 1, inputs: [L]}
  M: {name: Monitor, label: MONITOR, priority: 2, inputs: [L]}
bays:
  PB:
    name: Bay
    positions: 12
    points:
      1: {top: MIC.O, bottom: DESK.1}
      2: {top: DSC.O, bottom: DESK.2}
      3: {top: CRT.O, bottom: DESK.3}
      4: {top: DA.1, bottom: LOG.1, normal: half}
      5: {top: DESK.P2, normal: none}
      6: {top: DESK.P1, bottom: DA.I, normal: full}
      7: {top: DA.2, bottom: TAPE.1, normal: full}
      8: {top: DESK.PH, bottom: PH.L, normal: reverse-half}
      9: {top: AIR.L, bottom: SPK.1, normal: full}
      10: {top: PLY.O, bottom: AMP.I, normal: full}
      11: {top: AMP.1, bottom: X.L, normal: full}
      12: {top: AMP.2, bottom: M.L, normal: full}
"""
"""A desk, an amplifier and a pair of phones in which every manner of being back comes up: in part,
by another mix, with a stand-in that needs a dummy plug, and not beside the others."""

PLANTS = {"patched": PATCHED, "suffering": SUFFERING}


@cache
def facility_of(name: str) -> Facility:
    return plant(PLANTS[name]) if name in PLANTS else sample(name)


@cache
def outages(name: str) -> dict[str, Outage]:
    """The outage of every single box by its id."""
    facility = facility_of(name)
    boxes = [box.id for box in facility.equipment.values() if not box.removed]
    return {box: outage(facility, Failure(boxes=(box,))) for box in boxes}


def ranked(found: Outage) -> list[dict[str, Any]]:
    """The inputs of a priority that fall silent, as the keys of the answer tell them."""
    return [each for each in found.to_dict()["silenced"] if each["priority"] is not None]


def prepared(name: str) -> dict[str, Outage]:
    """Those that the wall and the cards tell: they silence an input of a priority."""
    return {box: found for box, found in outages(name).items() if ranked(found)}


NAMES = ("larkfen", "quillmoor", *PLANTS)


@dataclass
class Told:
    """What words say: the cords and plugs that move, and how inputs are back."""

    facility: Facility
    cords: list[CordEnds] = field(default_factory=list)
    pulls: list[CordEnds] = field(default_factory=list)
    dummies: list[Jack] = field(default_factory=list)
    back: dict[PortAddress, str] = field(default_factory=dict)

    def heard(self, box: str) -> dict[PortAddress, InputOutcome]:
        """What every input hears with the box dead and all this done."""
        trial = Trial(
            cords=tuple(self.cords),
            pulled_cords=tuple(self.pulls),
            plugs=tuple(self.dummies),
            failed=(box,),
        )
        return {each.input: each for each in ask(self.facility, trial, every_input=True).inputs}

    def add(self, words: str) -> None:
        """Cords and dummy plugs as one line names them by their jacks."""
        known = named_jacks(self.facility)
        for act, one, other in re.findall(CORD, words):
            if "dummy" in act:
                self.dummies += [known[name] for name in (one, other) if name]
            else:
                (self.pulls if act else self.cords).append((known[one], known[other]))

    def follow(self, sentences: Iterable[str]) -> None:
        """Do what steps say, plug by plug, and note whom they restore and interrupt."""
        known = named_jacks(self.facility)
        hanging: list[Jack] = []
        for sentence in sentences:
            found = re.match(STEP, sentence)
            assert found, sentence
            jack = known[found["jack"]]
            if found["dummy"]:
                self.dummies.append(jack)
            elif found["first"]:
                hanging.append(jack)
            elif found["pull"]:
                (cord,) = (c for c in self.facility.cords if jack in (c.source, c.target))
                self.pulls += {(cord.source, cord.target)} - {*self.pulls}
            else:
                # Where more cords than one hang, the step must say which.
                end = known[found["end"]] if found["end"] else hanging[0]
                assert found["end"] or len(hanging) == 1, sentence
                hanging.remove(end)
                self.cords.append((end, jack))
            self._note(found["clauses"] or "")
        assert not hanging

    def _note(self, clauses: str) -> None:
        for names, manner in re.findall(
            r"([^;]+?) (BACK(?: IN PART|, BUT WITH [^;]+)?)(?=;|$)", clauses
        ):
            self.back |= dict.fromkeys(inputs_in(self.facility, names), manner)
        for names in re.findall(r"INTERRUPTS ([^;]+)", clauses):
            for port in inputs_in(self.facility, names):
                self.back.pop(port, None)


def named_jacks(facility: Facility) -> dict[str, Jack]:
    """Every jack by what is printed of it."""
    return {
        jack_name(facility, jack): jack
        for bay in facility.bays.values()
        for row in bay.jack_rows
        for jack in (Jack(bay.id, row, n) for n in range(1, bay.width + 1))
    }


def inputs_in(facility: Facility, words: str) -> list[PortAddress]:
    """The inputs that a list in words names; what is counted at its end is left out."""
    known = {port_name(facility, port): port for port in facility.inputs()}
    names = re.split(r", | and ", words.strip())
    return [known[name] for name in names if not re.fullmatch(r"\d+ more", name)]


def counted(words: str) -> int:
    """How many things a list in words names or counts."""
    more = re.search(r" and (\d+) more$", words)
    return len(re.split(r", | and ", words)) + (int(more[1]) - 1 if more else 0)


def check_back(told: Told, box: str) -> None:
    """Inputs hear all that they did, a part, or what is named instead, as it is said of them."""
    heard = told.heard(box)
    for port, words in told.back.items():
        before, after = set(heard[port].hears_before), set(heard[port].hears_after)
        assert after, (box, port)
        manner, _, what = words.upper().partition(", BUT WITH ")
        if manner.startswith("BACK IN PART"):
            assert before - after, (box, port)
            assert before & after, (box, port)
            check_part(told.facility, words, before, after)
        elif what:
            named = {port_name(told.facility, o).upper() for o in told.facility.outputs()}
            others = set(re.split(r", | AND ", what))
            assert others <= named, what
            spelled = {port_name(told.facility, origin).upper() for origin in after}
            # A stand-in is heard itself; a mix brings what was heard by another output.
            assert others == spelled if not before & after else not before - after, (box, port)
        else:
            assert not before - after, (box, port)


def check_part(
    facility: Facility, words: str, before: set[PortAddress], after: set[PortAddress]
) -> None:
    """Where the wall says what is heard or not heard, by equipment or output, that is so."""
    said = re.fullmatch(r"back in part, (?:only (.+) heard|without (.+))", words)
    if said is None:
        return
    boxes = {facility.equipment[origin.equipment].printed: origin.equipment for origin in before}
    ports = {port_name(facility, origin): origin for origin in before}
    named = re.split(r", | and ", said[1] or said[2])
    named = [name for name in named if not re.fullmatch(r"\d+ more", name)]
    left, gone = after & before, before - after
    meant, others = (left, gone) if said[1] else (gone, left)
    for name in named:
        known = (
            {ports[name]} if name in ports else {p for p in before if p.equipment == boxes[name]}
        )
        assert known & meant, (name, words)
        assert not known & others, (name, words)


def check_dummies(told: Told, found: Outage) -> None:
    """No cord is hung of which the answer says that a dummy plug does as well."""
    known = {str(jack): jack for jack in named_jacks(told.facility).values()}
    cautions = " ".join(found.to_dict()["together"]["cautions"])
    spared = re.findall(r"(\S+)=(\S+): (?:a dummy plug|dummy plugs) in ", cautions)
    hung = {frozenset(cord) for cord in told.cords}
    assert hung.isdisjoint(frozenset((known[one], known[other])) for one, other in spared)


def silent_under(told: Told, box: str, found: Outage) -> set[PortAddress]:
    """The inputs that the failure silences and that stay silent with all this done."""
    heard = told.heard(box)
    return {each.input for each in found.silenced if not heard[each.input].hears_after}


def ports(facility: Facility, spelled: Iterable[str]) -> set[PortAddress]:
    """Inputs of working equipment as the keys of an answer spell them."""
    known = {facility.spelled(port): port for port in facility.inputs()}
    return {known[each] for each in spelled}


def harmed_by(told: Told, box: str, restored: Iterable[PortAddress]) -> set[PortAddress]:
    """The inputs that all this harms against the failure alone, as the format of answers has it."""
    facility = told.facility
    alone, now = Told(facility).heard(box), told.heard(box)
    found = set()
    for port, then in now.items():
        rest, fed = alone[port], len(then.feeds_after)
        known = {*then.hears_before, *rest.hears_after, *facility.facts(port).instead}
        loses = set(rest.hears_after) - set(then.hears_after)
        strange = then.hears_before and set(then.hears_after) - known
        doubled = fed > 1 and len(rest.feeds_after) < 2
        if port.equipment != box and (loses or strange or doubled):
            found.add(port)
    return found - {*restored}


def said_after(words: Sequence[str], head: str) -> str:
    """What a sentence that begins like this says; empty where there is none."""
    return next(
        (each.removeprefix(head).rstrip(".") for each in words if each.startswith(head)), ""
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_chart_under_a_failure_tells_what_the_outage_answers(name: str) -> None:
    """For every single box: steps, manners, who stays silent, what is counted and who suffers."""
    facility = facility_of(name)
    for box, found in outages(name).items():
        said = remedy(found)
        told = Told(facility)
        told.follow(said.steps)
        check_back(told, box)
        check_dummies(told, found)
        answer = found.to_dict()
        restores = ports(facility, answer["together"]["restores"])
        assert {*told.back} & {each.input for each in found.silenced} <= restores
        more = re.match(
            rf"(\d+) more inputs? can be brought back, too: {COMMAND} {called(facility, box)}(?= |$)",
            " ".join(said.beside),
        )
        assert (int(more[1]) if more else 0) == len(restores - {*told.back})
        beside = said_after(said.beside, "STILL SILENT beside the others: ")
        missed = [each for each in answer["silenced"] if each.get("missed", True)]
        left = [each["input"] for each in missed if each["patches"]]
        still = {*inputs_in(facility, beside)} if beside else set()
        assert still == ports(facility, left) - restores
        none = [said_after([each], "NO PATCH: ").partition(":")[0] for each in said.beside]
        without = {port for names in none if names for port in inputs_in(facility, names)}
        lost = [each["input"] for each in missed if not each["patches"]]
        assert without == ports(facility, lost)
        assert without <= silent_under(told, box, found)
        suffer = [each.partition(": SUFFERS")[0] for each in said.beside if ": SUFFERS" in each]
        told_to_suffer = {port for names in suffer for port in inputs_in(facility, names)}
        assert told_to_suffer == harmed_by(told, box, told.back)


def wall_rows(name: str) -> dict[str, str]:
    """What the wall says of each box, by its label."""
    facility = facility_of(name)
    return dict(bypass_table(facility, tuple(prepared(name).values())).rows)


@pytest.mark.parametrize("name", NAMES)
def test_the_wall_tells_what_the_outage_answers(name: str) -> None:
    """For every box on the way to an input of a priority."""
    facility = facility_of(name)
    rows = wall_rows(name)
    silencing = [box for box, words in rows.items() if "audio passes" not in words]
    assert len(silencing) == len(prepared(name))
    for box, found in prepared(name).items():
        words = rows[facility.equipment[box].printed]
        known = {each["input"]: bool(each["patches"]) for each in ranked(found)}
        told, count = Told(facility), 0
        first = re.search(
            r"((?:[Dd]ummy |[Pp]ull |[A-Z]+\d* [TB]\d).+?): (.+? back(?:[,; ].*?)?)\.(?: |$)", words
        )
        if first and not words.startswith(("NO PATCH", "STILL")):
            told.add(first[1])
            for clause in first[2].split("; "):
                names, manner = re.fullmatch(
                    r"(.+?) (back(?: in part, .+|, but with .+)?)", clause
                ).groups()
                told.back |= dict.fromkeys(inputs_in(facility, names), manner)
                count += counted(names)
        check_back(told, box)
        check_dummies(told, found)
        restores = ports(facility, found.to_dict()["together"]["restores"])
        assert {*told.back} <= restores
        more = re.search(r"(Another|\d+)(?: others)? can be brought back: outage cards", words)
        priority = ports(facility, known)
        others = int(more[1].replace("Another", "1")) if more else 0
        assert count + others == len(restores & priority)
        heard = told.heard(box)
        assert count == sum(bool(heard[port].hears_after) for port in restores & priority)
        for head, patched in (("NO PATCH for ", False), ("STILL SILENT beside the others: ", True)):
            said = re.search(rf"{head}([^.]+)\.", words)
            expected = priority & ports(facility, [p for p, has in known.items() if has == patched])
            assert (counted(said[1]) if said else 0) == len(expected - restores), (box, head)
            if said:
                assert {*inputs_in(facility, said[1])} <= expected - restores
        harms = re.search(r"HARMS ([^.]+)\.", words)
        suffering = harmed_by(told, box, restores)
        assert (counted(harms[1]) if harms else 0) == len(suffering)


def card_words(name: str) -> dict[str, list[str]]:
    """The words on each card in their order, by its box."""
    facility = facility_of(name)
    pages = card_pages(facility, outages=tuple(prepared(name).values()))
    cards = [card for page in pages for card in groups(page.marks, "card")]
    return {
        dict(card.ref.data)["box"]: [m.text for m in card.marks if isinstance(m, Text)]
        for card in cards
    }


def groups(marks: Iterable[Mark], name: str) -> list[Group]:
    """The groups of a class among marks and in them."""
    found = []
    for mark in marks:
        if isinstance(mark, Group):
            found += [mark] if name in mark.ref.classes else groups(mark.marks, name)
    return found


def section(words: Sequence[str], start: str, ends: Sequence[str]) -> list[str]:
    """The words behind a caption, up to that of another section."""
    at = next((n for n, word in enumerate(words) if word.startswith(start)), len(words))
    found = []
    for word in words[at + 1 :]:
        if word.startswith(tuple(ends)):
            break
        found.append(word)
    return found


def items(words: Sequence[str]) -> tuple[list[str], list[str]]:
    """Numbered sentences, and those behind an exclamation mark, their lines joined."""
    steps: list[str] = []
    beside: list[str] = []
    last = None
    for word in words:
        if word == str(len(steps) + 1):
            steps.append("")
            last = steps
        elif word == "!":
            beside.append("")
            last = beside
        elif last is not None:
            last[-1] = f"{last[-1]} {word}".strip()
    return steps, beside


CAPTIONS = ("First, ", "Then, in this order", "All together", "No way round", "! More")


@pytest.mark.parametrize("name", NAMES)
def test_the_cards_tell_what_the_outage_answers(name: str) -> None:
    """For every box on the way to an input of a priority: the first patch, then all."""
    facility = facility_of(name)
    cards = card_words(name)
    assert {*cards} == {*prepared(name)}
    for box, found in prepared(name).items():
        words = cards[box]
        joined = " ".join(words)
        restores = ports(facility, found.to_dict()["together"]["restores"])
        told = Told(facility)
        steps, _ = items(section(words, "First, ", CAPTIONS[1:]))
        told.follow(steps)
        check_back(told, box)
        check_dummies(told, found)
        known = ports(facility, [each["input"] for each in ranked(found)])
        assert bool(steps) == bool(restores & known), box
        without = ports(facility, [e["input"] for e in ranked(found) if not e["patches"]])
        assert ("No way round" in words) == bool(without)
        if "More, and what these cords cost" in joined:
            continue
        told.back = {port: manner for port, manner in told.back.items() if port in restores}
        told.add(" ".join(section(words, "Then, in this order", CAPTIONS[2:])))
        whole = " ".join(section(words, "All together", CAPTIONS[3:]))
        for head, manner in MANNERS.items():
            for names in re.findall(rf"{head}: ([^.]+)\.", whole):
                told.back |= dict.fromkeys(inputs_in(facility, names), manner)
        heard = told.heard(box)
        told.back = {port: words for port, words in told.back.items() if port in known}
        assert {*told.back} == known & restores, box
        assert all(heard[port].hears_after for port in told.back)
        more = re.search(
            rf"! (\d+) inputs? of no priority can be brought back(, too)?: "
            rf"{COMMAND} {called(facility, box)}(?= |$)",
            joined,
        )
        if more:
            # Too, where the card brings others back.
            assert bool(more[2]) == bool(told.back)
        back = {port for port in restores if heard[port].hears_after}
        assert (int(more[1]) if more else 0) == len(restores - back)
        for port, manner in told.back.items():
            before, after = set(heard[port].hears_before), set(heard[port].hears_after)
            assert (not before - after) == (manner in ("BACK", "BACK, BUT")) or not before & after
        still = re.search(r"STILL SILENT beside the others: ([^.]+)\.", joined)
        left = known - restores - without
        assert {*(inputs_in(facility, still[1]) if still else ())} == left
        suffer = harmed_by(told, box, restores)
        said = {
            p for n in re.findall(r"! ([^!.]+?): SUFFERS", joined) for p in inputs_in(facility, n)
        }
        assert said == suffer, box


MANNERS = {
    "Then these are back": "BACK",
    "Back in part": "BACK IN PART",
    "Back, but with something else": "BACK, BUT",
}


def test_every_manner_comes_up() -> None:
    """Else the comparisons above would pass on nothing."""
    rows = " ".join(words for name in NAMES for words in wall_rows(name).values())
    for said in (
        "a dummy plug in ",
        " back in part",
        " back, but with ",
        "NO PATCH for ",
        "STILL SILENT",
        "HARMS ",
        "CAUTION",
    ):
        assert said in rows
    cards = " ".join(
        word for name in NAMES for words in card_words(name).values() for word in words
    )
    for said in ("a dummy plug ", "BACK IN PART", "STILL SILENT", ": SUFFERS, ", "Without "):
        assert said in cards
    charts = " ".join(
        words
        for name in NAMES
        for found in outages(name).values()
        for told in (remedy(found),)
        for words in (*told.before, *told.steps, *told.beside)
    )
    for said in (
        "a dummy plug ",
        "BACK IN PART",
        "BACK, BUT",
        "NO PATCH: ",
        ": SUFFERS, ",
        "Without ",
    ):
        assert said in charts
    assert "STILL SILENT beside the others" in charts
