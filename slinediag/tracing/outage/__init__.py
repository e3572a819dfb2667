"""What falls silent when something fails, and the patches that bring it back."""
