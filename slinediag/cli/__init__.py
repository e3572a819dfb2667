"""The command line: arguments and wording."""
