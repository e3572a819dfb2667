"""Tests of reading and writing facility files."""
