"""Facility files: read with every mistake named, written with nothing else disturbed."""
