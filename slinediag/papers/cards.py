"""Outage cards: one for each box on the way to a priority input, with the first patch round it.

By the names on the boxes, as one looks for a card in the night. Lengths in micrometres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slinediag import text
from slinediag.address import natural
from slinediag.chart.lettering import LABEL, SMALL, letter
from slinediag.chart.moving import all_moved
from slinediag.drawing import styles
from slinediag.drawing.marks import Drawing, Group, Mark, Rect, Ref, Style, Text
from slinediag.geometry import Box, Point
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.model.labels import jack_label, labelled_jack, port_label
from slinediag.papers.face import Face, face_of
from slinediag.papers.jack_pictures import PICTURE, jack_pictures
from slinediag.papers.page import (
    ROOM,
    WIDTH,
    Paper,
    Section,
    Slab,
    cautions,
    in_columns,
    pages,
    prose,
)
from slinediag.progress import Tell, silent
from slinediag.tracing.outage.cost_words import cost_lines, mind_lines
from slinediag.tracing.outage.failure import outage_command
from slinediag.tracing.outage.no_patch_words import without_patch
from slinediag.tracing.outage.prepared import prepared_outages
from slinediag.tracing.outage.values import Heard, Outage, SilencedInput, Stage, Step
from slinediag.tracing.outage.words import (
    NO_DUMMY,
    back_again,
    cut_short_lines,
    dummy_words,
    heard_else,
    more_back,
    on_standby,
    step_sentence,
    still_silent,
)
from slinediag.tracing.phrases import ALL, counted, listed, port_names

PAPER = Paper("Outage cards", "If a box fails: by the name on the box")
WORDS = WIDTH - PICTURE - 8_000
PADDING = 3_000
CARE = (
    "Tell who is on air first. Phantom power: off, wait.",
    "Monitors down. Protective earth stays on, always.",
)
"""What stands on every card, since cards are cut out and hung up one by one."""
CAUTIONS = (
    "Tell who is on air, and wait for a word, before you patch. Phantom power: off, wait, then "
    "patch. Monitors and headphones: down first.",
    "A card says what the file of its revision says. If a jack reads otherwise, stop and trace.",
    "Protective earth stays on everything, always; mains and protective earth are for licensed "
    "people under local codes.",
)


@dataclass(frozen=True, slots=True)
class Card:
    """A box on the way to priority inputs, and what its failure comes to."""

    box: Equipment
    outage: Outage

    @property
    def silenced(self) -> tuple[SilencedInput, ...]:
        """The priority inputs that fall silent, highest first."""
        return tuple(each for each in self.outage.silenced if each.priority is not None)

    @property
    def without_way(self) -> tuple[SilencedInput, ...]:
        """Those of them that no patch restores."""
        return tuple(each for each in self.silenced if not each.patches)

    @property
    def first(self) -> Stage | None:
        """The first of the patches that stand side by side; None where there is none.

        None, too, where that is for an input without a priority.
        """
        _, *stages = self.outage.together.stages
        return stages[0] if stages and self._ranked(stages[0]) else None

    @property
    def whole(self) -> Stage:
        """The patches for inputs of a priority, as they stand side by side."""
        return max(self.outage.together.stages, key=self._ranked)

    def _ranked(self, stage: Stage) -> int:
        """How many inputs of a priority patches restore."""
        return len(self.spoken_of(stage).outcomes)

    def ranked_of(self, step: Step) -> tuple[Heard, ...]:
        """How a step restores inputs of a priority."""
        ranked = {each.input for each in self.silenced}
        return tuple(heard for heard in step.heard if heard.input in ranked)

    def spoken_of(self, stage: Stage) -> Stage:
        """What patches come to for inputs of a priority."""
        ranked = {each.input for each in self.silenced}
        told = tuple(outcome for outcome in stage.outcomes if outcome.input in ranked)
        return replace(stage, outcomes=told)


def cards_of(
    facility: Facility, tell: Tell = silent, outages: Iterable[Outage] | None = None
) -> tuple[Card, ...]:
    """The cards, in order of what is printed on the boxes.

    ``outages``: of single boxes, as ``prepared_outages`` finds them; found here where None.
    """
    if outages is None:
        outages = prepared_outages(facility, tell=tell)
    cards = [Card(facility.equipment[outage.failure.boxes[0]], outage) for outage in outages]
    return tuple(sorted(cards, key=lambda card: (natural(card.box.printed), natural(card.box.id))))


def card_pages(
    facility: Facility, tell: Tell = silent, outages: Iterable[Outage] | None = None
) -> tuple[Drawing, ...]:
    """The cards, as many to a page as fit; one page that says so where no box needs one.

    ``outages``: as for :func:`cards_of`.
    """
    cards = cards_of(facility, tell, outages)
    if not cards:
        words = "No box stands alone on the way to an input of a priority."
        return pages(facility, PAPER, [Section("", (prose(words),)), cautions(CAUTIONS)])
    faces = {bay.id: face_of(facility, bay) for bay in facility.bays.values()}
    sections = [Section("", (_card(facility, card, faces),)) for card in cards]
    return pages(facility, PAPER, [*sections, cautions((*CAUTIONS, _others(cards)))])


def _others(cards: Sequence[Card]) -> str:
    """What it means that a box has no card."""
    names = listed((card.box.printed for card in cards), ALL)
    return (
        f"Cards: {names}. Any other box silences no input of a priority when it fails; for what it "
        "does silence, type: slinediag outage FILE --failed NAME"
    )


def _card(facility: Facility, card: Card, faces: Mapping[str, Face]) -> Slab:
    """A card with its frame: words at the left, the first patch's jacks at the right."""
    marks: list[Mark] = []
    y = PADDING
    marks += _issue(facility)
    for line in _head(card):
        marks += all_moved(line.marks, PADDING, y)
        y += line.height
    top = y
    for slab in _held(facility, card, ROOM - PADDING - y):
        marks += all_moved(slab.marks, PADDING, y)
        y += slab.height
    if card.first is not None:
        picture = jack_pictures(facility, card.first, faces)
        marks += all_moved(picture.marks, WIDTH - PICTURE - PADDING, top)
        y = max(y, top + picture.height)
    height = y + PADDING
    frame = Rect(Box(0, 0, WIDTH, height), Style(width=styles.W50))
    return Slab(height, (Group((frame, *marks), Ref(("card",), (("box", card.box.id),))),))


