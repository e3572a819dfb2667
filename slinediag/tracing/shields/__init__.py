"""Shields: what metal is joined to what, which ways round are ground loops, what floats."""
