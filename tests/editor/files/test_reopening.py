"""Files that were open last, and going back to where one was in each."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from slinediag.editor.files.new_guide import NewGuide
from slinediag.editor.files.recent import GONE, MOST, note, recent
from slinediag.editor.files.where_one_was import KEY, Standing, keep, kept_of
from slinediag.editor.things import Box
from slinediag.editor.view import View
from tests.builders import jack
from tests.editor.plant import PLANT


def drawn(qtbot, window):
    qtbot.waitUntil(lambda: window.canvas.chart is not None, timeout=30_000)
    qtbot.waitUntil(lambda: not window.draughting.busy, timeout=30_000)
    QApplication.processEvents()
    return window


@pytest.mark.parametrize("selected", [jack("PB2.B1"), Box("LIM")])
def test_a_file_opens_where_one_was(qtbot, plant_file, open_window, selected):
    window = drawn(qtbot, open_window(plant_file))
    window.workplace.select(selected, show=True)
    window.canvas.zoom(3)
    view = window.canvas.view
    window.middle.see_bays()
    qtbot.waitUntil(lambda: window.bays.face is not None, timeout=30_000)
    window.bays.zoom(2)
    bays = window.bays.view
    window.close()
    again = drawn(qtbot, open_window(plant_file))
    assert again.middle.shown_canvas is again.bays
    assert again.workplace.selection == selected
    assert again.canvas.view == view
    qtbot.waitUntil(lambda: again.bays.view == bays, timeout=30_000)


def test_each_file_has_a_place_of_its_own(qtbot, plant_file, open_window):
    other = plant_file.with_name("other.yaml")
    other.write_text(PLANT.replace("Small plant", "Other plant"), encoding="utf-8")
    window = drawn(qtbot, open_window(plant_file))
    whole = window.canvas.view
    window.canvas.zoom(6)
    near = window.canvas.view
    window.open(str(other))
    qtbot.waitUntil(lambda: window.workplace.facility.name == "Other plant", timeout=30_000)
    drawn(qtbot, window)
    qtbot.waitUntil(lambda: window.canvas.view == whole, timeout=30_000)
    window.open(str(plant_file))
    qtbot.waitUntil(lambda: window.workplace.facility.name == "Small plant", timeout=30_000)
    qtbot.waitUntil(lambda: window.canvas.view == near, timeout=30_000)
    assert [path.rpartition("/")[2] for path in recent()] == ["plant.yaml", "other.yaml"]


def test_a_view_of_a_sheet_that_is_another_by_now_shows_the_whole(qtbot, plant_file, open_window):
    keep(str(plant_file), Standing("chart", {"chart": View(4.0, 90_000.0, 0.0)}, "GONE.L"))
    window = drawn(qtbot, open_window(plant_file))
    box = window.canvas.sheet
    assert window.canvas.view.sees(box, window.canvas.width(), window.canvas.height(), 0)
    assert window.workplace.selection is None


@pytest.mark.parametrize("kept", ["{", "[]", '{"x": 3}', '{"PATH": {"views": {"chart": ["a"]}}}'])
def test_what_was_kept_and_cannot_be_read_is_no_matter(plant_file, kept):
    QSettings().setValue(KEY, kept.replace("PATH", str(plant_file)))
    assert kept_of(str(plant_file)) == Standing()
    keep(str(plant_file), Standing("bays"))
    assert kept_of(str(plant_file)).shown == "bays"


def test_recent_files_are_few_and_each_once(tmp_path):
    for number in range(MOST + 3):
        note(str(tmp_path / f"{number}.yaml"))
    note(str(tmp_path / "5.yaml"))
    assert len(recent()) == MOST
    assert recent()[0] == str(tmp_path / "5.yaml")
    assert len(set(recent())) == MOST


def lines(menu):
    return [action.text().replace("&", "") for action in menu.actions() if action.data()]


def test_a_recent_file_that_is_gone_is_marked_and_told(qtbot, plant_file, open_window, tmp_path):
    gone = tmp_path / "drive" / "gone.yaml"
    note(str(gone))
    window = open_window(plant_file)
    menu = window.files.recent
    menu.aboutToShow.emit()
    qtbot.waitUntil(lambda: any(GONE in line for line in lines(menu)), timeout=30_000)
    there, away = lines(menu)
    assert there.startswith("1 plant.yaml – ")
    assert GONE not in there
    assert away.endswith(f"/drive – {GONE}")
    menu.actions()[1].trigger()
    assert "the file is not there" in window.notice.text()
    assert str(gone) in recent()
    menu.actions()[-1].trigger()
    assert recent() == [str(plant_file)]


def test_a_recent_file_is_opened_in_the_place_of_this_one(qtbot, plant_file, open_window):
    other = plant_file.with_name("other.yaml")
    other.write_text(PLANT.replace("Small plant", "Other plant"), encoding="utf-8")
    note(str(other))
    window = open_window(plant_file)
    menu = window.files.recent
    menu.aboutToShow.emit()
    menu.actions()[1].trigger()
    qtbot.waitUntil(lambda: window.workplace.facility.name == "Other plant", timeout=30_000)
    # The lock has moved with it.
    assert not (plant_file.parent / ".plant.yaml.open").exists()
    assert (plant_file.parent / ".other.yaml.open").exists()


def test_new_ends_in_the_window_with_its_file(qtbot, plant_file, open_window, tmp_path):
    window = open_window(plant_file)
    (new,) = [a for a in window.menus["File"].actions() if "New" in a.text()]
    new.trigger()
    (guide,) = window.findChildren(NewGuide)
    assert guide.isVisible()
    guide.path.setText(str(tmp_path / "fresh.yaml"))
    guide.write()
    qtbot.waitUntil(lambda: window.workplace.name.endswith("fresh.yaml"), timeout=30_000)
    assert list(window.workplace.facility.bays) == ["PB1"]
    assert recent()[0].endswith("fresh.yaml")


def test_the_whole_sheet_is_the_whole_sheet_in_a_window_of_another_size(
    qtbot, plant_file, open_window
):
    window = drawn(qtbot, open_window(plant_file))
    window.close()
    assert "chart" not in kept_of(str(plant_file)).views
    again = open_window(plant_file)
    again.resize(1000, 650)
    drawn(qtbot, again)
    canvas = again.canvas
    assert canvas.view.sees(canvas.sheet, canvas.width(), canvas.height(), 0)
