"""Files under one's hands: nothing done is lost, nothing on the disk is overwritten unasked.

``desk`` puts all of this into a window. ``journal`` (unsaved work as a file), ``journal_keeper``
(the thread that writes it), ``unsaved`` (a workplace's changes to the keeper), ``recovery`` and its
bar (work found at opening, and what differs). ``disk`` (the file as it is on the disk),
``disk_watch`` and its bar (it is another), ``reconciling``, ``merging``, ``choices`` (three
versions into one), ``locking`` (who else has it), ``places`` (where journals and locks lie),
``leaving`` (unsaved work is asked about).
``reading`` (away from the event loop); ``mending`` and its text (a file with mistakes). ``draft``,
``draft_table``, ``new_guide`` (a new facility). ``recent``, ``where_one_was`` (kept between runs).
What knows no widget is tried alone.
"""
