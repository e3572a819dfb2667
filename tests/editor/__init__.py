"""Tests of the editor, on the shown window with real mouse and key events."""
