"""From a desktop's menu: its entry, icon and file type, and what is opened where nothing is named."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths
from PySide6.QtSvg import QSvgRenderer

from slinediag.editor import desktop
from slinediag.editor.files import recent
from slinediag.resources import resource, sample

FREEDESKTOP = "{http://www.freedesktop.org/standards/shared-mime-info}"


@pytest.fixture
def own_folder(tmp_path, monkeypatch):
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _where: str(tmp_path / "own"))
    return tmp_path / "own"


@pytest.mark.skipif(not shutil.which("desktop-file-validate"), reason="no desktop-file-utils")
def test_the_menu_entry_keeps_to_the_standard(tmp_path):
    # freedesktop.org's own checker of desktop entries, also with the path of a command in it.
    desktop.add_to_menu(tmp_path, "/opt/a b/slinediag-editor")
    for path in (
        resource("desktop/slinediag.desktop"),
        tmp_path / "applications/slinediag.desktop",
    ):
        done = subprocess.run(["desktop-file-validate", path], capture_output=True, text=True)
        assert (done.returncode, done.stdout) == (0, "")


def test_entry_and_type_speak_of_the_same_things():
    entry = resource("desktop/slinediag.desktop").read_text(encoding="utf-8")
    (kind,) = ET.parse(resource("desktop/slinediag.xml")).getroot().iter(f"{FREEDESKTOP}mime-type")
    assert f"MimeType={kind.get('type')};" in entry
    assert "Exec=slinediag-editor %f" in entry
    assert QSvgRenderer(str(resource("desktop/slinediag.svg"))).isValid()


@pytest.mark.skipif(not shutil.which("update-mime-database"), reason="no shared-mime-info")
def test_the_file_type_is_known_by_its_name_and_its_first_lines(tmp_path):
    # Qt's reading of freedesktop.org's database, in a process that is told where it lies.
    shared = Path("/usr/share/mime")
    if not shared.is_dir():
        pytest.skip("this machine has no file types at all")
    desktop.add_to_menu(tmp_path / "data", "slinediag-editor")
    named = tmp_path / "studio.slinediag.yaml"
    bare = tmp_path / "studio"
    for path in (named, bare):
        path.write_bytes(sample("larkfen.yaml").read_bytes())
    code = (
        "import sys; from PySide6.QtCore import QMimeDatabase; d = QMimeDatabase(); "
        "print([d.mimeTypeForFile(f).name() for f in sys.argv[1:]])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(named), str(bare)],
        env=os.environ | {"XDG_DATA_HOME": str(tmp_path / "data")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == str(["application/x-slinediag+yaml"] * 2)


def test_where_nothing_was_open_the_sample_is_copied_to_be_tried(own_folder):
    assert desktop.first_file() == str(own_folder / "larkfen.yaml")
    copy = Path(desktop.first_file())
    assert copy.read_bytes() == sample("larkfen.yaml").read_bytes()
    copy.write_text("mine now", encoding="utf-8")
    assert desktop.sample_to_try().read_text(encoding="utf-8") == "mine now"


def test_else_the_file_that_was_open_last(own_folder, plant_file):
    recent.note(str(plant_file))
    assert desktop.first_file() == str(plant_file)
    plant_file.unlink()
    assert desktop.first_file() == str(own_folder / "larkfen.yaml")


def test_a_file_that_cannot_be_opened_is_told(monkeypatch, tmp_path, capsys):
    said = []
    monkeypatch.setattr(
        desktop.QMessageBox, "warning", lambda _parent, _title, words: said.append(words)
    )
    assert desktop.main([str(tmp_path / "nowhere.yaml")]) == 2
    assert "nowhere.yaml" in capsys.readouterr().err
    assert "nowhere.yaml" in said[0]
