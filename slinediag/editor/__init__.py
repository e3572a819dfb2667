"""The editor: a window that shows what the rest computes and adds no rule of its own.

The workplace (``workplace``) holds what is open, its history, the trial and the selection, and
tells of every change by signals; widgets show it and ask it, and never hold a second copy.
"""