def _held(facility: Facility, card: Card, room: int) -> list[Slab]:
    """The body of a card; of one longer than a page the last steps and costs are left out.

    It says so in their place. What else it tells has no other place at the rack: it goes only,
    from its end, where a page has no room even for that.
    """
    first = () if card.first is None else tuple(_first_patch(facility, card, card.first))
    before, after = list(_silent_words(card)), list(_unhelped(facility, card))
    if sum(slab.height for slab in (*before, *(s for s, _ in first), *after)) <= room:
        return [*before, *(slab for slab, _ in first), *after]
    words = f"More, and what these cords cost: {outage_command(facility, card.outage.failure)}"
    more = prose(words, WORDS, mark="!", indent=5_000)
    room -= sum(slab.height for slab in (*before, more, *after))
    kept = _shortened(first, room)
    room -= sum(slab.height for slab in kept)
    while after and room < 0:
        room += after.pop().height
    return [*before, *kept, more, *after]


def _shortened(parts: Sequence[tuple[Slab, bool]], room: int) -> list[Slab]:
    """Slabs without the last of those that may go, as many as have no room; no caption is left
    with nothing of its own below."""
    left = list(parts)
    going = [n for n, (_, may_go) in enumerate(parts) if may_go]
    while going and sum(slab.height for slab, _ in left) > room:
        del left[going.pop()]
    while going and _is_caption(left[going[-1]][0]):
        del left[going.pop()]
    return [slab for slab, _ in left]


def _issue(facility: Facility) -> Iterator[Text]:
    """Drawing, revision and date, so that a card cut out says of when it is; and the cautions."""
    practice = facility.practice
    facts = (
        practice.drawing,
        f"revision {practice.revision}" if practice.revision else None,
        practice.date.isoformat() if practice.date else None,
    )
    words = ", ".join(fact for fact in facts if fact)
    yield letter(_right(0), words, anchor="end", colour=styles.TEXT_GREY)
    for n, caution in enumerate(CARE, 1):
        yield letter(_right(n), caution, anchor="end", weight="bold" if n == 1 else "regular")


def _right(line: int) -> Point:
    """Where a line of a card's upper right corner ends, from 0."""
    return Point(WIDTH - PADDING, PADDING + SMALL + 4_400 * line)


def _head(card: Card) -> Iterator[Slab]:
    """The box, large, with its name, its place and the file's caution."""
    title = f"{card.box.printed} FAILS"
    fits = text.width(title, styles.H70, "bold") < WORDS
    height = styles.H70 if fits else styles.H50
    shown = text.shorten(title, height, WORDS, "bold") or ""
    at = Point(0, height)
    yield Slab(height + 2_500, (letter(at, shown, height=height, weight="bold"),))
    where = f"{card.box.name}, {card.box.place}" if card.box.place else card.box.name
    yield prose(where, WORDS)


def _silent_words(card: Card) -> Iterator[Slab]:
    """The inputs of a priority that fall silent, a line for each priority."""
    facility = card.outage.facility
    yield _caption("Silent")
    for priority in sorted({each.priority or 0 for each in card.silenced}):
        inputs = [each.input for each in card.silenced if (each.priority or 0) == priority]
        words = listed(port_names(facility, inputs), len(inputs))
        yield prose(words, WORDS, mark=f"priority {priority}", indent=19_000)


