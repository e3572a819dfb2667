"""Tests of slinediag.circuit."""
