"""An installed slinediag finds its resources, away from any source checkout."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCES = (
    "slinediag",
    "resources",
    "samples",
    "pyproject.toml",
    "README.md",
    "LICENSE",
)


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that setuptools builds for installation, from a copy of the sources."""
    if importlib.util.find_spec("setuptools") is None:
        pytest.skip("setuptools is not installed")
    folder = tmp_path_factory.mktemp("build")
    checkout, library = folder / "checkout", folder / "library"
    checkout.mkdir()
    for name in SOURCES:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, checkout / name, ignore=shutil.ignore_patterns("__pycache__"))
        elif source.is_file():
            shutil.copy(source, checkout / name)
    build = "from setuptools import setup; setup()"
    command = [sys.executable, "-c", build, "-q", "build", "--build-lib", str(library)]
    subprocess.run(command, cwd=checkout, check=True, capture_output=True)
    shutil.rmtree(checkout)
    return library


def test_every_resource_is_installed(installed: Path) -> None:
    resources = ROOT / "resources"
    expected = {path.relative_to(resources) for path in resources.rglob("*") if path.is_file()}
    inside = installed / "slinediag" / "_resources"
    assert expected == {path.relative_to(inside) for path in inside.rglob("*") if path.is_file()}


def test_the_samples_are_installed(installed: Path) -> None:
    inside = installed / "slinediag" / "_samples"
    for sample in (ROOT / "samples").glob("*.yaml"):
        assert (inside / sample.name).read_bytes() == sample.read_bytes()


def test_installed_package_finds_them(installed: Path) -> None:
    code = "import slinediag.text as t; print(t.__file__); print(t.width('PB1 12', 2500))"
    outcome = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"PYTHONPATH": str(installed)},
        cwd=installed,
        capture_output=True,
        check=True,
        text=True,
    )
    file, width = outcome.stdout.split()
    assert Path(file).is_relative_to(installed)
    assert int(width) == 11_920


def test_every_package_is_installed(installed: Path) -> None:
    packages = {path.parent.relative_to(ROOT) for path in (ROOT / "slinediag").rglob("__init__.py")}
    assert all((installed / package / "__init__.py").is_file() for package in packages)
