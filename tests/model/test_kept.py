"""What is worked out of a facility is worked out once, and let go of when others have come."""

from __future__ import annotations

import threading

from slinediag.model.facility import Facility
from slinediag.model.kept import MOST, Kept
from tests.builders import plant

TEXT = "bays: {A: {name: A, positions: 2}}"


def counting() -> tuple[Kept[int], list[Facility]]:
    asked: list[Facility] = []

    def work_out(facility: Facility) -> int:
        asked.append(facility)
        return len(asked)

    return Kept(work_out), asked


def test_it_is_worked_out_once_for_each_facility_though_they_are_alike():
    kept, asked = counting()
    one, other = plant(TEXT), plant(TEXT)
    assert one == other
    assert [kept.of(one), kept.of(other), kept.of(one), kept.of(other)] == [1, 2, 1, 2]
    assert [facility is mine for facility, mine in zip(asked, (one, other), strict=True)] == [
        True
    ] * 2


def test_the_one_asked_for_longest_ago_is_let_go_of():
    kept, asked = counting()
    plants = [plant(TEXT) for _ in range(MOST + 1)]
    for facility in (*plants[:MOST], plants[0], plants[MOST]):
        kept.of(facility)
    assert len(asked) == MOST + 1
    assert kept.of(plants[0]) == 1
    assert kept.of(plants[1]) == MOST + 2


def test_threads_that_ask_at_once_share_one_answer():
    both = threading.Barrier(2)
    asked: list[Facility] = []
    kept = Kept(lambda facility: asked.append(facility) or object())
    facility, answers = plant(TEXT), []

    def ask() -> None:
        both.wait(60)
        answers.append(kept.of(facility))

    threads = [threading.Thread(target=ask) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(asked) == 1
    assert answers[0] is answers[1]
