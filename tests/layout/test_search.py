"""The search for places and layers: what it goes on from."""

from __future__ import annotations

from slinediag.layout.search import Found, unlike_first


def found(name: int, crossings: int, span: int) -> Found:
    return Found((name,), (), crossings, span)


def test_what_crosses_as_often_and_is_as_long_as_another_comes_last() -> None:
    best, same, longer, worse, as_bad = (
        found(0, 4, 7),
        found(1, 4, 7),
        found(2, 4, 9),
        found(3, 6, 7),
        found(4, 6, 7),
    )
    given = [best, same, longer, worse, as_bad]
    assert unlike_first(given) == [best, longer, worse, same, as_bad]
    assert unlike_first([]) == []
