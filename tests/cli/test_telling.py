"""Progress on standard error: nothing for a second, then an honest share, on terminals and in logs."""

import io
import time

import pytest

from slinediag.cli.telling import Telling
from slinediag.progress import rounds, stages, through, within


class Terminal(io.StringIO):
    def isatty(self):
        return True


class Clock:
    """Seconds that pass when told to."""

    def __init__(self):
        self.at = 0.0

    def __call__(self):
        return self.at


def test_work_of_less_than_a_second_is_not_talked_about():
    stream, clock = io.StringIO(), Clock()
    with Telling(stream, clock, pulse=0) as tell:
        for share in (0.2, 0.6, 1.0):
            clock.at += 0.3
            tell(share, "laying out")
    assert stream.getvalue() == ""


def logged(pause, told):
    """The lines of a log of what is told after the first second, with a pause before each."""
    stream, clock = io.StringIO(), Clock()
    with Telling(stream, clock, pulse=0) as tell:
        clock.at = 1.0
        for share, doing in told:
            clock.at += pause
            tell(share, doing)
    return stream.getvalue().splitlines()


def test_a_log_says_each_stage_once():
    told = [(n / 100, "what to patch when a box fails") for n in range(50)]
    told += [(0.5 + n / 24, f"sheet {n} of 12") for n in range(1, 13)]
    assert logged(0.05, told) == [
        "  0 %  what to patch when a box fails",
        " 54 %  sheet 1 of 12",
    ]


def test_a_log_gets_a_line_every_ten_seconds_of_a_long_stage():
    assert logged(1.0, [(second / 100, "laying out") for second in range(34)]) == [
        "  0 %  laying out",
        " 10 %  laying out",
        " 20 %  laying out",
        " 30 %  laying out",
    ]


def test_a_log_says_how_long_it_has_lasted_where_the_share_stands_still():
    still = [(0.0, "looking for patches")] * 75
    lines = logged(1.0, still)
    assert lines[:3] == [
        "  0 %  looking for patches",
        "  0 %  looking for patches, 12 s so far",
        "  0 %  looking for patches, 22 s so far",
    ]
    assert lines[-1] == "  0 %  looking for patches, 1 min 12 s so far"
    assert len(set(lines)) == len(lines) == 8


def test_a_terminal_shows_time_running_where_the_share_stands_still():
    stream, clock = Terminal(), Clock()
    with Telling(stream, clock, pulse=0) as tell:
        for second in (2.0, 8.0, 13.0, 14.0):
            clock.at = second
            tell(
                0.5,
                "a stage with a name that is longer than the line has any space for it and the time",
            )
        clock.at = 15.0
        tell(0.51, "the next")
    shown = [line.rstrip() for line in stream.getvalue().split("\r")[1:]]
    assert len(shown[0]) == len(shown[1]) == 72
    assert [line.endswith("so far") for line in shown[:3]] == [False, True, True]
    assert shown[1].endswith(", 13 s so far")
    assert shown[3] == " 51 %  the next"


def test_a_terminal_has_one_line_which_is_gone_at_the_end():
    stream, clock = Terminal(), Clock()
    with Telling(stream, clock, pulse=0) as tell:
        clock.at = 2.0
        tell(0.25, "sheet 3 of 12")
        clock.at = 3.0
        tell(0.5, "sheet 6")
    written = stream.getvalue()
    assert "\n" not in written
    assert " 25 %  sheet 3 of 12" in written
    assert written.endswith("\r" + " " * len(" 50 %  sheet 6") + "\r")


def test_the_line_is_gone_as_well_when_the_work_is_stopped():
    stream, clock = Terminal(), Clock()

    def stopped():
        with Telling(stream, clock, pulse=0) as tell:
            clock.at = 2.0
            tell(0.25, "sheet 3")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert stream.getvalue().endswith("\r")


def test_the_share_never_falls():
    stream, clock = Terminal(), Clock()
    with Telling(stream, clock, pulse=0) as tell:
        clock.at = 2.0
        tell(0.5, "first")
        clock.at = 3.0
        tell(0.3, "second")
    assert " 50 %  second" in stream.getvalue()


def test_parts_of_the_work_add_up_to_the_whole():
    told = []

    def tell(share, doing):
        told.append((round(share, 6), doing))

    one, other = stages(tell, (1, 3))
    assert list(through("ab", one, "papers")) == ["a", "b"]
    assert list(through("cd", within(other, 0.5, 1.0), "sheets")) == ["c", "d"]
    assert told == [(0.125, "papers"), (0.25, "papers"), (0.8125, "sheets"), (1.0, "sheets")]


def test_rounds_of_which_nobody_knows_the_number_never_reach_the_end():
    told = []
    each = rounds(lambda share, _: told.append(share))
    for _ in range(5):
        telling = next(each)
        telling(0.0, "sheets")
        telling(1.0, "sheets")
    assert told == sorted(told)
    assert told[0] == 0.0
    assert 0.6 < told[1] < 0.7
    assert told[-1] < 1.0


def test_a_stage_that_tells_nothing_more_is_shown_all_the_same():
    stream, clock = io.StringIO(), Clock()
    with Telling(stream, clock, pulse=0.001) as tell:
        tell(0.1, "laying out")
        clock.at = 2.0
        for _ in range(5000):
            if stream.getvalue():
                break
            time.sleep(0.002)
    assert stream.getvalue() == " 10 %  laying out\n"
