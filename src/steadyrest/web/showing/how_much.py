"""For how much: offer, walk-away price, what it costs, each down to the shop's own figures; and more of them."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.price.answer import Break, Line, Price
from steadyrest.units import show_odds
from steadyrest.web.pages.job import BreakRow, HowMuch, MoneyRow
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
        offer=words.money(price.offer),
        walk_away=Worded(words.money(price.walk_away), words.why(price.walk_away_why)),
        cost=Worded(
            f"{low:.0f} to {high:.0f} {price.currency}",
            (half, *words.why(price.cost_p50.why), *words.why(price.hours.why)),
        ),
        by_hour=by_hour(price, words),
        taken=None if price.winning is None else Worded(show_odds(price.winning.odds), words.why(price.winning.why)),
        wrong=wrong(price, words),
        deposit=None if price.deposit is None else Worded(words.money(price.deposit), words.why(price.deposit_why)),
        stands=f"{price.valid_days} days" if price.valid_days else "as long as your terms say",
        lines=rows(price.lines, words),
        cash=rows(price.cash, words),
        at_cost=rows(price.at_cost, words),
        breaks=tuple(break_row(one, words, price.currency) for one in price.breaks) if len(price.breaks) > 1 else (),
    )


def rows(lines: Sequence[Line], words: Words) -> tuple[MoneyRow, ...]:
    """Lines of a sum."""
    return tuple(MoneyRow(words.say(line.what), words.money(line.amount)) for line in lines)


def by_hour(price: Price, words: Words) -> Worded | None:
    """The amount that work by the hour will not exceed."""
    one = price.by_the_hour
    return None if one is None else Worded(words.money(one.not_to_exceed), words.why(one.why))


def wrong(price: Price, words: Words) -> Worded | None:
    """Parts that go wrong, and the blanks to lay out besides."""
    if price.lost is None or price.again is None:
        return None
    says = f"lost {hundredths(price.lost.value)}, cut once more {hundredths(price.again.value)}"
    spare = f"; {price.spare} spare" if price.spare else ""
    return Worded(says + spare, words.why((*price.lost.why, *price.again.why, *price.spare_why)))


def hundredths(share: float) -> str:
    """A small share, as people say it."""
    return f"{100 * share:.0f} in 100" if share >= 0.005 else "fewer than 1 in 100"


def break_row(one: Break, words: Words, currency: str) -> BreakRow:
    costs = f"{one.cost_p10:.0f} to {one.cost_p90:.0f} {currency}" if one.cost_p90 > 0 else "not known"
    return BreakRow(
        one.quantity, words.money(one.each), words.money(one.total), costs, f"{100 * one.set_up_share:.0f} %"
    )
