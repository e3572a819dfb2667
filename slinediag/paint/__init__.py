"""Painters: one drawing, several backends."""
