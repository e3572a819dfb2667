"""Files under one's hands: nothing done is lost, nothing on the disk is overwritten unasked.

``journal`` (unsaved work as a file), ``journal_keeper`` (the thread that writes it), ``unsaved``
(a workplace's changes to the keeper), ``recovery`` (work found at opening, and what differs).
``disk`` (the file as it is on the disk), ``disk_watch`` (tells when it is another), ``merging``
(three versions into one). ``desk`` puts them into a window. What knows no Qt is tried alone.
"""
