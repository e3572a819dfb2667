"""Order sheets against what the trade asks when a bay is ordered."""

from __future__ import annotations

import pytest

from slinediag.drawing.query import text_boxes
from slinediag.papers.order import normals_of, order_pages, order_tables, warnings_of
from tests.builders import plant
from tests.papers.samples import sample


def bay_with(kinds: str, keys: str = ""):
    """A bay of four positions, half unless its points say otherwise."""
    facility = plant(f"bays: {{PB: {{name: Bay, positions: 4, points: {{{kinds}}}, {keys}}}}}")
    return facility, facility.bays["PB"]


@pytest.mark.parametrize(
    ("kinds", "warned"),
    [
        ("", False),
        ("1-2: {normal: full}", False),  # half of the positions is not more than half
        ("1-3: {normal: full}", True),
        ("1: {normal: full}, 2: {normal: none}, 3: {normal: parallel}", True),
    ],
)
def test_more_than_half_that_differ_are_warned_of(kinds: str, warned: bool) -> None:
    facility, bay = bay_with(kinds)
    assert bool(warnings_of(facility, bay)) == warned


def test_a_warning_names_the_setting_that_would_do() -> None:
    facility, bay = bay_with("1-3: {normal: full}")
    (warning,) = warnings_of(facility, bay)
    assert warning.startswith("3 of 4 positions differ from the setting half")
    assert "set to full with 1 exception," in warning


def test_a_normal_from_elsewhere_takes_the_positions_own() -> None:
    facility = sample("quillmoor")
    normals = normals_of(facility, facility.bays["PB3"])
    assert normals.crossed == (9, 25, 26)
    assert {normals.kinds[n - 1] for n in normals.crossed} == {"none"}


def test_normals_by_position_are_the_models() -> None:
    facility = sample("quillmoor")
    _, table = order_tables(facility)
    crossed = {(n.target.bay, n.target.position) for n in facility.cross_normals}
    for bay, position, kind, _ in table.rows:
        expected = "none" if (bay, position) in crossed else facility.bays[bay].normal_at(position)
        assert kind == expected
    assert len(table.rows) == sum(bay.width for bay in facility.bays.values())


def test_a_page_a_bay_with_all_that_is_asked() -> None:
    facility = sample("quillmoor")
    pages = order_pages(facility)
    assert len(pages) == len(facility.bays)
    words = " ".join(mark.text for mark, _ in text_boxes(pages[1]))
    for asked in (
        "bantam jacks", "48 a row, two rows, top and bottom: 96 jacks", "one bus for all sleeves",
        "strapped on site as the schedule lists; 16 positions differ", "one, 19 in",
        "the bus bonded to technical earth", "insulation displacement posts", "480",
        "parallel", "reverse-half", "half from PB2.T32", "Protective earth",
    ):  # fmt: skip
        assert asked in words


def words_of(facility) -> str:
    """All that the order sheets of a plant say."""
    return " ".join(mark.text for page in order_pages(facility) for mark, _ in text_boxes(page))


@pytest.mark.parametrize(
    ("style", "said"),
    [
        ("bantam", "those of 6.35 mm do not go in"),
        ("long-frame", "overstretches its springs"),
        ("quarter-inch", "overstretches its springs"),
    ],
)
def test_plugs_are_warned_of_by_the_style_of_the_jacks(style: str, said: str) -> None:
    facility, _ = bay_with("", f"style: {style}")
    words = words_of(facility)
    both = ("those of 6.35 mm do not go in", "overstretches its springs")
    assert [text in words for text in both] == [text == said for text in both]


def test_what_is_assumed_of_a_panel_not_bought_yet_is_asked_of_its_supplier() -> None:
    facility, _ = bay_with("")
    words = words_of(facility)
    assert "confirm it with the supplier" in words
    assert "measure the panel)" not in words


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("positions: 1, rows: 1", ("1 a row, one row: 1 jack", "as in a row of 48")),
        ("positions: 8, rows: 1", ("8 a row, one row: 8 jacks", "as in a row of 48")),
        ("positions: 48", ("1 to 48 above, 1 to 48 below", "(17.25 in between the ears")),
    ],
)
def test_short_rows_are_ordered_in_plain_words(keys: str, said: tuple[str, ...]) -> None:
    words = words_of(plant(f"bays: {{PB: {{name: Bay, {keys}}}}}"))
    assert all(text in words for text in said)
    assert "1 jacks" not in words
    assert "1 to 1" not in words


def test_a_plant_without_bays_has_a_page_all_the_same() -> None:
    (page,) = order_pages(plant("equipment: {A: {name: Box}}"))
    assert "No bays" in {mark.text for mark, _ in text_boxes(page)}
