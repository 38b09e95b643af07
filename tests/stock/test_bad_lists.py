"""Lists that are odd or wrong: told by name, or answered; nothing is lost of either."""

from __future__ import annotations

from decimal import Decimal

import pytest

from steadyrest.stock.asked.carry import read_carry
from steadyrest.stock.asked.cut import read_cut
from steadyrest.stock.asked.keep import read_keep
from steadyrest.stock.cutting.plan import cut
from steadyrest.trouble import BadInput

LIST = """
kerf_mm = 2
[[piece]]
id = "R7"
length_mm = 1000
cost = "10"
[[part]]
id = "pin"
length_mm = 5
count = 3
"""


def planned(text: str, seconds: float = 5.0):
    (wanted, _), _ = read_cut(text, "list.toml")
    return wanted, cut(wanted, lambda: seconds)


def adds_up(wanted, plan) -> None:
    for bar in plan.bars:
        parts = sum((part.length_mm for part in bar.parts), Decimal(0))
        assert parts + wanted.kerf_mm * len(bar.parts) + bar.rest_mm == bar.piece.length_mm
        assert bar.rest_mm >= 0
    made = sum(len(bar.parts) for bar in plan.bars) + sum(one.count for one in plan.unplaced)
    assert made == sum(part.count for part in wanted.parts)


def test_a_kerf_larger_than_the_part_is_counted_like_any_other() -> None:
    wanted, plan = planned(LIST.replace("kerf_mm = 2", "kerf_mm = 8"))
    adds_up(wanted, plan)
    assert plan.bars[0].rest_mm == 1000 - 3 * (5 + 8)


def test_ten_thousand_parts_are_all_made_or_named() -> None:
    pieces = "".join(f'[[piece]]\nid = "B{n}"\nlength_mm = 6000\ncost = "10"\n' for n in range(20))
    text = "kerf_mm = 2\n" + pieces + '[[part]]\nid = "pin"\nlength_mm = 10\ncount = 9999\n[[part]]\n'
    wanted, plan = planned(text + 'id = "mast"\nlength_mm = 6001\ncount = 1\n', seconds=0.0)
    adds_up(wanted, plan)
    assert {one.part.id: one.count for one in plan.unplaced} == {"mast": 1}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("length_mm = 5\n", "length_mm = 0\n", "length_mm"),
        ("length_mm = 5\n", "length_mm = -5\n", "length_mm"),
        ("length_mm = 1000", "length_mm = 0", "length_mm"),
        ("length_mm = 5\n", 'length_mm = "5 in"\n', "length_mm"),
        ("count = 3\n", "count = 20001\n", "count"),
        ('count = 3\n', 'count = 3\n[[part]]\nid = "pin"\nlength_mm = 6\ncount = 1\n', "stands 2 times"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_named(old: str, new: str, says: str) -> None:
    assert old in LIST
    with pytest.raises(BadInput) as told:
        planned(LIST.replace(old, new))
    assert says in told.value.line()
    assert "\n" not in told.value.line()


CARRY = """
part = {length_mm = 40, face_mm = 1, part_off_mm = 4, count = 10, section = {d_mm = 20}}
material = {density_kg_m3 = 7850, e_mpa = 210000, price_per_kg = "2.40"}
saw = {kerf_mm = 2, person_s = 240}
holding = {grip_mm = 25, person_s = 180, force_n = 150, tip_allowed_mm = 0.1}
money = {person_per_hour = "42.00"}
"""
KEEP = """
demands_per_year = 30
discount_per_year = 0.1
hold_per_year = "4.00"
kerf_mm = 2
new_per_mm = "0.031"
scrap_per_mm = "0.002"
currency = "EUR"
[[demand]]
length_mm = 120
share = 1.0
[[piece]]
id = "R7"
length_mm = 480
"""


@pytest.mark.parametrize(
    ("read", "text", "old", "new"),
    [
        (read_carry, CARRY, "e_mpa = 210000", "e_mpa = 1e-308"),
        (read_carry, CARRY, "d_mm = 20", "d_mm = 1e-100"),
        (read_keep, KEEP, "discount_per_year = 0.1", "discount_per_year = 1e-308"),
    ],
)
def test_numbers_too_small_to_reckon_with_are_named(read, text: str, old: str, new: str) -> None:
    read(text, "file.toml")
    with pytest.raises(BadInput, match=old.split(" = ")[0]):
        read(text.replace(old, new), "file.toml")
