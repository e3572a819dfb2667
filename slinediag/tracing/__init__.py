"""Questions about the circuit, answered as plain values."""
