"""The display list: what a drawing is made of, before any painter has a say."""
