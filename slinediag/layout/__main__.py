"""``python -m slinediag.layout``: what loads before anything can be stopped.

Next to nothing is imported before the ``try``, so that Ctrl-C while the rest loads ends as it does
later on.
"""

from __future__ import annotations

import sys


def begin() -> int:
    """Load the command and run it; where Ctrl-C stops that, say so. The exit status."""
    try:
        from slinediag.layout.command import run

        return run()
    except KeyboardInterrupt:
        import signal

        # Whoever is impatient presses twice: the second must not break into the farewell.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        from slinediag.stopping import INTERRUPTED, tell_stopped

        tell_stopped()
        return INTERRUPTED


if __name__ == "__main__":
    sys.exit(begin())
