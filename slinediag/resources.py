"""The only finder of resources: in a source checkout they lie beside the package, in an
installed wheel inside it."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def resource(name: str) -> Path:
    """The path of a bundled resource file; FileNotFoundError where there is none of that name."""
    for folder in (PACKAGE / "_resources", PACKAGE.parent / "resources"):
        path = folder / name
        if path.is_file():
            return path
    raise FileNotFoundError(f"slinediag is installed without its resource {name}; install it again")


def sample(name: str) -> Path:
    """The path of a sample facility; FileNotFoundError where there is none of that name."""
    for folder in (PACKAGE / "_samples", PACKAGE.parent / "samples"):
        path = folder / name
        if path.is_file():
            return path
    raise FileNotFoundError(f"slinediag is installed without its sample {name}; install it again")
