"""For how much: the offer, the walk-away price, what it costs, and more of them."""

from __future__ import annotations

from steadyrest.price.answer import Price
from steadyrest.web.pages.job import BreakRow, HowMuch
from steadyrest.web.pages.top import Worded
from steadyrest.web.showing.words import Words


def how_much(price: Price, words: Words) -> HowMuch:
    """The price.

    Args:
        price: of the chosen route.
        words: for its reader.
    Returns: the fourth answer.
    """
    low, high, middle = price.cost_p10.value, price.cost_p90.value, price.cost_p50.value
    half = f"eight times in ten between the two, half the time below {middle:.0f} {price.currency}"
    return HowMuch(
        offer=Worded(words.money(price.offer), words.why(price.offer_why)),
        walk_away=Worded(words.money(price.walk_away), words.why(price.walk_away_why)),
        cost=Worded(
            f"{low:.0f} to {high:.0f} {price.currency}",
            (half, *words.why(price.cost_p50.why)),
        ),
        breaks=tuple(BreakRow(one.quantity, words.money(one.each), words.money(one.total)) for one in price.breaks)
        if len(price.breaks) > 1
        else (),
    )
