"""What does not fit between program and records is said beside the answer; a clean program has none of it."""

from __future__ import annotations

import pytest

from tests.program.test_shop_floor import SHOP, judged, said


@pytest.mark.parametrize(
    ("name", "was", "now", "expected"),
    [
        ("plate", "G43 H2 Z50.", "G43 H4 Z50.", "another length in force"),
        ("plate", "G43 H2 Z50.", "Z50.", "another length in force"),
        ("plate", "G43 H1 Z50. M8", "Z50. M8", "no tool length in force"),
        ("plate", "G54 G0 X-15. Y-15. S4000 M3", "G54 G0 X-15. Y-15.", "no spindle start since it was changed in"),
        ("plate", "T1 M6\n", "", "calls no tool"),
        ("plate", "M30\n", "", "did not come to its end"),
    ],
)
def test_each_is_said_where_it_is_so(name: str, was: str, now: str, expected: str) -> None:
    assert expected in said(judged(name, was, now))
    assert expected not in said(judged(name))


def test_a_misspelt_role_is_told_with_the_one_that_is_meant() -> None:
    told = said(judged("bore", shop=SHOP.replace('role = "finish"', 'role = "Finish"')))
    assert "is Finish" in told
    assert "finish may be meant" in told


def test_a_bar_of_unknown_length_is_told() -> None:
    lines = [line for line in SHOP.splitlines() if not line.startswith("bar = ")]
    assert "how long the bar is" in said(judged("lathe", shop="\n".join(lines)))


def test_a_path_that_never_meets_its_blank_is_told() -> None:
    far = SHOP.replace(
        "min_mm = [-1, -1, -26], max_mm = [101, 61, 1]", "min_mm = [899, 899, -26], max_mm = [999, 959, 1]"
    )
    assert far != SHOP
    assert "never meets the blank" in said(judged("plate", shop=far))
