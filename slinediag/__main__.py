"""``python -m slinediag``: the command, where its entry point is not on the path."""

from slinediag.cli.main import run

run()
