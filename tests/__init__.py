"""Tests of slinediag; they mirror the package."""
