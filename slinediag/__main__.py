"""The installed commands, and ``python -m slinediag``: what loads before anything can be stopped.

Next to nothing is imported before the ``try``, so that Ctrl-C while the rest loads ends as it does
later on.
"""

from __future__ import annotations

import sys


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
        import signal

        # Whoever is impatient presses twice: the second must not break into the farewell.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        from slinediag.stopping import INTERRUPTED, tell_stopped

        tell_stopped()
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    run()
