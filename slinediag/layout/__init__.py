"""Graph layout: boxes with ports, lines of horizontal and vertical runs, and nothing else.

``graph`` says what goes in, ``layout`` what comes out, ``pipeline.arrange`` does it.
"""
