"""The lists: the facility as tables that one edits in, as people keep them in spreadsheets.

A list (``listing``) says which rows and columns there are, what a cell shows, and what facility a
text typed into it makes; ``kinds`` reads texts and ``judge`` judges facilities by the rules of the
file's own reader. ``trying`` puts many cells in at once and tells what could not be. All of that is
plain functions without Qt, ``chosen_rows`` (filter and order) too. ``table_model``, ``table`` and
``cell`` show a list and type in it; ``page`` is one list with its filter and words, ``lists_view``
all of them.
"""
