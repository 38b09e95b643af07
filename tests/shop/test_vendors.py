"""Who does work outside, as the shop file says: read whole, and refused with the line and the key where it is wrong."""

from __future__ import annotations

import pytest

from steadyrest.desk.which_shop import example_text
from steadyrest.shop.floor import Vendor
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

PLATER = """
[vendor.x]
does = ["plated"]
longest_mm = 500
heaviest_kg = 20
thickness_um = [4, 30]
lead_days = 2
price_per_piece = "2.00"
"""


def read(vendor: str) -> Vendor:
    return read_shop(example_text() + vendor, "shop.toml").vendors[-1]


def test_what_is_left_out_is_read_as_the_page_says() -> None:
    found = read(PLATER)
    assert found.name == "x"
    assert found.days == (0, 1, 2, 3, 4)
    assert found.metals == ()
    assert found.transit_s == 0.0
    assert found.hardness_hrc == (0.0, 0.0)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("thickness_um = [4, 30]\n", "", "thickness_um"),
        ("thickness_um = [4, 30]", "thickness_um = [30, 4]", "thickness_um"),
        ('does = ["plated"]', 'does = ["polished"]', "does"),
        ('does = ["plated"]', 'does = ["ground"]', "leave_mm"),
        ('does = ["plated"]', 'does = ["case hardened"]', "hardness_hrc"),
        ('price_per_piece = "2.00"\n', "", "price"),
        ("lead_days = 2", "lead_days = 1.5", "lead_days"),
        ("lead_days = 2", "lead_days = 2\ndays = []", "days"),
        ("lead_days = 2", 'lead_days = 2\ndays = ["today"]', "days"),
        ("lead_days = 2", 'lead_days = 2\ntake_in = "25:00"', "take_in"),
        ("lead_days = 2", 'lead_days = 2\nmetals = ["unobtainium"]', "metals"),
        ("lead_days = 2", "lead_days = 2\nrush = true", "rush"),
        ("longest_mm = 500", "longest_mm = 0", "longest_mm"),
    ],
)
def test_what_is_wrong_is_one_line_with_its_key(old: str, new: str, key: str) -> None:
    assert old in PLATER
    with pytest.raises(BadInput) as bad:
        read(PLATER.replace(old, new))
    assert key in bad.value.where + bad.value.what
    assert bad.value.do
