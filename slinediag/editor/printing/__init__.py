"""What goes out on paper or as a file: chosen, seen to scale beforehand, printed, written, copied.

``wanted``: what is asked for, as plain values. ``making``: it made, in the back room, by the same
functions as the command line's. ``preview``: its pages on screen; ``setup``: its choices;
``target``: where to; ``dialog`` brings them together. ``press``: pages on a printer; ``copying``:
on the clipboard.
"""
