"""Before and after on one page: the same things in the same places, and only the plugs differ."""

from __future__ import annotations

from fractions import Fraction
from functools import cache, partial

import pytest

import slinediag
from slinediag.chart.before_after import composed_one_way
from slinediag.chart.chart import draw
from slinediag.chart.excerpt import Wanted, read_excerpt
from slinediag.chart.one_sheet import Content
from slinediag.chart.sheet import sheet_named
from slinediag.chart.touched import touched
from slinediag.cli.main import main
from slinediag.drawing.marks import Drawing, Group, Mark, Text
from slinediag.drawing.query import ink_box, walk
from slinediag.geometry import Box
from slinediag.problems import RequestError, SheetTooSmall
from slinediag.tracing.naming import read_trial
from slinediag.tracing.trial import ask
from slinediag.tracing.words import sentences
from tests.chart import rules


@cache
def larkfen():
    return slinediag.load("samples/larkfen.yaml")


@cache
def pages():
    """The two halves of one trial: a cord that breaks two normals, and the compressor dead."""
    trial = read_trial(larkfen(), [("LA.T1", "LB.B1")], [], [], ["COMP"])
    (drawing,) = draw(larkfen(), ask(larkfen(), trial), before=True)
    return drawing, half(drawing, "before"), half(drawing, "after")


def groups(marks: tuple[Mark, ...]):
    for mark in marks:
        if isinstance(mark, Group):
            yield mark
            yield from groups(mark.marks)


def refs(of: Group):
    """What every mark of a group stands for, however deep."""
    for mark in of.marks:
        if mark.ref:
            yield mark.ref
        if isinstance(mark, Group):
            yield from refs(mark)


def half(drawing: Drawing, name: str) -> Group:
    (found,) = [g for g in groups(drawing.marks) if name in g.ref.classes]
    return found


def points(of: Group) -> dict[str, Group]:
    return {
        dict(g.ref.data)["top"]: g
        for g in groups(of.marks)
        if "point" in g.ref.classes and "top" in dict(g.ref.data)
    }


def test_every_patch_point_stands_in_both_straight_below_or_straight_across():
    _, before, after = pages()
    one, other = points(before), points(after)
    assert one.keys() == other.keys()
    assert len(one) > 30
    shifts = set()
    for name in one:
        first, second = ink_box(one[name].marks[0]), ink_box(other[name].marks[0])
        shifts.add((second.x - first.x, second.y - first.y))
    (shift,) = shifts
    assert shift[0] == 0 or shift[1] == 0


def test_only_what_is_after_has_the_trial():
    _, before, after = pages()

    def classes(of: Group) -> set[str]:
        return {name for ref in refs(of) for name in ref.classes}

    def cords(of: Group) -> set[str]:
        return {dict(ref.data)["cord"] for ref in refs(of) if "cord" in dict(ref.data)}

    assert cords(after) - cords(before) == {"LA.T1=LB.B1"}
    assert "failed" in classes(after)
    assert "failed" not in classes(before)


def test_neither_half_covers_the_other():
    _, before, after = pages()
    one, other = ink_box(before), ink_box(after)
    assert one.bottom < other.y or one.right < other.x


def test_the_way_that_takes_the_smaller_sheet_is_drawn():
    drawing, *_ = pages()
    # Above each other they would be higher than A0.
    assert (drawing.width, drawing.height) == (1_189_000, 841_000)


def content(words, width, height, complete=True):
    """A chart of this size in millimetres, by its heading."""
    extent = Box(0, 0, width * 1000, height * 1000)
    return Content(larkfen(), (), extent, lambda _: (), words, "", complete=complete)


SMALL, WIDE, LARGE = (
    content("small", 100, 80),
    content("wide", 300, 150),
    content("large", 500, 300),
)
HUGE = content("huge", 5000, 4000)


def told(made):
    """The heading that a sheet bears."""
    texts = {p.mark.text for p in walk(made.drawing) if isinstance(p.mark, Text)}
    (words,) = texts & {"small", "wide", "large", "huge"}
    return words


@pytest.mark.parametrize(
    ("ways", "sheet", "which"),
    [
        ((LARGE, WIDE, SMALL), "A3", "wide"),
        ((WIDE, SMALL), "A3", "wide"),
        ((SMALL, WIDE), "A3", "small"),
        ((WIDE, SMALL, LARGE), "auto", "small"),
        ((LARGE, WIDE, content("small", 100, 80, complete=False)), "auto", "wide"),
        ((HUGE, LARGE), "auto", "large"),
    ],
)
def test_of_a_named_sheet_the_first_way_that_fits_is_taken_else_that_on_the_smallest(
    ways, sheet, which
):
    made = composed_one_way(ways, sheet, Fraction(1))
    assert told(made) == which
    if sheet == "auto":
        sizes = {"small": "A4", "wide": "A3", "large": "A2"}
        smallest = sheet_named(sizes[which])
        assert (made.drawing.width, made.drawing.height) == (smallest.width, smallest.height)


@pytest.mark.parametrize("ways", [(LARGE, WIDE, HUGE), (WIDE, LARGE), (HUGE, WIDE), (WIDE,)])
def test_where_no_way_fits_the_smallest_sheet_that_would_do_for_any_is_named(ways):
    with pytest.raises(SheetTooSmall) as refused:
        composed_one_way(ways, "A4", Fraction(1))
    assert refused.value.smallest == "A3"


