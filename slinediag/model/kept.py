"""What is worked out of a facility, kept because it is asked for again and again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

from slinediag.model.facility import Facility

T = TypeVar("T")

MOST = 4
"""Of how many facilities it is kept at once."""


class Kept(Generic[T]):
    """Works something out of a facility at the first question and keeps it for the next ones.

    Of the last few facilities, for any thread; one at a time, so that nothing is done twice.
    """

    def __init__(self, work_out: Callable[[Facility], T]) -> None:
        self._work_out = work_out
        self._lock = threading.Lock()
        # The facility is kept too: as long as it lives, no other has its id.
        self._found: OrderedDict[int, tuple[Facility, T]] = OrderedDict()

    def of(self, facility: Facility) -> T:
        """What there is to know of this very facility."""
        with self._lock:
            name = id(facility)
            if name not in self._found:
                self._found[name] = facility, self._work_out(facility)
            self._found.move_to_end(name)
            while len(self._found) > MOST:
                self._found.popitem(last=False)
            return self._found[name][1]
