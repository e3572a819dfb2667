"""Two revisions of a facility: what changed, in the trade's terms, and what that does."""
