"""Checks of the main job against the world outside the project."""
