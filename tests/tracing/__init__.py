"""Tests of slinediag.tracing."""
