"""Strips cut into pieces: every position and every label printed once, in as few pieces as fit."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from slinediag.address import Jack
from slinediag.chart.sheet import ISO_SIZES, Sheet
from slinediag.drawing.marks import Group, Text
from slinediag.drawing.query import walk
from slinediag.model.facility import Facility
from slinediag.papers.labels import jack_words, row_of
from slinediag.papers.panel import panel_of
from slinediag.papers.pieces import part_of, pieces_of
from slinediag.papers.strip import strip
from slinediag.papers.strips import longest_on, strip_pages
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


def reads(wording: Wording, first: int, last: int) -> dict[Jack, str]:
    """What is printed on a piece, by jack, read off its marks: heading, then the jack's own word."""
    marks = strip(wording, {}, "T", first, last)
    edges = wording.panel.window("T").edges
    found: dict[Jack, str] = {}
    labels = [m for mark in marks for m in mark.marks if isinstance(mark, Group)]
    for label in labels:
        if not isinstance(label, Group) or not label.ref or "label" not in label.ref.classes:
            continue
        jacks = dict(label.ref.data)["jacks"].split()
        texts = [mark for mark in label.marks if isinstance(mark, Text)]
        own = [mark for mark in texts if mark.weight == "bold"]
        shared = " ".join(mark.text for mark in texts if mark not in own)
        for name in jacks:
            jack = Jack("P", "T", int(name.rpartition("T")[2]))
            left, right = (edges[jack.position - n] - edges[first - 1] for n in (1, 0))
            tails = [mark.text for mark in own if left < mark.at.x < right]
            assert len(tails) == (1 if own else 0)
            assert jack not in found
            found[jack] = " ".join((shared, *tails)).strip()
    return found


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    runs=st.lists(st.tuples(st.integers(0, 4), st.integers(1, 40)), min_size=1, max_size=4),
    pitch=st.sampled_from((6.2, 9.13, 15.9)),
    sheet=st.sampled_from((*ISO_SIZES, SMALL)),
)
@example(runs=[(0, 32), (4, 16)], pitch=9.13, sheet=ISO_SIZES[0])
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
    assert len(pieces) == fewest(wording, edges, longest)


def fewest(wording: Wording, edges: tuple[int, ...], longest: int) -> int:
    """The least number of pieces with which every label is as high as in the whole row."""
    graph = nx.DiGraph()
    for first in range(1, len(edges)):
        for last in range(first, len(edges)):
            short = last == first or edges[last] - edges[first - 1] <= longest
            if short and all(
                part.setting is None or part.height == lettered.height
                for lettered in wording.lettered
                if row_of(lettered.field) == "T"
                and lettered.field.jacks[0].position <= last
                and lettered.field.jacks[-1].position >= first
                for part in (part_of(lettered, first, last),)
                if lettered.setting is not None
            ):
                graph.add_edge(first - 1, last)
    return nx.shortest_path_length(graph, 0, len(edges) - 1)


def test_a_run_longer_than_a_page_repeats_its_heading() -> None:
    facility = bay_of([(0, 32), (4, 16)])
    (page,) = strip_pages(facility)
    shown = [p.mark.text for p in walk(page) if isinstance(p.mark, Text)]
    assert shown.count("CEDAR DESK MIC") == 2
    assert [shown.count(str(n)) for n in range(1, 33)] == [2] * 32  # its number, and its own word
    assert {"P top row, 1 to 24", "P top row, 25 to 48"} <= set(shown)


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
