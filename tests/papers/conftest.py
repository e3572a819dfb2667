"""Tests of papers need no display, and letter from the bundled fonts as the painters do."""

import os

from slinediag.paint.qt import prefer_bundled_fonts

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
prefer_bundled_fonts()
