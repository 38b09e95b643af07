"""What machines share: read, or one line that says what contradicts itself; and the week keeps to it."""

from __future__ import annotations

from datetime import datetime

import pytest

from steadyrest.desk.which_shop import example_text
from steadyrest.promise.shop_week import week_of
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

ASKS = "asks = {lathe = 9, mill = 12, jet = 22}"
NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")


def test_the_week_keeps_to_what_the_shop_file_says_machines_share() -> None:
    shop = read_shop(example_text(), "shop.toml")
    assert [(one.id, one.allows, one.asks) for one in shop.shared] == [
        ("power", 24.0, (("lathe", 9.0), ("mill", 12.0), ("jet", 22.0)))
    ]
    (limit,) = week_of(shop, (), now=NOW, days=7).limits
    assert (limit.allows, limit.asks) == (shop.shared[0].allows, shop.shared[0].asks)


@pytest.mark.parametrize(
    ("new", "told"),
    [
        ("asks = {lathe = 9, crane = 12}", "no such machine"),
        ("asks = {lathe = 9, mill = 25}", "could never run"),
        ("asks = {lathe = 9}", "two machines or more"),
        ("asks = {lathe = 0, mill = 3}", "out of range"),
        ("asks = 9", "not a table"),
        ("", "asks is missing"),
    ],
)
def test_a_shared_limit_that_contradicts_itself_is_one_line(new: str, told: str) -> None:
    text = example_text()
    assert ASKS in text
    with pytest.raises(BadInput, match=told):
        read_shop(text.replace(ASKS, new), "shop.toml")
