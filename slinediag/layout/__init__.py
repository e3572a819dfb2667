"""Graphs of boxes and ports arranged in layers; pure geometry, with no word of audio in it."""
