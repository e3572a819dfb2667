"""The installed commands, and ``python -m slinediag``: what loads before anything can be stopped.

Next to nothing is imported before the ``try``, so that Ctrl-C while the rest loads ends as it does
later on.
"""

from __future__ import annotations

import sys

INTERRUPTED = 130
"""Exit status of what Ctrl-C stopped, as shells have it: 128 and the signal's number."""
STOPPED = "slinediag: stopped; nothing half written is left behind\n"


def run() -> None:
    """Entry point of ``slinediag``."""
    start("slinediag.cli.main")


def run_editor() -> None:
    """Entry point of ``slinediag-editor``, which Ctrl-C ends at once.

    Qt aborts, or takes no notice, where loading it is broken into; what is unsaved is kept anyway.
    """
    import signal

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    start("slinediag.editor.desktop")


def start(module: str) -> None:
    """Load a module and call its ``run``; where Ctrl-C stops that, say so and end."""
    try:
        import importlib

        importlib.import_module(module).run()
    except KeyboardInterrupt:
        import contextlib
        import signal

        # Whoever is impatient presses twice: the second must not break into the farewell.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        # Where nobody can hear it the status tells.
        with contextlib.suppress(AttributeError, OSError):
            sys.stderr.write(STOPPED)
            sys.stderr.flush()
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    run()
