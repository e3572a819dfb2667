"""Tests of the display list."""
