"""The offer line by line, from hours at their rates and what goes out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from steadyrest.price.answer import Line
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What changes the price of the same work. after_hours: share of the people's hours outside the shop's day.

    rivals: how many others offer (0: nobody else is asked). sigma: how far estimates like this one are off (sd of the
    logarithm); None: as the draws say.
    """

    rush: bool = False
    after_hours: float = 0.0
    rivals: int = 1
    sigma: float | None = None


@dataclass(frozen=True, slots=True)
class Sold:
    """Means of the lot. labour, machines: at what they are sold for; labour_s: people's time; cash: what goes out.

    wrong: what parts that go wrong cost.
    """

    labour: float
    machines: float
    labour_s: float
    cash: Money
    wrong: float = 0.0


def offer_lines(sold: Sold, *, shop: Shop, under: Circumstances, ratio: float, walk_away: Money) -> tuple[Line, ...]:
    """The offer line by line, each to the cent.

    Of rush and after hours the higher factor counts, never both: an hour is dear once.

    Args:
        sold: hours at their rates, and cash.
        shop: margin, factors, minimum charge.
        under: rush, after hours, rivals.
        ratio: how much longer won work takes than estimated.
        walk_away: the offer never stands below it.
    Returns: lines; a line of nothing is left out.
    """
    terms = shop.terms
    rush = terms.rush_factor if under.rush else 1.0
    night = max(terms.after_hours_factor, rush)
    machines = sold.machines * (1 + terms.margin)
    won = (sold.labour + machines) * (ratio - 1)
    dear = sold.labour * ratio
    cash = plain(sold.cash)
    wanted = (
        (because("price.labour", hours_s=sold.labour_s), sold.labour),
        (because("price.machines", margin=percent(terms.margin)), machines),
        (because("price.cash", cash_money=cash, margin=percent(terms.margin)), cash * (1 + terms.margin)),
        (because("price.wrong", wrong_money=sold.wrong, margin=percent(terms.margin)), sold.wrong * (1 + terms.margin)),
        (because("price.won", ratio=round(ratio, 2), rivals=float(under.rivals)), won),
        (because("price.rush", factor=rush), dear * (1 - under.after_hours) * (rush - 1)),
        (because("price.after_hours", factor=night, share=percent(under.after_hours)),
         dear * under.after_hours * (night - 1)),
    )  # fmt: skip
    lines = [Line(what, money(amount, shop)) for what, amount in wanted if money(amount, shop).amount > 0]
    so_far = total((line.amount for line in lines), shop)
    for key, least in (("price.minimum", Money(terms.minimum_charge, shop.currency)), ("price.not_below", walk_away)):
        if so_far.amount < least.amount:
            lines.append(Line(because(key, least_money=plain(least)), least.rounded() - so_far))
            so_far = least.rounded()
    return tuple(lines)


def moved(lines: tuple[Line, ...], ratio: float, *, shop: Shop, walk_away: Money) -> tuple[Line, ...]:
    """The offer moved to where the shop's own quotes say that it pays best, with a line that says so.

    Args:
        lines: the offer by the rates.
        ratio: of the price that pays best to it.
        shop: its smallest charge.
        walk_away: the offer never stands below it.
    Returns: the lines, one more where it moves; a price below the rates has a line below nothing.
    """
    by_rates = total((line.amount for line in lines), shop)
    least = max(walk_away.rounded().amount, shop.terms.minimum_charge)
    wanted = Money(max(by_rates.times(ratio).rounded().amount, least), shop.currency)
    if wanted == by_rates:
        return lines
    key = "price.win_more" if wanted.amount > by_rates.amount else "price.win_less"
    return (*lines, Line(because(key, ratio=round(float(wanted.amount / by_rates.amount), 2)), wanted - by_rates))


def over(a: float, b: float) -> float:
    """A share; 0 of nothing."""
    return a / b if b > 0 else 0.0


def percent(share: float) -> str:
    """A share as people say it."""
    return f"{100 * share:.0f} %"


def money(amount: float, shop: Shop) -> Money:
    """An amount in the shop's currency, to the cent."""
    return Money(Decimal(repr(amount)), shop.currency).rounded()


def plain(amount: Money) -> float:
    """An amount as a bare number."""
    return float(amount.amount)


def total(amounts: Iterable[Money], shop: Shop) -> Money:
    """What amounts add up to."""
    return sum(amounts, Money(Decimal(0), shop.currency))