def test_without_a_trial_there_is_nothing_to_compare(tmp_path, capsys):
    path = tmp_path / "c.svg"
    assert main(["draw", "samples/larkfen.yaml", "-o", str(path), "--before"]) == 2
    assert "there is no trial to show" in capsys.readouterr().err
    assert not path.exists()
    with pytest.raises(RequestError):
        slinediag.draw(larkfen(), tmp_path / "c.svg", before=True)


def test_a_sheet_that_is_too_small_for_both_is_refused():
    trial = read_trial(larkfen(), [("LA.T1", "LB.B1")], [], [], [])
    with pytest.raises(SheetTooSmall) as refused:
        draw(larkfen(), ask(larkfen(), trial), before=True, sheet="A4")
    assert "--before puts" in str(refused.value)


def test_where_a_larger_sheet_has_room_for_both_it_is_named(monkeypatch):
    trial = read_trial(larkfen(), [("LA.T1", "LB.B1")], [], [], [])
    monkeypatch.setattr("slinediag.chart.chart.too_large", lambda *_: False)
    part = read_excerpt(larkfen(), Wanted(around=("NEAR.L",)))
    both = partial(draw, larkfen(), ask(larkfen(), trial), before=True, excerpt=part)
    with pytest.raises(SheetTooSmall) as refused:
        both(sheet="A4")
    smallest = refused.value.smallest
    assert smallest
    told = str(refused.value)
    assert told.startswith("sheet A4: --before puts the chart before and after on one sheet")
    assert f"The smallest that has is {smallest}; or draw less" in told
    (drawing,) = both(sheet=smallest)
    assert half(drawing, "before")


def test_what_surely_has_no_room_is_refused_before_anything_is_laid_out(monkeypatch):
    def laid_out(*_, **__):
        raise AssertionError

    monkeypatch.setattr("slinediag.chart.chart.draw_whole", laid_out)
    facility = slinediag.load("samples/quillmoor.yaml")
    trial = read_trial(facility, [("DISC 1 L", "LINK L")], [], [], [])
    with pytest.raises(SheetTooSmall) as refused:
        draw(facility, ask(facility, trial), before=True, sheet="A3")
    told = str(refused.value)
    assert "--before" in told
    for remedy in ("--sheet one", "--bay", "--room", "--around", "leave --before out"):
        assert remedy in told


def test_the_command_writes_one_page(tmp_path):
    path = tmp_path / "c.svg"
    arguments = ["draw", "samples/larkfen.yaml", "-o", str(path), "--effort", "quick"]
    assert main([*arguments, "--failed", "DESK", "--around", "NEAR.L", "--before"]) == 0
    drawn = path.read_text(encoding="utf-8")
    assert drawn.count("Before: as filed") >= 1
    assert drawn.count("After: with the trial") >= 1
    assert [p.name for p in tmp_path.iterdir()] == ["c.svg"]


CORDS = [("LA.T1", "LB.B1"), ("LA.T2", "LB.B2")]


def test_a_named_sheet_without_room_for_the_lists_has_them_behind_it(tmp_path):
    path = tmp_path / "c.svg"
    cords = [part for one, other in CORDS for part in ("--cord", f"{one}={other}")]
    arguments = ["draw", "samples/larkfen.yaml", "-o", str(path), "--effort", "quick"]
    assert main([*arguments, "--sheet", "A3", "--before", *cords]) == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["c-1.svg", "c-2.svg"]


def test_beside_both_charts_stands_what_to_mind_and_where_the_rest_is():
    answer = ask(larkfen(), read_trial(larkfen(), CORDS, [], [], []))
    least = touched(larkfen(), answer)[-1]
    words = tuple(sentences(answer))
    sheet, behind = draw(
        larkfen(), answer, before=True, sheet="A3", excerpt=least, words=words, done=("Two cords",)
    )
    assert points(half(sheet, "before")).keys() == points(half(sheet, "after")).keys()
    for page in (sheet, behind):
        rules.check_lettering(page)
    first, second = (rules.block_words(page, "words") for page in (sheet, behind))
    minded = [each for each in words if each.startswith("CAUTION")]
    assert minded
    assert len(words) > len(minded) + 2
    assert all(squeezed(each) in squeezed(first) for each in (words[0], *minded))
    assert squeezed(words[-1]) not in squeezed(first)
    assert all(squeezed(each) in squeezed(second) for each in words)
    (leading,) = rules.groups(sheet.marks, "to-sheet")
    assert rules.data_of(leading) == {"sheet": "2"}
    shown = {mark.text for page in (sheet, behind) for mark in texts_of(page)}
    assert {"1 of 2", "2", "Cautions", "Legend", "Notes by number", "Behind this sheet"} <= shown


def texts_of(drawing: Drawing) -> list[Text]:
    return [p.mark for p in walk(drawing) if isinstance(p.mark, Text)]


def squeezed(words: str) -> str:
    """Words without the spaces and bullets that lines put between them."""
    return words.replace(" ", "").replace("•", "")


def test_where_a_failure_touches_nothing_that_is_drawn_it_is_said(tmp_path, capsys):
    """The emergency player of the sample feeds nothing as filed."""
    path = tmp_path / "both.pdf"
    asked = ["draw", "samples/quillmoor.yaml", "-o", str(path), "--sheet", "A3", "--before"]
    assert main([*asked, "--failed", "EMERG"]) == 2
    said = capsys.readouterr().err
    assert "nothing that is drawn is touched by this. Leave --before out" in said
    assert not path.exists()
