"""Files under one's hands."""
