"""Tests of the painters."""
