"""Checks: each rule where it must fire, and where it must not."""
