"""Bay faces: true to EIA-310-D, jacks where they are, cords that cover no label."""

from __future__ import annotations

from collections import Counter

import pytest

from slinediag.drawing.curves import flattened
from slinediag.drawing.marks import Circle, Curve, Group, Line, Mark, Rect, Text
from slinediag.drawing.query import ink_box, text_box, text_boxes, walk
from slinediag.geometry import Box
from slinediag.papers.face import face_marks, face_of
from slinediag.papers.face_cords import CORD
from slinediag.papers.faces import face_pages, face_sheet
from tests.builders import plant
from tests.papers.samples import sample


def leaves(marks: tuple[Mark, ...], within: tuple[str, ...] = ()):
    for mark in marks:
        classes = (*within, *(mark.ref.classes if mark.ref else ()))
        if isinstance(mark, Group):
            yield from leaves(mark.marks, classes)
        else:
            yield mark, classes


def test_the_sheet_takes_a_19_inch_panel_at_its_size() -> None:
    # 482.6 mm (EIA-310-D) does not go on A3 (420 mm) and does on A2 (594 mm, ISO 216).
    assert face_sheet().name == "A2"
    for page in face_pages(sample("quillmoor")):
        panels = [
            m for m, classes in leaves(page.marks) if "panel" in classes and isinstance(m, Rect)
        ]
        assert panels
        for panel in panels:
            assert (panel.box.width, panel.box.height) == (482_600, 88_110)


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_every_jack_once_and_plugged_ones_filled(name: str) -> None:
    facility = sample(name)
    drawn: Counter[str] = Counter()
    filled = set()
    for bay in facility.bays.values():
        face = face_of(facility, bay)
        for mark in face_marks(face):
            if isinstance(mark, Group) and "jack" in mark.ref.classes:
                jack = dict(mark.ref.data)["jack"]
                drawn[jack] += 1
                (hole,) = mark.marks
                assert isinstance(hole, Circle)
                if hole.style.fill == "#000000":
                    filled.add(jack)
    assert drawn == Counter(map(str, facility.jacks))
    plugged = {str(j) for c in facility.cords for j in (c.source, c.target)}
    assert filled == plugged | {str(p.jack) for p in facility.plugs}


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_each_own_normal_is_drawn_between_its_jacks(name: str) -> None:
    facility = sample(name)
    for bay in facility.bays.values():
        lines = {
            dict(m.ref.data)["normal"]
            for m in face_marks(face_of(facility, bay))
            if isinstance(m, Line) and m.ref and "normal" in m.ref.classes
        }
        own = {
            str(n)
            for n in facility.normals
            if n.source.bay == bay.id == n.target.bay and n.source.position == n.target.position
        }
        assert lines == own


@pytest.mark.parametrize("name", ["quillmoor", "larkfen"])
def test_cords_cover_no_label_and_each_is_there(name: str) -> None:
    facility = sample(name)
    cords = set()
    for page in face_pages(facility):
        found = list(leaves(page.marks))
        labels = [text_box(m) for m, classes in found if isinstance(m, Text) and "label" in classes]
        for mark in page.marks:
            if isinstance(mark, Group) and "cord" in mark.ref.classes:
                cords.add(dict(mark.ref.data)["cord"])
        for mark, classes in found:
            if isinstance(mark, Curve) and "cord" in classes and mark.style == CORD:
                for point in flattened(mark):
                    half = CORD.width // 2
                    bead = Box(point.x - half, point.y - half, 2 * half, 2 * half)
                    assert not any(bead.meets(label) for label in labels)
    assert cords == {str(cord) for cord in facility.cords}


def test_everything_lies_on_its_page() -> None:
    for name in ("quillmoor", "larkfen"):
        for page in face_pages(sample(name)):
            sheet = Box(0, 0, page.width, page.height)
            for mark, _ in leaves(page.marks):
                assert sheet.grown(1).contains(ink_box(mark)) or isinstance(mark, Rect)


def test_a_cord_to_another_page_has_a_short_end_on_each() -> None:
    racks = "\n".join(f"  B{n}: {{name: Bay {n}, place: Rack, unit: {2 * n}}}" for n in range(1, 8))
    facility = plant(f"bays:\n{racks}\ncords: [{{from: B1.T1, to: B7.B1}}]")
    pages = face_pages(facility)
    assert len(pages) > 1
    tags = [
        m
        for page in pages
        for m in page.marks
        if isinstance(m, Group) and "cord-number" in m.ref.classes
    ]
    assert len(tags) == 2


def test_a_plant_without_bays_says_so() -> None:
    (page,) = face_pages(plant("equipment: {A: {name: Box}}"))
    assert any(isinstance(m, Text) and m.text == "No bays" for m, _ in leaves(page.marks))


def test_places_share_a_page_where_they_fit_whole() -> None:
    # Rack 1 takes a page to itself; the production and the studio rack have one bay each. PB1
    # comes first though Production rack comes before Rack 1 by its letters.
    found = [[ref for mark, ref in headings(page)] for page in face_pages(sample("quillmoor"))]
    assert found == [["PB1", "PB2", "PB3"], ["PB4", "WB"]]


def headings(page):
    for placed in walk(page):
        for ref in placed.refs:
            anchor = dict(ref.data).get("anchor", "")
            if anchor.startswith("face:"):
                yield placed.mark, anchor.removeprefix("face:")


def test_a_height_that_is_assumed_is_said_to_be() -> None:
    facility = plant(
        """
        racks: {R1: {units: 42}}
        bays:
          UP: {name: Above, place: R1, unit: 11}
          LOW: {name: Below, place: R1, unit: 10}
        """
    )
    (page,) = face_pages(facility)
    said = " ".join(mark.text for mark, _ in text_boxes(page))
    assert "1 unit high (all that the bay above it in the rack leaves)" in said
    assert "2 units high (assumed: the file cannot say; measure the panel)" in said


def test_a_label_without_room_begins_on_the_face_and_stands_in_full_below_it() -> None:
    facility = plant(
        """
        bays: {P: {name: Sources, positions: 96, points: {3: {label_top: SUPERCALIFRAGILISTIC}}}}
        """
    )
    (page,) = face_pages(facility)
    words = [mark.text for mark, _ in text_boxes(page)]
    (cut,) = (w for w in words if w.endswith("…") and len(w) > 1)
    assert "SUPERCALIFRAGILISTIC".startswith(cut[:-1])
    assert not any(w.startswith("*") for w in words)
    assert any("P T3: SUPERCALIFRAGILISTIC" in w for w in words)
