"""A file as it was in a revision of its git repository."""

from __future__ import annotations

import os
import subprocess

from slinediag.problems import RequestError, problem

FORM = "Write REV:FILE, as HEAD~1:station.yaml, or name a file"


def read_revision(name: str) -> bytes | None:
    """The bytes that ``REV:FILE`` names; None where the name is that of a file, or has no colon.

    ``git show`` reads it. RequestError where git is not there or knows no such revision or file.
    """
    revision, colon, path = name.partition(":")
    if os.path.exists(name) or not colon:
        return None
    if not revision or revision.startswith("-") or not path:
        raise RequestError([problem(name, "this names no revision of a file", FORM)])
    folder, file = os.path.split(path)
    command = ["git", "-C", folder or ".", "show", f"{revision}:./{file}"]
    try:
        done = subprocess.run(command, capture_output=True, check=False)
    except OSError:
        hint = "Install git, or save the old revision as a file and name that"
        raise RequestError([problem(name, "git cannot be run", hint)]) from None
    if done.returncode:
        said = done.stderr.decode("utf-8", errors="replace").strip().splitlines()
        why = said[-1].removeprefix("fatal: ").rstrip(".") if said else "git show failed"
        raise RequestError([problem(name, f"git: {why}", FORM)])
    return done.stdout
