"""Van and trailer as the shop file says them."""

from __future__ import annotations

import pytest

from steadyrest.desk.which_shop import example_text
from steadyrest.shop.floor import Carriage
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

BOTH = """
[carriage]
van_kg = 600
empty_kg = 180
empty_tongue_kg = 30
coupling_mm = 3000
gross_kg = 750
axle_kg = 700
tongue_kg = 75
"""


def read(text: str) -> Carriage | None:
    whole = example_text().split("[carriage]")
    rest = whole[1].split("\n\n", 1)[1] if len(whole) > 1 else ""
    return read_shop(whole[0] + rest + text, "shop.toml").carriage


def test_a_van_alone_a_van_with_a_trailer_and_nothing_said() -> None:
    assert read("") is None
    assert read("[carriage]\nvan_kg = 600\n") == Carriage(600.0)
    assert read(BOTH) == Carriage(600.0, 180.0, 30.0, 3000.0, 750.0, 700.0, 75.0)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("van_kg = 600", "van_kg = 0", "van_kg"),
        ("axle_kg = 700\n", "", "axle_kg"),
        ("empty_tongue_kg = 30", "empty_tongue_kg = 200", "empty_tongue_kg"),
        ("gross_kg = 750", "gross_kg = 100", "gross_kg"),
        ("van_kg = 600", "van_kg = 600\nwheels = 2", "wheels"),
    ],
)
def test_what_cannot_be_is_named(old: str, new: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read(BOTH.replace(old, new))
