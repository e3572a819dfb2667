"""Facility and trial made into a drawing: what to show, how, and where it stands."""
