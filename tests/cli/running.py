"""The command as a person runs it, in this process."""

from __future__ import annotations

from slinediag.cli.main import main


def run(capsys, *arguments):
    """Status, standard output and standard error of one command."""
    try:
        status = main([str(argument) for argument in arguments])
    except SystemExit as stopped:
        status = stopped.code
    said = capsys.readouterr()
    return status, said.out, said.err
