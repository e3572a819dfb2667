"""Strips cut into pieces: every position and every label printed once, in as few pieces as fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import networkx as nx
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from slinediag.address import Jack
from slinediag.chart.sheet import ISO_SIZES, Sheet
from slinediag.drawing.marks import Group, Text
from slinediag.drawing.query import walk
from slinediag.model.facility import Facility
from slinediag.papers.labels import jack_words
from slinediag.papers.panel import panel_of
from slinediag.papers.pieces import pieces_of
from slinediag.papers.strip import strip
from slinediag.papers.strips import longest_on, misfit_lines, strip_pages
from slinediag.papers.wording import Wording, word_bay
from tests.builders import plant

HEADINGS = ("CEDAR DESK MIC", "TALKBACK TO NORTH HALL", "RETURN", "EFFECTS AND REVERB SEND", "")
SMALL = Sheet("small", 150_000, 210_000)


def bay_of(runs: list[tuple[int, int]], pitch: float = 9.13) -> Facility:
    """A row whose labels run on under headings, so many jacks of each; and what stands between."""
    labels = []
    for heading, count in runs:
        words = HEADINGS[heading]
        labels += [f"{words} {n}" if words else '""' for n in range(1, count + 1)]
    labels = labels[:96]
    return plant(
        f"""
        bays:
          P:
            name: Sources
            positions: {len(labels)}
            rows: 1
            pitch: {pitch}
            points: {{1-{len(labels)}: {{label_top: [{", ".join(labels)}]}}}}
        """
    )


@dataclass(frozen=True)
class Printed:
    """What a jack reads: the heading and its own word, as high as they are, and whose label it is."""

    words: str
    height: int
    jacks: str


def printed_on(wording: Wording, first: int, last: int) -> dict[Jack, Printed]:
    """What is printed on a piece, by jack, read off its marks."""
    marks = strip(wording, {}, "T", first, last)
    edges = wording.panel.window("T").edges
    found: dict[Jack, Printed] = {}
    labels = [m for mark in marks for m in mark.marks if isinstance(mark, Group)]
    for label in labels:
        if not isinstance(label, Group) or not label.ref or "label" not in label.ref.classes:
            continue
        jacks = dict(label.ref.data)["jacks"]
        texts = [mark for mark in label.marks if isinstance(mark, Text)]
        own = [mark for mark in texts if mark.weight == "bold"]
        shared = " ".join(mark.text for mark in texts if mark not in own)
        height = min((mark.height for mark in texts), default=0)
        for name in jacks.split():
            jack = Jack("P", "T", int(name.rpartition("T")[2]))
            left, right = (edges[jack.position - n] - edges[first - 1] for n in (1, 0))
            tails = [mark.text for mark in own if left < mark.at.x < right]
            assert len(tails) == (1 if own else 0)
            assert jack not in found
            found[jack] = Printed(" ".join((shared, *tails)).strip(), height, jacks)
    return found


def reads(wording: Wording, first: int, last: int) -> dict[Jack, str]:
    """The words alone of what is printed on a piece."""
    return {jack: said.words for jack, said in printed_on(wording, first, last).items()}


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    runs=st.lists(st.tuples(st.integers(0, 4), st.integers(1, 40)), min_size=1, max_size=4),
    pitch=st.sampled_from((6.2, 9.13, 15.9)),
    sheet=st.sampled_from((*ISO_SIZES, SMALL)),
)
@example(runs=[(0, 32), (4, 16)], pitch=9.13, sheet=ISO_SIZES[0])
@example(runs=[(0, 22), (1, 6), (0, 18), (4, 33)], pitch=9.13, sheet=ISO_SIZES[0])
@example(runs=[(3, 23), (1, 19)], pitch=9.13, sheet=SMALL)
def test_every_label_is_printed_once_in_as_few_pieces_as_fit(runs, pitch, sheet) -> None:
    facility = bay_of(runs, pitch)
    bay = facility.bays["P"]
    wording = word_bay(facility, bay)
    edges, longest = panel_of(facility, bay).window("T").edges, longest_on(sheet)
    pieces = pieces_of(wording, "T", longest)
    assert [n for a, b in pieces for n in range(a, b + 1)] == list(range(1, bay.width + 1))
    assert all(edges[b] - edges[a - 1] <= longest or a == b for a, b in pieces)

    whole = reads(wording, 1, bay.width)
    printed = [reads(wording, *piece) for piece in pieces]
    assert {jack: said for piece in printed for jack, said in piece.items()} == whole
    assert sum(map(len, printed)) == len(whole)
    assert set(whole) == set(jack_words(facility, bay))
    if len(pieces) > 1:
        worth = worth_in(wording)
        assert sum(worth(*piece) for piece in pieces) == least_worth(worth, edges, longest)


def worth_in(wording: Wording) -> Callable[[int, int], int]:
    """What a piece costs, as a reader of it sees: a million for a label that reads otherwise than
    in the whole row, a thousand for one in smaller letters, one for the piece itself."""
    whole = printed_on(wording, 1, wording.bay.width)
    label = {jack.position: one.jacks for jack, one in whole.items()}
    span = {
        jacks: (min(places), max(places))
        for jacks in set(label.values())
        for places in ([n for n, other in label.items() if other == jacks],)
    }

    @cache
    def lost(first: int, last: int) -> int:
        """By the label that stands at both positions, cut there."""
        there = printed_on(wording, first, last)
        if any(one.words != whole[jack].words for jack, one in there.items()):
            return 1_000_000
        return 1_000 * any(one.height < whole[jack].height for jack, one in there.items())

    def worth(first: int, last: int) -> int:
        spans = {span[label[n]] for n in (first, last) if n in label}
        return 1 + sum(lost(max(first, start), min(last, end)) for start, end in spans)

    return worth


def least_worth(worth: Callable[[int, int], int], edges: tuple[int, ...], longest: int) -> int:
    """What the best of all divisions costs."""
    graph = nx.DiGraph()
    for first in range(1, len(edges)):
        for last in range(first, len(edges)):
            if last == first or edges[last] - edges[first - 1] <= longest:
                graph.add_edge(first - 1, last, worth=worth(first, last))
    return nx.shortest_path_length(graph, 0, len(edges) - 1, weight="worth")


def test_a_run_longer_than_a_page_repeats_its_heading() -> None:
    facility = bay_of([(0, 32), (4, 16)])
    (page,) = strip_pages(facility)
    shown = [p.mark.text for p in walk(page) if isinstance(p.mark, Text)]
    assert shown.count("CEDAR DESK MIC") == 2
    assert [shown.count(str(n)) for n in range(1, 33)] == [2] * 32  # its number, and its own word
    assert {"P top row, 1 to 24", "P top row, 25 to 48"} <= set(shown)


def test_a_label_cut_short_is_listed_in_full() -> None:
    """On so small a sheet no piece holds the heading; a larger one prints all of it."""
    facility = bay_of([(3, 12), (4, 2)], pitch=6.2)
    tiny = Sheet("tiny", 62_000, 210_000)
    wording = _words(facility)
    pieces = pieces_of(wording, "T", longest_on(tiny))
    cut = [(a, b) for a, b in pieces if any("…" in said for said in reads(wording, a, b).values())]
    assert cut
    lines = misfit_lines(facility, tiny)
    assert [line.partition(":")[0] for line in lines] == [f"P T{a} to P T{b}" for a, b in cut]
    assert all("EFFECTS AND REVERB SEND" in line and "larger sheet" in line for line in lines)
    said = "".join(
        p.mark.text
        for page in strip_pages(facility, tiny)
        for p in walk(page)
        if isinstance(p.mark, Text)
    )
    said = "".join(said.split())  # so narrow a page parts words
    assert said.count("cutshortwherethestripiscut") == len(cut)
    assert misfit_lines(facility) == []


def test_where_as_many_pieces_do_a_label_is_not_cut() -> None:
    # 40 positions are two pieces of an A4, about even at 20; the run of 24 ends at 26.
    wording = _words(bay_of([(4, 2), (0, 24), (4, 14)]))
    assert pieces_of(wording, "T", longest_on(ISO_SIZES[0])) == [(1, 26), (27, 40)]


def test_a_long_run_is_cut_where_its_group_ends() -> None:
    labels = ", ".join(f"CEDAR DESK MIC {n}" for n in range(1, 41))
    facility = plant(
        f"""
        bays:
          P:
            name: Sources
            positions: 40
            rows: 1
            pitch: 9.13
            points:
              1-40: {{label_top: [{labels}], group: [{", ".join(["FLOOR"] * 16 + ["HALL"] * 24)}]}}
        """
    )
    assert pieces_of(_words(facility), "T", longest_on(ISO_SIZES[0])) == [(1, 16), (17, 40)]


@pytest.mark.parametrize("room", [3, 4, 7])
def test_a_heading_without_room_is_shortened_and_every_jack_keeps_its_own_word(room: int) -> None:
    """A few jacks of a run, as a picture about one jack shows them."""
    wording = _words(bay_of([(1, 20)]))
    said = reads(wording, 9, 8 + room)
    assert [jack.position for jack in said] == list(range(9, 9 + room))
    for jack, words in said.items():
        heading, _, own = words.rpartition(" ")
        assert own == str(jack.position)
        begun = heading.removesuffix("…").strip()
        assert "TALKBACK TO NORTH HALL".startswith(begun)
        assert heading == "TALKBACK TO NORTH HALL" or heading.endswith("…")


def _words(facility: Facility) -> Wording:
    (wording,) = (word_bay(facility, bay) for bay in facility.bays.values())
    return wording
