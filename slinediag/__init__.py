"""Single-line diagrams and answers for analog audio patch bays."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

from slinediag.problems import FileErrors, RequestError, SheetTooSmall, SlinediagError, WriteError

if TYPE_CHECKING:
    from slinediag.model.facility import Facility
    from slinediag.tracing.values import Answer

__all__ = [
    "FileErrors",
    "RequestError",
    "SheetTooSmall",
    "SlinediagError",
    "WriteError",
    "ask",
    "draw",
    "load",
]

__version__ = "0.1.0"


def load(path: str | os.PathLike[str]) -> Facility:
    """The facility of a file. FileErrors, with every mistake in ``errors``, on a bad file."""
    from slinediag.file.read import load as load_document

    return load_document(path).facility


def ask(
    facility: Facility,
    cords: Iterable[tuple[str, str]] = (),
    pulls: Iterable[tuple[str, str] | str] = (),
    plugs: Iterable[str] = (),
    failed: Iterable[str] = (),
    *,
    every_input: bool = False,
) -> Answer:
    """What a trial does to the facility as filed.

    ``cords`` are pairs of jacks, first-named end first; ``pulls`` standing cords as pairs and
    dummy plugs as jacks; ``plugs`` jacks; ``failed`` equipment. Each may be named by address or
    by a printed label that is unique. RequestError where the trial cannot be done.
    """
    from slinediag.tracing.naming import read_trial
    from slinediag.tracing.trial import ask as ask_trial

    trial = read_trial(facility, cords, pulls, plugs, failed)
    return ask_trial(facility, trial, every_input=every_input)
