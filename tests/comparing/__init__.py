"""Tests of the comparison of two revisions."""
