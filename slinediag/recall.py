"""An earlier drawing, read from the files it was written as, so that another can keep its order:
one that is named, or unasked what is about to be written over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from slinediag.chart.asked import Asked, read_asked
from slinediag.chart.borne import BEGIN_AGAIN, read_earlier
from slinediag.chart.earlier import Earlier, NothingKept, Say, unsaid
from slinediag.chart.ranges import number_ranges
from slinediag.problems import RequestError, problem

OURS = "Name a drawing that slinediag wrote"


def read_kept(
    keep: Path, path: Path, asked: Asked, say: Say = unsaid
) -> tuple[Earlier | None, Asked]:
    """An earlier drawing as it stood, None, which is said, where ``path`` is yet to be drawn first;
    and ``asked`` as one that keeps it bears it.

    Of a set any of its SVGs will do; the others are looked for beside it. RequestError where the
    file cannot be read, is no drawing of ours, or bears nothing that can be kept.
    """
    file = _file_of(keep)
    if file is None:
        if keep == path:
            say(NothingKept(f"there is no {keep} yet"))
            return None, asked
        raise _refused("there is no such file", f"{OURS}; the first time there is none", keep)
    text = _borne(file)
    before, earlier = read_asked(text), _read(file, text, say)
    follows = before is not None and not asked.unlike(before, earlier.several)
    return earlier, asked.after(before) if before and follows else asked


def read_there(path: Path, asked: Asked, say: Say = unsaid) -> tuple[Earlier | None, Asked]:
    """The drawing that is about to be written over, as it stood, where ``asked`` is its next one;
    and ``asked`` as the next one bears it.

    None where that is not so, with a word on why where choices or contents differ; without one
    where nothing can be read that bears how it stood. Where a single drawing and a set stand
    there, the one that has more in common with what is drawn now.
    """
    single, several = path if path.is_file() else None, _set_of(path)
    found = [each for file in (single, several) if file and (each := _there(file, asked))]
    if several and found and found[-1].file == several and not found[-1].earlier.several:
        found.pop()  # A drawing by itself that happens to be called so.
    if not found:
        return None, asked
    best = max(found, key=lambda each: (not each.unlike, each.same))
    if best.unlike:
        say(f"{path}: arranged anew, since {best.unlike}")
        return None, asked
    for words in best.said:
        say(words)
    return best.earlier, asked.after(best.before)


@dataclass(frozen=True, slots=True)
class _There:
    """A drawing that stands where another is to be written, what of it that could keep, what it was
    asked for with, and why it is not to be kept; the share that they have in common, and what is
    said where it is kept."""

    file: Path
    earlier: Earlier
    before: Asked
    unlike: str
    same: float
    said: tuple[str, ...]


def _there(file: Path, asked: Asked) -> _There | None:
    """What stands in a file; None where it cannot be kept, or does not say what it was asked for
    with."""
    said: list[str] = []
    try:
        text = _borne(file)
        before = read_asked(text)
        if before is None:
            return None
        earlier = _read(file, text, said.append)
    except RequestError:
        return None
    unlike, same = asked.unlike(before, earlier.several), asked.things.same(before.things)
    return _There(file, asked.keeping(before, earlier), before, unlike, same, tuple(said))


def _read(file: Path, text: str, say: Say) -> Earlier:
    """What a file bears; of an SVG of a set with what the others bear."""
    earlier = read_earlier([text], str(file))
    if not earlier.several or file.suffix.lower() != ".svg":
        return earlier
    others = [_borne(other) for other in _beside(file) if other.is_file()]
    earlier = read_earlier([text, *others], str(file))
    if missing := earlier.units.keys() - earlier.sheets.keys():
        sheets = f"sheet {number_ranges(missing)}"
        say(f"Not found beside {file}: {sheets}, of which only number and contents are kept")
    return earlier


def _file_of(keep: Path) -> Path | None:
    """The file, or of a set of that name the one with the lowest number; None where none is."""
    return keep if keep.exists() else _set_of(keep)


def _set_of(path: Path) -> Path | None:
    """Of a set of this name the file with the lowest number; None where none is."""
    found = _numbered(path)
    return found[min(found)] if found else None


def _numbered(path: Path) -> dict[int, Path]:
    """The files of a set of this name, by their numbers."""
    numbered = re.compile(rf"{re.escape(path.stem)}-([0-9]{{1,3}}){re.escape(path.suffix)}")
    try:
        names = [file.name for file in path.parent.iterdir()]
    except OSError:
        return {}
    matches = [match for name in names if (match := numbered.fullmatch(name))]
    return {int(match[1]): path.with_name(match[0]) for match in matches}


def _beside(file: Path) -> list[Path]:
    """The files of the other sheets of its set, in order."""
    name, dash, number = file.stem.rpartition("-")
    if not dash or not number.isdecimal():
        return []
    found = _numbered(file.with_name(f"{name}{file.suffix}"))
    return [other for _, other in sorted(found.items()) if other != file]


def _borne(file: Path) -> str:
    """What a drawing bears of how it stood; RequestError where it is none, or bears nothing."""
    ending = file.suffix.lower()
    if ending not in (".svg", ".pdf"):
        if ending == ".png":
            hint = "Keep the .svg or .pdf of that drawing, and draw one beside it from now on"
            raise _refused("a PNG does not hold where things stand", hint, file)
        raise _refused("no drawing that can be kept ends like this", f"{OURS}, .svg or .pdf", file)
    # Loaded now: neither is needed where nothing is kept.
    from slinediag.paint.bearing import Unreadable, borne_by_svg
    from slinediag.paint.binding import borne_by_pdf

    try:
        text = (borne_by_svg if ending == ".svg" else borne_by_pdf)(file)
    except OSError as error:
        raise _refused(f"cannot read: {error.strerror or error}", OURS, file) from None
    except Unreadable:
        raise _refused(f"this is no {ending[1:].upper()} to be read", BEGIN_AGAIN, file) from None
    if not text:
        what = "it does not hold where things stand: something else wrote it, or an older slinediag"
        raise _refused(what, BEGIN_AGAIN, file)
    return text


def _refused(what: str, remedy: str, file: Path) -> RequestError:
    """Why a file cannot be kept."""
    return RequestError([problem("", what, remedy)], str(file))
