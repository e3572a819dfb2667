"""Colours against telephone practice (published) and IEC 60757 (codes from memory, rule second-hand)."""

from __future__ import annotations

import pytest

from slinediag.model.facility import Cable
from slinediag.papers.colours import (
    CODES,
    NAMES,
    names_of,
    pair_colours,
    twenty_five_pair,
    two_coloured,
)


@pytest.mark.parametrize(
    ("pair", "tip", "ring"),
    # 1 white-blue, 6 red-blue, 13 black-green, 25 violet-slate.
    [(1, "white", "blue"), (6, "red", "blue"), (13, "black", "green"), (25, "violet", "grey")],
)
def test_the_25_pair_order(pair: int, tip: str, ring: str) -> None:
    assert [NAMES[code] for code in twenty_five_pair(pair)] == [tip, ring]


def test_all_25_pairs_differ() -> None:
    assert len({twenty_five_pair(n) for n in range(1, 26)}) == 25


def test_two_colours_stand_in_the_order_of_the_table() -> None:
    assert two_coloured("BU", "RD") == "RDBU"
    assert two_coloured("YE", "GN") == "GNYE"
    assert " ".join(CODES) == "BK BN RD OG YE GN BU VT GY WH PK GD TQ SR"


def test_codes_in_words() -> None:
    assert [names_of(code) for code in ("BU", "RDBU", "GNYE", "house")] == [
        "blue", "red and blue", "green and yellow", "",
    ]  # fmt: skip


def test_colours_of_a_cable_as_filed_or_by_its_scheme() -> None:
    assert pair_colours(Cable("C", colours=("BN", "WH/BU")), 1) == ("BN", "BN")
    assert pair_colours(Cable("C", colours=("BN", "WH/BU")), 2) == ("WH", "BU")
    assert pair_colours(Cable("C", colours=("BN",)), 2) == ("", "")
    assert pair_colours(Cable("C", colours=("BURD", "YEGN")), 1) == ("RDBU", "RDBU")
    assert pair_colours(Cable("C", colours=("BURD", "YEGN")), 2) == ("GNYE", "GNYE")
    assert pair_colours(Cable("C", colours="25-pair"), 13) == ("BK", "GN")
    assert pair_colours(Cable("C", colours="IEC 60757"), 3) == ("RD", "RD")
    assert pair_colours(Cable("C", colours="house order"), 3) == ("house order", "house order")
    assert pair_colours(None, 1) == ("", "")
