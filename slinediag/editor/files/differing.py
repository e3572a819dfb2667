"""What differs between two facilities, in the trade's words."""

from __future__ import annotations

from slinediag.model.facility import Facility


def differing(old: Facility, new: Facility) -> tuple[str, ...]:
    """A line for each change from one to the other."""
    # Loaded only when it is asked for, in a back room mostly: the window comes sooner without.
    from slinediag.comparing.compare import compare
    from slinediag.comparing.report import change_lines

    return tuple(change_lines(compare(old, new).changes))
