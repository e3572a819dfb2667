"""Help and introduction: read off what the window really has, shown once, ended by a key."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QKeyCombination, QPoint, QPointF, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

from slinediag.chart.legend import NORMALS
from slinediag.drawing.query import ink_box
from slinediag.editor.canvas_keys import KEYS
from slinediag.editor.guide import guide, introduction
from slinediag.editor.guide.keys import keys_of, plain, sections
from slinediag.editor.guide.normals import pictures, plant, what_it_does
from slinediag.editor.guide.pages import Shown, legend_drawing
from slinediag.geometry import Box, union
from slinediag.tracing.trial import ask
from slinediag.tracing.values import Trial
from tests.builders import entry, jack

CTRL = Qt.KeyboardModifier.ControlModifier


def texts(widget):
    return [label.text() for label in widget.findChildren(QLabel)]


def test_f1_opens_the_help_and_escape_closes_it(window):
    QTest.keyClick(window, Qt.Key.Key_F1)
    help_window = window.besides.guide
    assert help_window.isVisible()
    shown = help_window.stack.currentWidget()
    assert len(shown.findChildren(Shown)) == len(NORMALS) * 4
    QTest.keyClick(help_window.contents, Qt.Key.Key_Down)
    assert help_window.contents.currentItem().text() == guide.LEGEND
    QTest.keyClick(help_window, Qt.Key.Key_Escape)
    assert not help_window.isVisible()


def test_every_key_of_every_command_is_on_the_page(window):
    QTest.keyClick(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    page = window.besides.guide.pages[guide.KEYS]
    said = texts(page)
    for menu in window.menus.values():
        for action in menu.actions():
            for shortcut in action.shortcuts():
                assert plain(action.text()) in said
                keys = shortcut.toString(QKeySequence.SequenceFormat.NativeText)
                assert any(keys in words for words in said), keys


def test_the_page_of_keys_follows_what_is_undone(window):
    window.besides.help(guide.KEYS)
    window.workplace.put_cord(jack("PB1.T3"), jack("PB2.B1"))
    window.workplace.leave_in((jack("PB1.T3"), jack("PB2.B1")), "loan", None)
    window.besides.guide.open_on(guide.LEGEND)
    window.besides.guide.open_on(guide.KEYS)
    page = window.besides.guide.stack.currentWidget()
    assert any(words.startswith("Undo Leave in PB1 T3") for words in texts(page))


def test_the_keys_said_to_work_on_a_drawing_do(window):
    canvas = window.canvas
    canvas.show_thing(jack("PB1.T3"))
    canvas.zoom(2, QPointF(40, 50))
    window.workplace.select(jack("PB1.T3"))
    before = canvas.view
    for keys, words, act in KEYS:
        act(canvas)
        wanted = canvas.view, window.workplace.selection
        assert wanted != (before, jack("PB1.T3")), words
        for key in keys:
            canvas.look(before)
            window.workplace.select(jack("PB1.T3"))
            press(canvas, key)
            assert (canvas.view, window.workplace.selection) == wanted, words
        canvas.look(before)
        window.workplace.select(jack("PB1.T3"))


def press(canvas, key):
    if isinstance(key, QKeyCombination):
        QTest.keyClick(canvas, key.key(), key.keyboardModifiers())
    else:
        QTest.keyClick(canvas, key)


def test_the_legend_is_whole_and_on_its_paper():
    drawing = legend_drawing()
    paper = Box(0, 0, drawing.width, drawing.height)
    for mark in drawing.marks:
        assert union((paper, ink_box(mark))) == paper


# By hand from the make/break contacts of normalled jackfields (common practice): what still
# reaches the end from the source with a plug in the top jack, in the bottom jack, in both.
JOINED = {
    "full": (False, False, False),
    "half": (True, False, False),
    "reverse-half": (False, True, False),
    "parallel": (True, True, True),
    "none": (False, False, False),
}


@pytest.mark.parametrize("kind", JOINED)
def test_what_is_said_of_plugs_is_what_the_circuit_does(kind):
    number = [k for k, _ in NORMALS].index(kind) + 1
    top, bottom = jack(f"PB1.T{number}"), jack(f"PB1.B{number}")
    for plugs, joined in zip(((top,), (bottom,), (top, bottom)), JOINED[kind], strict=True):
        words = what_it_does(kind, top=top in plugs, bottom=bottom in plugs)
        if kind != "none":
            assert words.startswith("Tapped" if joined else "Broken")
            heard = {o.input: o.hears_after for o in ask(plant(), Trial(plugs=plugs)).inputs}
            assert bool(heard.get(entry(f"TO.{number}"), True)) == joined


def test_pictures_show_what_their_words_say():
    for name, drawn in pictures():
        for picture in drawn:
            kinds = {kind for ref in refs(picture.drawing.marks) for kind in ref.classes}
            assert ("broken" in kinds) == picture.words.startswith("Broken"), name
            assert ("tapped" in kinds) >= picture.words.startswith("Tapped"), name


def refs(marks):
    for mark in marks:
        if mark.ref is not None:
            yield mark.ref
        yield from refs(getattr(mark, "marks", ()))


# ---- the introduction


def test_the_first_run_shows_it_and_a_key_ends_it_for_good(window):
    window.introduce_if_new()
    page = window.besides.introduction
    assert page.isVisible()
    QTest.keyClick(page.end_button, Qt.Key.Key_Space)
    assert not page.isVisible()
    window.introduce_if_new()
    assert not page.isVisible()
    QTest.keyClick(window, Qt.Key.Key_F1, CTRL)
    assert page.isVisible()
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()


def test_it_names_the_keys_that_the_window_has(window):
    said = " ".join(words for _, words in introduction.steps(window.menus))
    for words in ("Find", "Outage", "Print and write", "Whole sheet"):
        assert keys_of(window.menus, words) in said
    assert sections(window.menus)[-1].heading == "On a drawing"


def test_it_is_whole_on_a_small_screen_and_a_command_ends_it(window):
    window.resize(1000, 620)
    page = window.besides.introduce()
    inner = page._page
    assert page.rect().contains(inner.geometry())
    assert inner.height() >= inner.heightForWidth(inner.width())
    assert not window.canvas.isAncestorOf(window.childAt(QPoint(20, 300)) or window)
    page._leave(page, window.find_field)
    assert not page.isVisible()
