"""Commissioning: what to measure at every position, in which order, and what the readings prove."""
