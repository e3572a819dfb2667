"""Tests of slinediag.cli."""
