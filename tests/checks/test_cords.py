"""What is left in the bay: without note, without date, for too long."""

from __future__ import annotations

import datetime

from tests.builders import plant
from tests.checks.checking import fires, quiet

TODAY = datetime.date(2026, 6, 1)


def left_in(keys, plug="", limit="cord_age: 30"):
    return plant(
        f"""
        bays:
          PB: {{name: Bay, positions: 3}}
        cords: [{{from: PB.T1, to: PB.B2{keys}}}]
        plugs: [{plug}]
        """,
        head=f"slinediag: 1\nfacility: {{name: Test plant, limits: {{{limit}}}}}\n",
    )


SOUND = ", note: for the fair, since: 2026-05-02"


def test_a_cord_without_a_note():
    fires("cord-note", left_in(", since: 2026-05-02"), "note", "PB.T1", "PB.B2")
    quiet("cord-note", left_in(SOUND))


def test_a_dummy_plug_is_asked_the_same():
    plugged = left_in(SOUND, "PB.T3")
    fires("cord-note", plugged, "note", "PB.T3")
    fires("cord-date", plugged, "note", "PB.T3")


def test_a_cord_without_a_date_or_with_one_to_come():
    fires("cord-date", left_in(", note: for the fair"), "note", "PB.T1", "PB.B2")
    quiet("cord-date", left_in(SOUND), TODAY)
    fires(
        "cord-date", left_in(", note: x, since: 2026-06-02"), "note", "PB.T1", "PB.B2", today=TODAY
    )


def test_a_cord_older_than_the_limit():
    # 2026-05-02 to 2026-06-01 are 30 days, which is the limit; a day more is too long.
    quiet("cord-old", left_in(SOUND), TODAY)
    later = TODAY + datetime.timedelta(days=1)
    finding = fires("cord-old", left_in(SOUND), "warning", "PB.T1", "PB.B2", today=later)
    assert "31 days; the limit is 30" in finding.message


def test_without_a_day_or_a_limit_no_age_is_judged():
    later = datetime.date(2030, 1, 1)
    quiet("cord-old", left_in(SOUND))
    quiet("cord-old", left_in(SOUND, limit=""), later)
