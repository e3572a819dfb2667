"""The editor: a window that shows what the rest computes and adds no rule of its own.

``workplace``: what is open, its history, the trial and the selection; the only copy of each. It
tells of every change by a signal. Widgets show it and ask it; they hold no second copy and never
speak to each other. A new panel is a widget that takes a Workplace, put in by ``Window.add_panel``;
a new command goes in by ``Window.add_action``, its own in ``commands``; an edit of the facility is
a pure function in ``model`` (``edits``, ``items``, ``renaming``, ``removing``, ``placing``), made
by ``Workplace.change`` with the name that undo shows.

``backroom``, ``draughting``: what takes long, in other processes; ``aside``: in a thread.
``charting``, ``overlay``,
``face``, ``sheet_set``: drawings to be shown; the first two alone know how a chart is put together.
``tried_cords``, ``cord_ground``: a trial's cords, hung with care after they hang at once.
``window``: what holds all of it together, round its ``middle``, the views of the facility;
``notice``: what it says in its foot. ``sheet_canvas`` and its kinds (chart, faces, sheets):
drawings on screen, each a ``seen_sheet`` (moved and zoomed), by ``view`` (where one looks),
``tiles`` and ``tiled_sheet`` (pictures of parts), ``canvas_ink`` (what lies over), ``canvas_keys``
(keys and hands, for canvas and help alike), ``on_canvas``, ``stepping`` and ``canvas_access`` (each
thing reached by keys and told to screen readers). ``damage``: what failed bays, places and cables
come to. ``lighting``, ``pointing``, ``finding``, ``sentences``, ``trials``, ``outage_steps``: plain
functions without Qt, tried alone.

``besides``: what opens beside the window. ``printing``: what goes out on paper, as a file, on the
clipboard; ``guide``: help and introduction; ``desktop``: from a desktop's menu. ``lists``: the
facility as tables to edit in; ``files``: opened, kept, watched, mended, new; their own ``__init__``
is their map. ``start``, ``head_start``: the file is read and its chart begun before Qt is loaded;
``running``: the application and its windows.
"""
