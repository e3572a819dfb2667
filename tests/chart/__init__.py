"""Tests of the chart and its sheets."""
