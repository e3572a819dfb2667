"""Tests of slinediag.model."""
