"""Benchmarks: quality next to time, always as a ratio against a peer in the same run."""