def _unhelped(facility: Facility, card: Card) -> Iterator[Slab]:
    """The inputs that no patch restores, and what else stays as it should not."""
    # Without a patch there are no pictures at the right.
    room = WORDS if card.first is not None else WIDTH - 2 * PADDING
    if card.without_way:
        yield _caption("No way round")
        for line in without_patch(facility, card.without_way):
            yield prose(line, room)
    for words in _left_words(facility, card):
        yield prose(words, room, mark="!", indent=5_000)


def _left_words(facility: Facility, card: Card) -> Iterator[str]:
    """How many others can be brought back; which inputs of a priority stay silent all the same,
    hear something else, or may have a better patch than those found."""
    outage, silenced = card.outage, card.silenced
    left = len({*outage.together.restores}.difference(card.whole.restores))
    if left:
        yield more_back(outage, f"{counted(left, 'input')} of no priority", card.whole)
    yield from still_silent(facility, replace(outage, silenced=silenced))
    restored = {*outage.together.restores}
    yield from on_standby(facility, [each for each in silenced if each.input not in restored])
    yield from cut_short_lines(facility, outage.moves, silenced)
    yield from heard_else(outage, ranked=True)


def _first_patch(facility: Facility, card: Card, first: Stage) -> Iterator[tuple[Slab, bool]]:
    """What to mind, the steps and what they cost; with each whether it may go for want of room."""
    wanted = card.spoken_of(first)
    yield _caption(f"First, {listed(port_names(facility, wanted.restores), ALL)}"), False
    for line in mind_lines(facility, card.whole):
        yield prose(line, WORDS, mark="!", indent=5_000), False
    for number, step in enumerate(first.steps, 1):
        yield prose(_step(facility, card, step), WORDS, mark=f"{number}", indent=5_000), True
    if any(step.dummy for step in first.steps):
        yield prose(NO_DUMMY, WORDS, mark="!", indent=5_000), False
    for line in cost_lines(facility, wanted):
        yield prose(line, WORDS, mark="!", indent=5_000), True
    yield from ((slab, True) for slab in _then(facility, card, first))


def _step(facility: Facility, card: Card, step: Step) -> str:
    """One plug: of what it does, whom of a priority it brings back, and whom it interrupts.

    What it does to normals shows at the jacks, and the command tells it.
    """
    return step_sentence(facility, replace(step, acts=(), heard=card.ranked_of(step)))


def _between(word: str) -> str:
    """What stands between the jacks of a cord, or of two dummy plugs."""
    return " and " if word.startswith("dummy plugs") else " to "


def _then(facility: Facility, card: Card, first: Stage) -> Iterator[Slab]:
    """The further cords for inputs of a priority, in the order to move them, what all bring back,
    and what that costs."""
    whole = card.whole
    further = _further(facility, card, whole.steps[len(first.steps) :])
    if not further:
        return
    yield _caption("Then, in this order")
    room = WORDS // 2 - 2_000
    begun = len(first.steps) + 1
    lines = [
        prose(line, room, mark=f"{number}", indent=5_000)
        for number, line in enumerate(further, begun)
    ]
    # Read across, so that a card without room for all lacks the last of them and none between.
    yield from in_columns([*lines[::2], *lines[1::2]], 2, WORDS)
    yield _caption("All together")
    told = card.spoken_of(whole)
    yield from (prose(line, WORDS) for line in back_again(facility, told.outcomes))
    said = cost_lines(facility, card.spoken_of(first))
    costs = [line for line in cost_lines(facility, told) if line not in said]
    yield from (prose(line, WORDS, mark="!", indent=5_000) for line in costs)


def _further(facility: Facility, card: Card, steps: Sequence[Step]) -> list[str]:
    """Each cord that these steps move, in their order, with whom of a priority it brings back."""
    dummies = card.whole.dummies
    found = []
    for cord, act in {step.cord: step.act for step in steps}.items():
        word = "pull" if act == "pull" else dummy_words(cord, dummies)
        jacks = [labelled_jack(facility, jack) for jack in dummies.get(cord, cord)]
        words = f"{word} {_between(word).join(jacks)}".strip()
        back = [h.input for s in steps if s.cord == cord for h in card.ranked_of(s)]
        labelled = {jack_label(facility, jack) for jack in cord}
        if {port_label(facility, port) for port in back} - labelled:
            back.sort(key=lambda port: (facility.facts(port).priority or 0, port))
            words = f"{words}: {listed(port_names(facility, back), ALL)}"
        found.append(words)
    return found


def _caption(words: str) -> Slab:
    at = Point(0, LABEL + 1_500)
    return Slab(LABEL + 3_500, (letter(at, words, height=LABEL, weight="bold"),))


def _is_caption(slab: Slab) -> bool:
    return [m.height for m in slab.marks if isinstance(m, Text)] == [LABEL]
