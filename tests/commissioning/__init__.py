"""Tests of commissioning: the plan, the walk, the readings."""
