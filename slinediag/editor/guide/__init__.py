"""What the window says of itself: an introduction of one page, and help that cannot go stale.

``keys``: the commands and their keys, read off the window's own actions; ``normals``: the five
normals with and without plugs, by the chart's own painter and the contact table; ``pages``: the
pages of the help, ``guide``: the window that shows them; ``introduction``: the first page.
"""
